"""The hand formulas against numbers worked outside the project."""

from __future__ import annotations

import math

import pytest
from scipy.special import ive

from crosscurrent.geometries.section import Part
from crosscurrent.geometries.shapes import angle, bar, round_bar, tube
from crosscurrent.postprocess.hand_formula import hand_formula
from crosscurrent.solver.materials import Material
from crosscurrent.solver.problem import Circuit, Conductor, Problem
from crosscurrent.solver.solve import solve

COPPER = Material("copper of 58 MS/m", 58e6)
MU0 = 4e-7 * math.pi
DEPTH = math.sqrt(1 / (math.pi * 100e3 * MU0 * 58e6))


def rod_resistance(radius: float) -> float:
    """Round wire by Bessel functions, scaled by their growth."""
    k = (1 + 1j) / DEPTH
    z = k * radius
    return float((k / (2 * math.pi * radius * 58e6) * ive(0, z) / ive(1, z)).real)


def pair(one: Part, other: Part) -> tuple[Problem, Circuit]:
    feed = Circuit("feed", 10.0, (one.name,), (other.name,))
    return Problem((Conductor(one, COPPER), Conductor(other, COPPER)), (feed,)), feed


def test_one_rod_is_exact() -> None:
    rod = Conductor(Part("rod", round_bar(0.025)), COPPER)
    feed = Circuit("feed", 1.0, ("rod",))
    found = hand_formula(Problem((rod,), (feed,)), feed, 100e3)
    assert found.exact
    assert found.resistance == pytest.approx(rod_resistance(0.0125), rel=1e-9)


def test_a_rough_rod_is_not_what_the_formula_takes() -> None:
    rod = Conductor(Part("rod", round_bar(0.025)), COPPER, roughness=1e-6)
    feed = Circuit("feed", 1.0, ("rod",))
    found = hand_formula(Problem((rod,), (feed,)), feed, 100e3)
    assert not found.exact
    assert "smooth" in found.reason


def test_facing_bars_are_wide_plates() -> None:
    """Thick plates: two sheets of 1/(sigma depth), and the field of the gap and of one depth inside both plates."""
    problem, feed = pair(
        Part("a", bar(0.1, 0.006).placed((0, 0.0035))), Part("b", bar(0.1, 0.006).placed((0, -0.0035)))
    )
    found = hand_formula(problem, feed, 100e3)
    assert found.name.startswith("two wide plates")
    assert found.resistance == pytest.approx(2 / (58e6 * DEPTH * 0.1), rel=1e-9)
    assert found.inductance == pytest.approx(MU0 * (1e-3 + DEPTH) / 0.1, rel=1e-9)
    assert not found.exact
    assert "edges" in found.reason


def test_plates_of_steel_carry_current_on_their_backs_too() -> None:
    """mu_r times the depth (27 mm here) against a gap of 1 mm: the field solve spreads the current over both sides."""
    steel = Material("steel of 7 MS/m", 7e6, permeability=100.0)
    parts = (Part("a", bar(0.1, 0.006).placed((0, 0.0035))), Part("b", bar(0.1, 0.006).placed((0, -0.0035))))
    feed = Circuit("feed", 10.0, ("a",), ("b",))
    problem = Problem(tuple(Conductor(part, steel) for part in parts), (feed,))
    found, solution = hand_formula(problem, feed, 500.0), solve(problem, 500.0)
    depth = math.sqrt(1 / (math.pi * 500 * 100 * MU0 * 7e6))
    assert f"weighs {100 * depth / 1e-3:.2g} times that of the gap" in found.reason
    assert "backs" in found.reason
    assert 1.6 < found.resistance / (solution.fine.powers.real.sum() / 100) < 2.0
    copper, _ = pair(*parts)
    assert "weighs" not in hand_formula(copper, feed, 100e3).reason


def test_bars_that_stand_upright_face_each_other_too() -> None:
    problem, feed = pair(
        Part("a", bar(0.006, 0.1).placed((0.0035, 0))), Part("b", bar(0.006, 0.1).placed((-0.0035, 0)))
    )
    assert hand_formula(problem, feed, 100e3).resistance == pytest.approx(2 / (58e6 * DEPTH * 0.1), rel=1e-9)


def test_two_wires_crowd() -> None:
    problem, feed = pair(Part("a", round_bar(0.01).placed((0.01, 0))), Part("b", round_bar(0.01).placed((-0.01, 0))))
    found = hand_formula(problem, feed, 100e3)
    crowding = 1 / math.sqrt(1 - 0.5**2)
    assert found.resistance == pytest.approx(2 * crowding * rod_resistance(0.005), rel=1e-9)
    assert found.inductance is not None
    assert found.inductance > MU0 / math.pi * math.acosh(2.0)


def test_two_wires_thinner_than_the_skin_do_not_crowd() -> None:
    """At 50 Hz the skin is 9.3 mm: 2 mm wires have their direct-current resistance, however close they are."""
    problem, feed = pair(
        Part("a", round_bar(0.002).placed((0.00105, 0))), Part("b", round_bar(0.002).placed((-0.00105, 0)))
    )
    found = hand_formula(problem, feed, 50.0)
    assert found.resistance == pytest.approx(2 / (58e6 * math.pi * 0.001**2), rel=1e-4)
    assert found.inductance == pytest.approx(MU0 / math.pi * (math.log(2.1) + 0.25), rel=1e-4)


def test_coaxial_line_is_exact() -> None:
    problem, feed = pair(Part("core", round_bar(0.01)), Part("sheath", tube(0.032, 0.001)))
    found = hand_formula(problem, feed, 100e3)
    assert found.exact
    # the sheath's wall is five depths thick and its bore wide: nearly a flat sheet
    assert found.resistance == pytest.approx(rod_resistance(0.005) + 1 / (58e6 * DEPTH * math.pi * 0.03), rel=2e-3)


def test_direct_current_divides_by_area() -> None:
    bars = tuple(Conductor(Part(n, bar(0.02, 0.005).placed((0, y))), COPPER) for n, y in (("a", 0.0), ("b", 0.01)))
    feed = Circuit("feed", 1.0, ("a", "b"))
    found = hand_formula(Problem(bars, (feed,)), feed, 0.0)
    assert found.exact
    assert found.resistance == pytest.approx(1 / (58e6 * 2e-4), rel=1e-12)
    assert found.inductance is None


def test_anything_else_spreads_over_its_outline() -> None:
    leg = Conductor(Part("leg", angle(0.04, 0.04, 0.01)), COPPER)
    idle = Conductor(Part("idle", bar(0.1, 0.01).placed((0, -0.05))), COPPER)
    feed = Circuit("feed", 1.0, ("leg",))
    found = hand_formula(Problem((leg, idle), (feed,)), feed, 100e3)
    assert found.resistance == pytest.approx(1 / (58e6 * DEPTH * 0.16), rel=1e-3)
    assert "the other conductors" in found.reason
