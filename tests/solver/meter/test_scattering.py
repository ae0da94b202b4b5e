"""Impedance from scattering parameters against the network algebra of scikit-rf, and by hand."""

import numpy as np
import pytest

from crosscurrent.solver.meter.scattering import (
    of_hybrid,
    of_inverse_hybrid,
    one_port,
    series_through,
    shunt_through,
)

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


def test_hybrids_against_network_algebra() -> None:
    rf = pytest.importorskip("skrf", reason='scikit-rf is not installed: pip install "crosscurrent[meter]"')
    real, other = np.random.default_rng(3).uniform(-0.5, 0.5, (2, 9, 2, 2))
    s = real + 1j * other
    over = np.diag((75, 1 / 75)) + np.eye(2)[::-1]  # h11 is an impedance, h22 an admittance
    assert of_hybrid(rf.network.s2h(s, 75) / over) == pytest.approx(s, rel=1e-10)
    assert of_inverse_hybrid(rf.network.s2g(s, 75) * over) == pytest.approx(s, rel=1e-10)
