"""Wet conductors: a tube heated evenly (exact), and a bar with a square tube soldered on (a fin, nearly)."""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import Shape, bar, box, round_bar, tube
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS, Material
from crosscurrent.solver.water.conjugate import conjugate_conduction

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
    found = conjugate_conduction(solution, 0, [FILM], [0.0])
    wall = q * (b * b - a * a) / (2 * a * FILM)
    outside = wall + q / (4 * COPPER.conduction) * (2 * b * b * math.log(b / a) - (b * b - a * a))
    assert found.wall_mean == pytest.approx([wall], rel=1e-6)
    assert found.wall == pytest.approx([wall], rel=1e-6)
    assert found.hottest == pytest.approx(outside, rel=1e-6)
    assert found.heat == pytest.approx([q * area], rel=1e-9)
    assert wall < found.mean < outside


def test_bar_with_a_square_tube_on_it() -> None:
    """The far end of the bar: q l2 / 2k above its foot, l its length beyond the tube."""
    pipe = box(0.010, 0.010, 0.001).placed((0.0, 0.0080), 0.0)
    part = Part("bar", bar(0.100, 0.006), pieces=(pipe,))
    solution = solved(Conductor(part, COPPER, pieces=(COPPER,)))
    found = conjugate_conduction(solution, 0, [FILM], [0.0])
    q = float(solution.fine.powers[0].real) / part.area
    heat = 4 * 0.008 * FILM * found.wall_mean[0]
    assert heat == pytest.approx(float(solution.fine.powers[0].real), rel=1e-6)
    assert found.hottest - found.wall[0] > q * 0.045**2 / (2 * COPPER.conduction)
    assert found.wall[0] > found.wall_mean[0]


def test_unlike_bores_in_metal_of_one_temperature() -> None:
    """Where the metal hardly resists heat: q_i = h_i P_i (T - R_i q_i), and both add up to the loss."""
    metal = Material("ideal", 58e6, thermal_conductivity=1e6)
    holes = tuple(round_bar(d).placed((x, 0.0)).outer for d, x in ((0.010, -0.015), (0.005, 0.015)))
    plate = bar(0.060, 0.020)
    solution = solved(Conductor(Part("plate", Shape(plate.outer, holes)), metal))
    film, warmth = [5000.0, 2000.0], [2e-3, 4e-2]
    found = conjugate_conduction(solution, 0, film, warmth)
    takes = [1 / (1 / (h * math.pi * d) + r) for h, d, r in zip(film, (0.010, 0.005), warmth, strict=True)]
    loss = float(solution.fine.powers[0].real)
    assert found.heat == pytest.approx([loss * t / sum(takes) for t in takes], rel=3e-4)
    assert found.heat.sum() == pytest.approx(loss, rel=1e-7)
    assert found.mean == pytest.approx(loss / sum(takes), rel=3e-4)
    assert found.water == pytest.approx(found.heat * warmth)
