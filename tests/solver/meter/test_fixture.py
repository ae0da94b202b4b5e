"""Open and short taken off, against the network algebra of scikit-rf and ladders by hand."""

import numpy as np
import pytest

from crosscurrent.solver.meter.fixture import at_frequencies, without_fixture

F = np.geomspace(1e3, 1e7, 13)
W = 2 * np.pi * F
PART = 0.6e-3 * np.sqrt(F / 1e3) + 1j * W * 1.2e-6
LEADS, STRAY = 5e-3 + 1j * W * 80e-9, 1j * W * 30e-12 + 1e-9


def test_against_network_algebra() -> None:
    rf = pytest.importorskip("skrf", reason='scikit-rf is not installed: pip install "crosscurrent[meter]"')
    line = rf.media.DefinedGammaZ0(rf.Frequency.from_f(F, unit="Hz"), z0_port=50, z0=50)
    fixture = line.shunt(line.load((1 / STRAY - 50) / (1 / STRAY + 50))) ** line.resistor(LEADS)
    shown, opened, shorted = ((fixture ** end).z[:, 0, 0] for end in (
        line.load((PART - 50) / (PART + 50)), line.open(), line.short()))
    assert without_fixture(shown, opened, shorted) == pytest.approx(PART, rel=1e-10)


def test_by_hand() -> None:
    shown = 1 / (STRAY + 1 / (LEADS + PART))
    assert without_fixture(shown, 1 / STRAY, 1 / (STRAY + 1 / LEADS)) == pytest.approx(PART, rel=1e-10)
    assert without_fixture(LEADS + PART, None, LEADS) == pytest.approx(PART, rel=1e-12)
    assert without_fixture(1 / (STRAY + 1 / PART), 1 / STRAY, None) == pytest.approx(PART, rel=1e-10)


@pytest.mark.parametrize(("opened", "values"), [(False, LEADS), (True, 1 / STRAY)])
def test_between_its_frequencies_a_fixture_stays_what_it_is(opened: bool, values) -> None:
    between = np.sqrt(F[1:] * F[:-1])
    w = 2 * np.pi * between
    wanted = 1 / (1j * w * 30e-12 + 1e-9) if opened else 5e-3 + 1j * w * 80e-9
    assert at_frequencies(between, F, values, opened=opened) == pytest.approx(wanted, rel=1e-12)
