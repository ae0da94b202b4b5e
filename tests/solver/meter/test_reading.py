"""What a meter read: its uncertainties put together."""

import numpy as np
import pytest

from crosscurrent.solver.meter.reading import MeterReading


def reading(**changed):
    given = dict.fromkeys(("gain", "angle", "floor", "noise_resistance", "noise_reactance"), np.zeros(2))
    given |= {"frequencies": np.array([1e3, 1e4]), "resistance": np.array([3e-3, 4e-3]), "length": 2.0}
    given |= {"reactance": np.array([4e-3, 4e-2]), "ranges": np.zeros(2, dtype=int)}
    return MeterReading(**(given | changed))


def test_inductance_and_quality_are_those_of_the_series_impedance() -> None:
    found = reading()
    assert found.inductance == pytest.approx([4e-3 / (2e3 * np.pi), 4e-2 / (2e4 * np.pi)])
    assert found.quality == pytest.approx([4 / 3, 10])
    assert abs(found.impedance[0]) == pytest.approx(5e-3)


def test_an_error_of_magnitude_and_phase_alike_is_a_circle_round_the_impedance() -> None:
    """1 % in magnitude and 0.01 rad in phase, as bridges promise it: R and X miss alike by 1 % of |Z|."""
    found = reading(gain=np.full(2, 0.01), angle=np.full(2, 0.01))
    assert found.resistance_error == pytest.approx(0.01 * abs(found.impedance))
    assert found.reactance_error == pytest.approx(0.01 * abs(found.impedance))


def test_floor_and_noise_add_in_squares() -> None:
    found = reading(floor=np.full(2, 3e-6), noise_resistance=np.full(2, 4e-6), noise_reactance=np.full(2, 0.0))
    assert found.resistance_error == pytest.approx(5e-6)
    assert found.reactance_error == pytest.approx(3e-6)
    assert found.inductance_error == pytest.approx(3e-6 / found.omega)


def test_readings_are_alike_by_what_they_hold() -> None:
    assert reading() == reading()
    assert reading() != reading(length=3.0)


def test_an_open_scatter_takes_the_place_of_the_likeliest() -> None:
    assert reading().opened() is None
    found = reading(noise_open=np.array([1e-6, 2e-6, 3e-6, 4e-6]), noise_freedom=11.0).opened()
    assert found is not None
    assert found.noise_resistance.tolist() == [1e-6, 2e-6]
    assert found.noise_reactance.tolist() == [3e-6, 4e-6]
    assert (found.noise_freedom, found.opened()) == (11.0, None)
