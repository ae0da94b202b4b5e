"""Currents even over the metal: resistances at rest, inductance by mean distances."""

from __future__ import annotations

import math
import re

import pytest
from common import MU0, SIGMA, TURN, bar, conductor, metal, pair, rod
from reference_rows import rows

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import bar as box
from crosscurrent.geometries.plane.shapes import tube
from crosscurrent.solver.field.even_current import at_rest, loop_of_bars, three_bars
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import Material


def test_direct_current_divides_by_area() -> None:
    bars = (bar("a", 0.02, 0.005), bar("b", 0.02, 0.015, 0.0, 0.02))
    feed = Circuit("feed", 1.0, ("a", "b"))
    found = at_rest(Problem(bars, (feed,)), feed)
    assert found is not None
    assert found.exact
    assert found.resistance == pytest.approx(1 / (SIGMA * 4e-4), rel=1e-12)
    assert found.inductance is None


def test_a_bimetal_strip_is_its_metals_in_parallel() -> None:
    steel = Material("steel", 7e6, permeability=200.0)
    part = Part("strip", box(0.02, 0.001), pieces=(box(0.02, 0.002).placed((0.0, 0.0015)),))
    strip = Conductor(part, Material("copper", SIGMA), pieces=(steel,))
    feed = Circuit("feed", 1.0, ("strip",))
    found = at_rest(Problem((strip,), (feed,)), feed)
    assert found is not None
    assert found.exact
    assert found.resistance == pytest.approx(1 / (SIGMA * 2e-5 + 7e6 * 4e-5), rel=1e-12)


def test_loops_have_the_inductance_of_the_rows() -> None:
    """Ten pairs of bars (exact mean distances) and the coaxial line (Bessel functions at 0 Hz)."""
    for row in rows("gmd", 10, 19):
        size = re.match(r"(\d+)x(\d+).*gap ([\d.]+) mm", row.conditions)
        width, thick, gap = (1e-3 * float(v) for v in size.groups())
        at = (width + gap, 0.0) if "edge-on" in row.conditions else (0.0, thick + gap)
        loop = pair(bar("a", width, thick), bar("b", width, thick, *at))
        found = at_rest(loop, loop.circuits[0])
        assert found is not None
        assert found.inductance * 1e9 == pytest.approx(row.value, rel=1e-9), row.id
        assert loop_of_bars(loop, 1.0).inductance == pytest.approx(found.inductance, rel=1e-12)
    line = pair(rod("core", 0.002), conductor("sheath", tube(0.008, 0.0005)))
    (row,) = rows("coax", 16, 16)
    assert at_rest(line, line.circuits[0]).inductance == pytest.approx(row.value, rel=1e-9)


def test_two_tubes_have_an_inductance() -> None:
    """By hand: mu0 / pi ln(D / r), and a third of the thin wall over r, through which the field falls linearly."""
    two = pair(conductor("a", tube(0.02, 1e-4)), conductor("b", tube(0.02, 1e-4), (0.05, 0.0)))
    found = at_rest(two, two.circuits[0])
    assert found is not None
    assert found.inductance == pytest.approx(MU0 / math.pi * (math.log(5.0) + 1e-4 / 0.01 / 3), rel=1e-4)


def test_shared_or_magnetic_conductors_are_left_out() -> None:
    bars = (bar("a", 0.02, 0.005), bar("b", 0.02, 0.005, 0.0, 0.02), bar("n", 0.02, 0.005, 0.0, 0.04))
    shared = tuple(Circuit(name, 1.0, (name,), ("n",)) for name in ("a", "b"))
    assert at_rest(Problem(bars, shared), shared[0]) is None
    loop = pair(bars[0], bars[1])
    wall = bar("wall", 0.05, 0.001, 0.0, 0.1, metal(6e6, 100.0))
    found = at_rest(Problem((*loop.conductors, wall), loop.circuits), loop.circuits[0])
    assert found is not None
    assert found.inductance is None
    assert found.resistance == pytest.approx(2 / (SIGMA * 1e-4), rel=1e-12)


@pytest.mark.parametrize("upright", [False, True])
def test_the_solver_lies_within_the_error_of_mean_distances(upright: bool) -> None:
    """Three bars of 60 x 10 mm, 40 mm apart face to face or edge to edge, at 15 and 50 Hz."""
    size, step, frequency = ((0.01, 0.06), 0.04, 50.0) if upright else ((0.06, 0.01), 0.08, 15.0)
    bars = tuple(bar(name, *size, step * k) for k, name in enumerate("abc"))
    problem = Problem(bars, tuple(Circuit(c.name, TURN**k, (c.name,)) for k, c in enumerate(bars)))
    said = three_bars(problem, frequency)
    flow = solve(problem, frequency, accuracy=1e-3).fine
    power = sum(flow.circuit(c) * c.current.conjugate() for c in problem.circuits) / 3
    assert said is not None
    assert said.resistance is None
    assert abs(said.inductance * 2 * math.pi * frequency / power.imag - 1) < said.inductance_error < 0.05


def test_pairs_keep_their_own_error_beside_the_rows() -> None:
    shown = 0
    for row in rows("bars", 44, 105):
        size = re.match(r"pair (\d+)x(\d+) (?:facing )?gap (\d+) go-return.* f=([\d.]+) Hz", row.conditions)
        if not size or row.quantity != "L loop":
            continue
        width, thick, gap = (1e-3 * float(size[k]) for k in (1, 2, 3))
        found = loop_of_bars(pair(bar("a", width, thick), bar("b", width, thick, 0.0, thick + gap)), float(size[4]))
        assert found is not None
        if found.inductance_error < 0.15:
            assert abs(found.inductance / row.value - 1) < found.inductance_error, row.id
            shown += 1
    assert shown >= 8


def test_unlike_bars_have_no_formula() -> None:
    for other in (bar("b", 0.02, 0.006, 0.0, 0.02), bar("b", 0.02, 0.005, 0.0, 0.02, metal(35e6))):
        assert loop_of_bars(pair(bar("a", 0.02, 0.005), other), 50.0) is None
