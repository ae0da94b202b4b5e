"""Impedance from scattering parameters against the network algebra of scikit-rf, and by hand."""

import numpy as np
import pytest

from crosscurrent.solver.meter.scattering import one_port, series_through, shunt_through

F = np.geomspace(1e3, 1e8, 21)
Z = 0.02 * np.sqrt(F / 1e3) + 2j * np.pi * F * 1.2e-6


def test_by_hand() -> None:
    fifty = np.array([50 + 0j])
    assert one_port(np.array([-1 / 3 + 0j]), fifty) == pytest.approx(25)
    assert series_through(np.array([2 / 3 + 0j]), fifty) == pytest.approx(50)
    assert shunt_through(np.array([2 / 3 + 0j]), fifty) == pytest.approx(50)


def test_against_network_algebra() -> None:
    rf = pytest.importorskip("skrf", reason='scikit-rf is not installed: pip install "crosscurrent[meter]"')
    line = rf.media.DefinedGammaZ0(rf.Frequency.from_f(F, unit="Hz"), z0_port=50, z0=50)
    load = line.load((Z - 50) / (Z + 50))
    own = np.full(len(F), 50 + 0j)
    assert one_port(load.s[:, 0, 0], own) == pytest.approx(Z, rel=1e-10)
    assert series_through(line.resistor(Z).s[:, 1, 0], own) == pytest.approx(Z, rel=1e-10)
    assert shunt_through(line.shunt(load).s[:, 1, 0], own) == pytest.approx(Z, rel=1e-10)
