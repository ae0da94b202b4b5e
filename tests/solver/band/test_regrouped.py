"""A sweep by conductors seen from its circuits is that of the circuits."""

import numpy as np
import pytest
from common import metal, rod

from crosscurrent.solver.band.basis import ReducedBasis
from crosscurrent.solver.band.regrouped import by_circuits
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Circuit, Problem

PROBLEM = Problem(
    (rod("heavy", 0.006), rod("light", 0.006, 0.01, material=metal(34.8e6)), rod("back", 0.006, 0.03)),
    (Circuit("feed", 10.0, ("heavy", "light"), ("back",)),),
)
BAND = [50.0, 2000.0]


@pytest.fixture(scope="module")
def by_conductors() -> Sweep:
    return sweep(PROBLEM, BAND, matrix=True)


def test_it_has_the_ports_of_the_circuits(by_conductors: Sweep) -> None:
    ports = by_circuits(by_conductors).fine.model.ports
    assert by_conductors.fine.model.ports.matrix
    assert not ports.matrix
    assert ports.pattern.tolist() == [[1.0], [-1.0]]
    assert ports.member.tolist() == [[1.0, 0.0], [1.0, 0.0], [0.0, 1.0]]


def test_currents_losses_and_impedance_stay(by_conductors: Sweep) -> None:
    found, feed = by_circuits(by_conductors), PROBLEM.circuits[0]
    np.testing.assert_allclose(found.fine.currents, by_conductors.fine.currents, rtol=1e-6)
    np.testing.assert_allclose(found.fine.resistance(feed), by_conductors.fine.resistance(feed), rtol=1e-6)
    np.testing.assert_allclose(found.fine.inductance(feed), by_conductors.fine.inductance(feed), rtol=1e-9)
    np.testing.assert_allclose(found.fine.losses, by_conductors.fine.losses, rtol=1e-6)


def test_it_agrees_with_a_sweep_by_circuits_within_the_bars(by_conductors: Sweep) -> None:
    found, mine, feed = by_circuits(by_conductors), sweep(PROBLEM, BAND), PROBLEM.circuits[0]
    bars = found.circuit_errors(feed)[0] + mine.circuit_errors(feed)[0]
    assert (np.abs(found.fine.resistance(feed) / mine.fine.resistance(feed) - 1) <= bars).all()
    assert by_circuits(mine) is mine


def test_its_forms_are_those_of_its_fields(by_conductors: Sweep) -> None:
    found = by_circuits(by_conductors).fine.model.basis
    anew = ReducedBasis.spanned(found.matrices, found.ports, found.chi, found.vectors, found.states)
    for name in ("lift_coupling", "residual_coupling", "stiffness"):
        form = getattr(anew, name)
        np.testing.assert_allclose(getattr(found, name), form, atol=1e-11 * np.abs(form).max())
    for mine, form in zip(found.regions, anew.regions, strict=True):
        assert mine.group == form.group
        for name in ("mass", "energy", "load"):
            whole = getattr(form, name)
            np.testing.assert_allclose(getattr(mine, name), whole, atol=1e-11 * np.abs(whole).max())
