"""Currents that are no sines: against Bessel functions harmonic by harmonic, Parseval, and single solves."""

import math

import numpy as np
import pytest
from scipy.special import ive

from crosscurrent.geometries import shapes
from crosscurrent.geometries.section import Part
from crosscurrent.postprocess.waveform import MOST, Samples, Spectrum, WaveformError, harmonic_loss, read_samples
from crosscurrent.solver.materials import Material
from crosscurrent.solver.problem import Circuit, Conductor, Problem
from crosscurrent.solver.solve import solve

MU0, SIGMA, RADIUS = 4e-7 * np.pi, 58e6, 0.002
COPPER = Material("copper", SIGMA)


def wire(current: complex = 1.0) -> Problem:
    rod = Conductor(Part("wire", shapes.round_bar(2 * RADIUS)), COPPER)
    return Problem((rod,), (Circuit("feed", current, ("wire",)),))


def bessel(frequency: np.ndarray) -> np.ndarray:
    """Resistance of a round wire (Kelvin 1889), its own at 0 Hz [ohm/m]."""
    still = 1 / (SIGMA * np.pi * RADIUS**2)
    p = np.sqrt(2j * np.pi * np.where(frequency > 0, frequency, 1) * MU0 * SIGMA) * RADIUS
    return np.where(frequency > 0, (still * p / 2 * ive(0, p) / ive(1, p)).real, still)


def trapezoid(period: float, rise: float, peak: float) -> Samples:
    """Flat, with edges of a rise time."""
    half = period / 2
    times = np.array([0.0, rise, half - rise, half + rise, period - rise])
    return Samples(times, peak * np.array([0.0, 1, 1, -1, -1]), period)


def test_a_square_wave_in_a_wire_against_bessel() -> None:
    order = np.arange(1, 80, 2)
    frequency, phasors = 10e3 * order, 4 / (np.pi * order) / math.sqrt(2) * -1j * 100
    found = harmonic_loss(wire(), ["feed"], Spectrum(frequency, phasors), accuracy=1e-5)
    exact = bessel(frequency) * np.abs(phasors) ** 2
    np.testing.assert_allclose(found.losses[:, 0], exact, rtol=1e-5)
    assert found.total == pytest.approx(exact.sum(), rel=1e-5)
    assert abs(found.total - exact.sum()) <= found.error
    assert found.resistance == pytest.approx(exact.sum() / (np.abs(phasors) ** 2).sum(), rel=1e-5)
    assert found.shares.sum() == pytest.approx(1)


def test_a_sine_is_the_single_point() -> None:
    single = solve(wire(100.0), 20e3)
    found = harmonic_loss(wire(), ["feed"], Spectrum(np.array([20e3]), np.array([100 + 0j])))
    np.testing.assert_allclose(found.losses[0], single.fine.powers.real, rtol=1e-12)
    times = np.linspace(0, 50e-6, 400, endpoint=False)
    sampled = Samples(times, 100 * math.sqrt(2) * np.cos(2 * np.pi * 20e3 * times), 50e-6).spectrum(1e-3)
    assert abs(sampled.phasors[1]) == pytest.approx(100, rel=1e-4)
    assert len(sampled.phasors) < 4
    again = harmonic_loss(wire(), ["feed"], sampled)
    assert again.total == pytest.approx(single.fine.powers.real.sum(), rel=2e-3)


def test_parseval() -> None:
    rng = np.random.default_rng(11)
    times = np.sort(rng.uniform(0, 1e-3, 25))
    samples = Samples(times, rng.normal(size=25), 1e-3)
    fine = np.linspace(times[0], times[0] + 1e-3, 20_001)
    current = np.interp(fine, *samples._closed)
    assert samples.rms == pytest.approx(math.sqrt(np.mean(current[:-1] ** 2 / 2 + current[1:] ** 2 / 2)), rel=1e-5)
    for order in (0, 1, 7):
        exact = np.mean((current * np.exp(-2j * np.pi * order * fine / 1e-3))[:-1]) * (math.sqrt(2) if order else 1)
        assert abs(samples.harmonic(order) - exact) < 1e-3
    found = samples.spectrum(1e-3)
    assert found.rms == pytest.approx(samples.rms, rel=1e-12)
    kept = found.current(fine[:-1])
    assert math.sqrt(np.mean((kept - current[:-1]) ** 2)) == pytest.approx(found.rest, rel=0.02)


