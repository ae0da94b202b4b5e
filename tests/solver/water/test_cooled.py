"""Water and the heat of a solution together: what it takes, what a limit needs, what cannot be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from water_tubes import LITRE

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import tube
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.water.cooled import Supply, WaterHeat, cooled
from crosscurrent.solver.water.coupled import solved_in_water
from crosscurrent.solver.water.pipe import WaterError

COPPER = MATERIALS["copper"]
SUPPLY = Supply("water through go", ("go",), 3.0, 20.0, 2e5, flow=3 * LITRE)


@pytest.fixture(scope="module")
def solution() -> Solution:
    problem = Problem((Conductor(Part("go", tube(0.012, 0.001)), COPPER),), (Circuit("feed", 1000.0, ("go",)),))
    return solve(problem, 0.0)


def test_the_water_takes_all_that_the_air_does_not(solution: Solution) -> None:
    whole = cooled(SUPPLY, WaterHeat.of(solution))
    assert whole.stream.heat == pytest.approx(3 * float(solution.fine.powers[0].real), rel=1e-9)
    assert whole.to_air is None
    less = cooled(SUPPLY, WaterHeat.of(solution, np.array([50.0])))
    assert whole.stream.heat - less.stream.heat == pytest.approx(150.0)
    assert less.to_air == 150.0
    assert whole.conductors == solution.problem.conductors


def test_a_flow_for_a_limit_leaves_it_with_the_loss_there(solution: Solution) -> None:
    """At that flow the metal is warmer, and the loss is that of the resistivity there."""
    found = cooled(SUPPLY, WaterHeat.of(solution))
    flow = found.flow_for("outlet", 45.0)
    assert flow is not None
    warm = solved_in_water(solution, (replace(SUPPLY, flow=flow),))
    there = cooled(replace(SUPPLY, flow=flow), WaterHeat.of(warm))
    assert there.stream.outlet == pytest.approx(45.0, abs=0.1)
    assert found.flow_for("wall", 20.001) is None


def test_water_that_boils_is_close_to_boiling(solution: Solution) -> None:
    found = cooled(replace(SUPPLY, flow=0.05 * LITRE), WaterHeat.of(solution))
    assert found.stream.margin < 0
    assert found.is_close_to_boiling


@pytest.mark.parametrize(
    ("supply", "said"),
    [
        (replace(SUPPLY, outlet_pressure=100.0), "water through go: nothing is left of the air's pressure"),
        (replace(SUPPLY, flow=1000 * LITRE), "water through go: 1000 l/min would take a pressure drop of 12"),
        (replace(SUPPLY, flow=None, pressure_drop=1e12), "water through go: no flow up to"),
    ],
)
def test_what_cannot_be_says_whose_it_is(solution: Solution, supply: Supply, said: str) -> None:
    with pytest.raises(WaterError, match=said):
        cooled(supply, WaterHeat.of(solution))
