"""Temperatures against the bounds of the metals: copper melts at 1084.62 degC (ITS-90), tin at 231.93 degC."""

from __future__ import annotations

import math

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.postprocess.answers.metal_limits import (
    bound_warnings,
    broken_bound,
    broken_bounds,
    burning,
    nearly_broken,
    of_all,
)
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.metals.materials import MATERIALS

TINNED = Conductor(Part("rod", round_bar(0.01), (5e-6,)), MATERIALS["copper"], coats=(MATERIALS["tin"],))
WALL = Conductor(Part("wall", round_bar(0.01)), MATERIALS["steel"])


def degrees(value: float, error: float = 0.0, of: str = "rod") -> Measured:
    return Measured(value, error, "degC", of, "steady")


def test_the_lowest_bound_comes_first_and_melting_before_magnetism() -> None:
    found = broken_bound(TINNED, 1090.0)
    assert found is not None
    assert (found.metal, found.melts) == ("tin", True)
    steel = broken_bound(WALL, 800.0)
    assert steel is not None
    assert not steel.melts
    assert steel.mark == " (steel not magnetic)"
    assert broken_bound(WALL, 20.0) is None


def test_a_bound_is_broken_for_certain_or_within_the_bar() -> None:
    figures = [degrees(240.0, 20.0), degrees(220.0, 20.0), degrees(150.0, 5.0), degrees(math.inf)]
    figures.append(degrees(500.0, of="?"))
    assert [m for m, _ in broken_bounds([TINNED], figures)] == figures[:1]
    assert [m for m, _ in nearly_broken([TINNED], figures)] == figures[1:2]
    assert bound_warnings([TINNED], figures) == [
        'the tin of "rod" begins to melt at 231.93 degC, and it reaches 240.0 degC (steady): what was computed for it '
        "does not hold",
        'the tin of "rod" begins to melt at 231.93 degC, which it may reach (it reaches 220.0 degC (steady), +- 20 K)',
    ]


def test_figures_are_taken_by_their_keys() -> None:
    measured = {"temperature": (degrees(50.0),), "loss": (Measured(1.0, 0.1, "W/m"),)}
    assert of_all(measured) == [degrees(50.0)]


def test_hot_metal_is_cautioned_of_where_it_may_reach_43_degrees() -> None:
    assert burning([degrees(42.0, 0.5)]) == ()
    assert len(burning([degrees(42.0, 1.0)])) == 1
    assert len(burning([degrees(20.0, math.nan)])) == 1  # not known


def test_nickel_stops_being_magnetic_before_anything_melts() -> None:
    """Nickel's Curie temperature is 354 degC, that of iron 770 degC; copper melts at 1084.62 degC (CRC, ITS-90)."""
    nickel, steel = (MATERIALS[name] for name in ("nickel", "steel"))
    plated = Conductor(Part("rod", round_bar(0.01), (5e-6,)), MATERIALS["copper"], coats=(nickel,))
    assert broken_bound(plated, 353.0) is None
    assert getattr(broken_bound(plated, 355.0), "words", "") == 'the nickel of "rod" stops being magnetic at 354 degC'
    assert getattr(broken_bound(plated, 1100.0), "words", "") == 'the copper of "rod" begins to melt at 1084.6 degC'
    wall = Conductor(Part("wall", round_bar(0.01)), steel)
    assert getattr(broken_bound(wall, 800.0), "mark", "") == " (steel not magnetic)"
    # a band that reaches the bound makes it "may"
    figures = [Measured(340.0, 20.0, "degC", "rod", "steady, 50 Hz")]
    (warned,) = bound_warnings([plated], figures)
    assert "which it may reach" in warned
