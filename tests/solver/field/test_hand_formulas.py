"""The surest formula for each circuit, and none where none fits."""

from __future__ import annotations

from dataclasses import replace

import pytest
from common import COPPER, TURN, bar, conductor, metal, pair, rod

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import angle, tube
from crosscurrent.geometries.plane.shapes import bar as box
from crosscurrent.solver.field.hand_formulas import hand_formulas
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.metals.strands import Strands

FEED = pair(bar("a", 0.1, 0.006), bar("b", 0.1, 0.006, 0.0, 0.007))


def names(problem: Problem, frequency: float) -> list[str]:
    return [found.name for found in hand_formulas(problem, frequency)]


def phases(*conductors: Conductor) -> Problem:
    return Problem(conductors, tuple(Circuit(c.name, TURN**k, (c.name,)) for k, c in enumerate(conductors)))


def test_the_surest_formula_is_taken() -> None:
    assert names(FEED, 0.0) == ["area, mean distances"]
    assert names(FEED, 50.0) == ["stack of 2 wide strips"]
    assert names(FEED, 85e3) == ["two bars face to face"]
    two = pair(rod("a", 0.02), rod("b", 0.02, 0.03))
    assert [names(two, f)[0] for f in (50.0, 10e3)] == ["two round wires", "two round conductors that crowd"]
    line = pair(rod("core", 0.01), conductor("sheath", tube(0.03, 0.001)))
    assert names(line, 1e3) == ["coaxial line, Bessel functions"]


def test_every_circuit_has_its_resistance_at_rest() -> None:
    found = hand_formulas(phases(*(bar(n, 0.01, 0.06, 0.04 * k) for k, n in enumerate("abc"))), 0.0)
    assert [one.circuits for one in found] == [("a",), ("b",), ("c",)]
    assert all(one.exact for one in found)


def two_metals(permeability: float) -> Problem:
    part = Part("strip", box(0.02, 0.001), pieces=(box(0.02, 0.002).placed((0.0, 0.0015)),))
    strip = Conductor(part, COPPER, pieces=(metal(7e6, permeability),))
    return Problem((strip,), (Circuit("feed", 1.0, ("strip",)),))


@pytest.mark.parametrize(
    "problem",
    [
        Problem((conductor("leg", angle(0.04, 0.04, 0.01)),), (Circuit("feed", 1.0, ("leg",)),)),
        phases(*(bar(n, 0.01, 0.06, 0.04 * k) for k, n in enumerate("abc"))),
        two_metals(1.0),
        two_metals(200.0),
        pair(bar("a", 0.04, 0.01), bar("b", 0.06, 0.01, 0.0, 0.02)),
        Problem((*FEED.conductors, bar("idle", 0.1, 0.006, 0.0, 0.02)), FEED.circuits),
        Problem(FEED.conductors, (Circuit("feed", 1.0, ("a", "b")),)),
        Problem(FEED.conductors, (Circuit("feed", 0.0, ("a",), ("b",)),)),
    ],
    ids=["angle", "three bars", "bimetal", "steel-clad", "unlike bars", "idle bar", "parallel", "no current"],
)  # fmt: skip
def test_where_none_fits_there_is_none(problem: Problem) -> None:
    assert hand_formulas(problem, 1e3) == []


def test_roughness_makes_a_formula_less_sure() -> None:
    rough = [replace(c, roughness=1e-6) for c in (rod("a", 0.02), rod("b", 0.02, 0.03))]
    smooth = hand_formulas(pair(rod("a", 0.02), rod("b", 0.02, 0.03)), 1e6)[0]
    (found,) = hand_formulas(pair(*rough), 1e6)
    assert found.resistance_error > smooth.resistance_error + 1e-4
    assert hand_formulas(pair(*(replace(c, roughness=20e-6) for c in rough)), 1e6) == []
    lone = Problem((replace(rod("a", 0.02), roughness=1e-6),), (Circuit("feed", 1.0, ("a",)),))
    assert not hand_formulas(lone, 1e6)[0].exact


def test_none_fits_strands() -> None:
    solid = phases(rod("a", 0.003))
    bundle = replace(solid, conductors=(replace(solid.conductors[0], strands=Strands(420, 1e-4)),))
    assert hand_formulas(solid, 85e3)
    assert not hand_formulas(bundle, 85e3)
    assert not hand_formulas(bundle, 0.0)