def test_what_is_left_out_costs_no_more_than_stated() -> None:
    samples = trapezoid(1e-4, 5e-6, 100.0)
    found = harmonic_loss(wire(), ["feed"], samples.spectrum(1e-2))
    order = np.arange(len(found.spectrum.phasors), 4001)
    beyond = bessel(order / 1e-4) * np.abs([samples.harmonic(int(n)) for n in order]) ** 2
    assert len(found.spectrum.phasors) < MOST / 2
    assert beyond.sum() <= found.rest
    assert found.rest < 0.03 * found.total


def test_three_phases_carry_it_a_third_later() -> None:
    turn = np.exp(-2j * np.pi / 3)
    rods = [Conductor(Part(k, shapes.round_bar(0.01).placed((0.02 * n, 0))), COPPER) for n, k in enumerate("ABC")]
    problem = Problem(tuple(rods), tuple(Circuit(k, 1.0 * turn**n, (k,)) for n, k in enumerate("ABC")))
    spectrum = Spectrum(np.array([50.0, 150.0]), np.array([100, 30 + 0j]))
    found = harmonic_loss(problem, ["A", "B", "C"], spectrum)
    for row, (f, scale, power) in zip(found.losses, ((50.0, 100, 1), (150.0, 30, 3)), strict=True):
        circuits = tuple(Circuit(k, scale * turn ** (n * power), (k,)) for n, k in enumerate("ABC"))
        np.testing.assert_allclose(row, solve(Problem(tuple(rods), circuits), f).fine.powers.real, rtol=1e-3)


GOOD = "time [us]; current [A]\n# of the bench\n0; 0\n3; 10\n6; 0\n9; -10\n12; 0\n"


def test_files_are_read() -> None:
    found = read_samples(GOOD, 1 / 12e-6)
    assert found.rms == pytest.approx(10 / math.sqrt(3))
    assert abs(found.harmonic(1)) == pytest.approx(80 / np.pi**2 / math.sqrt(2))


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "found nothing"),
        ("0,0\n1,1\n", r'line 1: expected the titles "time \[us\], current \[A\]", found "0,0"'),
        ("time [min], current [A]\n0,0\n", "units are s, ms, us, ns"),
        (GOOD.replace("3; 10", "3; ten"), r'line 4: expected two numbers, time and current, found "3; ten"'),
        (GOOD.replace("3; 10", "3,5; 10"), "write a decimal point"),
        (GOOD.replace("3; 10", "3; nan"), "two finite numbers"),
        (GOOD.replace("3; 10", "3; 10; 4"), "line 4: expected two numbers"),
        (GOOD.replace("6; 0", "2; 0"), "line 5: expected a time after 3e-06 s, found 2e-06 s"),
        (GOOD.replace("12; 0", "12; 9"), "line 7: expected the current of the first sample again, 0 A"),
        (GOOD.replace("12; 0", "13; 0"), "samples over 1.3e-05 s; leave out what is beyond one period"),
        ("time [us], current [A]\n0,0\n1,1\n2,0\n", "expected a whole period of 1.2e-05 s"),
        ("time [us], current [A]\n0,0\n6,1\n", "at least 3 samples of one period, found 2"),
        ("time [us], current [A]\n0,0\n6,0\n11,0\n", "found only zeros"),
    ],
)
def test_faulty_files_say_where_and_what(text: str, message: str) -> None:
    with pytest.raises(WaveformError, match=message):
        read_samples(text, 1 / 12e-6, "bench.csv")
