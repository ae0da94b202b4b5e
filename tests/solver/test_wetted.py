"""Wet conductors: a tube heated evenly (exact), and a bar with a square tube soldered on (a fin, nearly)."""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.section import Part
from crosscurrent.geometries.shapes import bar, box, tube
from crosscurrent.solver.materials import MATERIALS
from crosscurrent.solver.problem import Circuit, Conductor, Problem
from crosscurrent.solver.solve import Solution, solve
from crosscurrent.solver.wetted import wetted

COPPER = MATERIALS["copper"]
FILM = 6000.0


def solved(conductor: Conductor) -> Solution:
    return solve(Problem((conductor,), (Circuit("feed", 2000.0, (conductor.name,)),)), 0.0)


def test_tube_heated_evenly() -> None:
    """q (b2 - a2) / (2 a h) at the wall; q / 4k (2 b2 ln(b/a) - (b2 - a2)) more outside; any textbook of heat."""
    a, b = 0.004, 0.010
    solution = solved(Conductor(Part("tube", tube(2 * b, b - a)), COPPER))
    area = math.pi * (b * b - a * a)
    q = 2000.0**2 / (58e6 * area) / area
    found = wetted(solution, 0, solution.problem.conductors[0].part.shape.holes, FILM)
    wall = q * (b * b - a * a) / (2 * a * FILM)
    outside = wall + q / (4 * COPPER.conduction) * (2 * b * b * math.log(b / a) - (b * b - a * a))
    assert found.wall_mean == pytest.approx(wall, rel=1e-6)
    assert found.wall == pytest.approx(wall, rel=1e-6)
    assert found.hottest == pytest.approx(outside, rel=1e-6)
    assert math.hypot(*found.place) == pytest.approx(b, rel=1e-6)
    assert wall < found.mean < outside


def test_bar_with_a_square_tube_on_it() -> None:
    """The far end of the bar: q l2 / 2k above its foot, l its length beyond the tube."""
    pipe = box(0.010, 0.010, 0.001).placed((0.0, 0.0080), 0.0)
    part = Part("bar", bar(0.100, 0.006), pieces=(pipe,))
    solution = solved(Conductor(part, COPPER, pieces=(COPPER,)))
    found = wetted(solution, 0, pipe.holes, FILM)
    q = float(solution.fine.powers[0].real) / part.area
    heat = 4 * 0.008 * FILM * found.wall_mean
    assert heat == pytest.approx(float(solution.fine.powers[0].real), rel=1e-6)
    assert found.hottest - found.wall > q * 0.045**2 / (2 * COPPER.conduction)
    assert found.wall > found.wall_mean
    assert abs(found.place[0]) == pytest.approx(0.050, rel=1e-3)
