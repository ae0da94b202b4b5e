"""Metal and water in turn: as warm as its own loss makes it, no warmer where water boils."""

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
from crosscurrent.solver.heat.electrothermal import solved_again
from crosscurrent.solver.metals.materials import MATERIALS
from crosscurrent.solver.water.cooled import Supply, WaterHeat, cooled
from crosscurrent.solver.water.coupled import solved_in_water

COPPER = MATERIALS["copper"]
SUPPLY = Supply("water through go", ("go",), 3.0, 20.0, 2e5, flow=3 * LITRE)


@pytest.fixture(scope="module")
def solution() -> Solution:
    problem = Problem((Conductor(Part("go", tube(0.012, 0.001)), COPPER),), (Circuit("feed", 1000.0, ("go",)),))
    return solve(problem, 0.0)


def test_metal_is_as_warm_as_its_own_loss_makes_it(solution: Solution) -> None:
    warm = solved_in_water(solution, (SUPPLY,))
    temperature = warm.problem.conductors[0].temperature
    assert temperature == pytest.approx(cooled(SUPPLY, WaterHeat.of(warm)).stream.branches[0].metal, abs=0.05)
    area = solution.problem.conductors[0].part.area
    assert warm.fine.powers[0].real == pytest.approx(1e6 / (COPPER.conductivity_at(temperature) * area), rel=1e-6)
    assert solved_in_water(solution, ()) is solution


def test_water_that_boils_warms_no_metal(solution: Solution) -> None:
    hot = replace(SUPPLY, flow=0.05 * LITRE)
    assert cooled(hot, WaterHeat.of(solution)).stream.margin < 0
    assert solved_in_water(solution, (hot,)).problem.conductors[0].temperature == 20.0


def test_a_search_from_elsewhere_ends_at_the_same_temperature(solution: Solution) -> None:
    warm = solved_in_water(solution, (SUPPLY,))
    start = solved_again(solution, np.array([60.0]))
    again = solved_in_water(start, (SUPPLY,))
    assert again.problem.conductors[0].temperature == pytest.approx(warm.problem.conductors[0].temperature, abs=0.1)
