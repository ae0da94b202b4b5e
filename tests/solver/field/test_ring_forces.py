"""Forces round an axis: dM/dz of coaxial circles (Maxwell, axial_values.csv row 004), half the slope of L by
differences, and closed forms of a ring under pressure."""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar, round_bar
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.ring_forces import at_fault, body_forces, largest_ratio, ring_forces
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material

COPPER = Material("copper", 58e6)
SLOPE = -7.62907043368e-07  # circles of 50 and 30 mm, 10 mm apart [H/m]


def wire(name: str, radius: float, height: float, diameter: float = 1e-3) -> Conductor:
    return Conductor(Part(name, round_bar(diameter).placed((radius, height))), COPPER)


def pair(frequency: float) -> Solution:
    turns = wire("big", 0.05, 0.0), wire("small", 0.03, 0.01)
    circuits = Circuit("one", 10.0, ("big",)), Circuit("two", 5.0, ("small",))
    return solve(Problem(turns, circuits, axial=True), frequency, accuracy=1e-4)


def test_two_coils_push_each_other_as_their_mutual_inductance_changes() -> None:
    one, two = body_forces(pair(0.0))
    assert {one.name, two.name} == {"one", "two"}
    assert two.axial == -one.axial  # the less known is what the other leaves
    assert two.from_others != one.from_others
    assert abs(two.axial - 50.0 * SLOPE) < two.error + 1e-4 * 50.0 * abs(SLOPE)  # of wires 1 mm thick
    assert two.peak == two.axial  # of direct currents
    currents = pair(50.0)
    mean = body_forces(currents)[1]
    assert mean.axial == pytest.approx(50.0 * SLOPE, rel=5e-3)
    assert mean.peak == pytest.approx(2 * mean.axial, rel=1e-2)


def billet_in_turn(height: float) -> Solution:
    billet = Conductor(Part("billet", bar(0.04, 0.04)), Material("own", 30e6))
    turn = wire("turn", 0.03, height, 4e-3)
    return solve(Problem((billet, turn), (Circuit("coil", 100.0, ("turn",)),), axial=True), 10e3, accuracy=1e-4)


def test_force_on_a_billet_is_half_the_slope_of_the_coils_inductance() -> None:
    """Virtual work at a given current: F = (I^2 / 2) dL/dz, by differences over 0.4 mm."""
    low, middle, high = (billet_in_turn(0.02 + step) for step in (-2e-4, 0.0, 2e-4))
    slope = (high.fine.inductance(high.problem.circuits[0]) - low.fine.inductance(low.problem.circuits[0])) / 4e-4
    bodies = {body.name: body for body in body_forces(middle)}
    expected = 0.5 * 100.0**2 * slope
    assert expected > 0  # what is not magnetic pushes the turn away, upward
    assert abs(bodies["coil"].axial - expected) < bodies["coil"].error + 2e-3 * expected
    assert bodies["coil"].error < 0.05 * expected
    assert bodies["billet"].axial == pytest.approx(-expected, abs=bodies["billet"].error + 2e-3 * expected)
    billet = ring_forces(middle)[0]
    assert billet.radius == 0.0
    assert billet.hoop is billet.pressure is billet.per_length is None


def test_a_ring_under_its_own_field() -> None:
    """Outward I^2 / 2 dL/da of a thin ring, mu0 I^2 / 2 (ln(8 a / r) - 3/4) with direct current (J. C. Maxwell,
    Treatise, art. 704: L = mu0 a (ln(8 a / r) - 7/4); from memory); hoop tension F / (2 pi)."""
    a, r, current = 0.05, 5e-4, 200.0
    solution = solve(Problem((wire("ring", a, 0.0),), (Circuit("c", current, ("ring",)),), axial=True), 0.0)
    (ring,) = ring_forces(solution)
    thin = 0.5 * 4e-7 * math.pi * current**2 * (math.log(8 * a / r) - 0.75)
    assert ring.radial == pytest.approx(thin, rel=1e-3)
    assert abs(ring.axial) < ring.error + 1e-9
    assert ring.per_length == pytest.approx(ring.radial / (2 * math.pi * a))
    assert ring.pressure == pytest.approx(ring.radial / (2 * math.pi * a * 2 * r))
    assert ring.hoop == pytest.approx(ring.radial / (2 * math.pi) / (math.pi * r**2))
    assert ring.hoop is not None
    assert largest_ratio((ring,), 9 * ring.hoop) == pytest.approx(3.0)
    # sqrt(2) kappa over a steady current
    assert at_fault(ring.hoop, 10.0, solution) == pytest.approx(200.0 * ring.hoop)
    assert at_fault(ring.hoop, None, solution) is None
