"""How far the field of a run reaches: two rods against electrostatics."""

from __future__ import annotations

import numpy as np
import pytest
from meter_benches import known

from crosscurrent.solver.band.sweep import sweep
from crosscurrent.solver.field.probe import Probe
from crosscurrent.solver.meter.reach import AWAY, reach

RODS, COAX = 1, 2


@pytest.fixture(scope="module")
def rods():
    _, run, _ = known(RODS)
    return sweep(run.problem, np.geomspace(20, 2e8, 15))


def test_two_rods_reach_as_their_charges_do(rods) -> None:
    """At rest their centres count, 14 mm apart; in thin skins the lines that charges seem to lie in, the root
    of 14^2 - 8^2 mm apart (any textbook of electrostatics: two cylinders).
    """
    found = reach(rods)
    assert found[0] == pytest.approx(1, abs=1e-3)
    assert abs(found[-1]) == pytest.approx((14**2 - 8**2) / 14**2, rel=0.01)  # a pair counts with its distance


def test_it_is_the_square_of_the_field_far_away(rods) -> None:
    mesh = rods.fine.flow(0).discretisation.mesh
    there = mesh.centre + np.array([[4 * AWAY * mesh.radius, 0.0]])
    field = np.array([Probe(rods.fine.flow(k)).flux_density(there)[0] for k in range(15)])
    square = (field**2).sum(axis=1)
    assert square / square[0] == pytest.approx(reach(rods), abs=0.01)


def test_a_coax_has_no_field_outside_and_its_rounding_is_none() -> None:
    _, run, _ = known(COAX)
    assert reach(sweep(run.problem, np.geomspace(20, 2e6, 9))) is None
