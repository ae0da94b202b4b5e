"""Flows for a limit: rounded up, and true at the flow that is told."""

from __future__ import annotations

from dataclasses import replace

import pytest
from water_tubes import LITRE

from crosscurrent.geometries.plane.shapes import tube
from crosscurrent.solver.field.alone import alone
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.water.cooled import Supply, WaterCooling, WaterHeat, cooled
from crosscurrent.solver.water.coupled import solved_in_water
from crosscurrent.solver.water.enough import NOT_BOILING, Aim, below, enough, rounded_up

SUPPLY = Supply("water through pipe", ("pipe",), 3.0, 20.0, 1.013e5, flow=3 * LITRE)


@pytest.fixture(scope="module")
def solution() -> Solution:
    return solve(alone(tube(0.012, 0.001), 1500.0, "pipe"), 0.0)


def again_of(solution: Solution) -> tuple[list[float], object]:
    asked: list[float] = []

    def again(flow: float) -> WaterCooling:
        asked.append(flow)
        supply = replace(SUPPLY, flow=flow)
        return cooled(supply, WaterHeat.of(solved_in_water(solution, [supply])))

    return asked, again


@pytest.mark.parametrize("aim", [below("outlet", 60.0), below("wall", 75.0), NOT_BOILING], ids=("out", "wall", "boil"))
def test_the_flow_is_true_and_hardly_too_much(solution: Solution, aim: Aim) -> None:
    """Solved anew there: it holds, at one per cent less it does not; no more than a few solves were taken."""
    asked, again = again_of(solution)
    start = cooled(replace(SUPPLY, flow=1.5 * LITRE), WaterHeat.of(solution))  # cold metal: half of the loss
    flow = enough(start, aim, again)  # type: ignore[arg-type]
    assert flow is not None
    assert flow == pytest.approx(rounded_up(flow), rel=1e-12)
    assert aim.holds(again(flow))  # type: ignore[operator]
    assert not aim.holds(again(0.985 * flow))  # type: ignore[operator]
    assert len(asked) <= 6


def test_without_a_solve_it_is_the_estimate_rounded_up(solution: Solution) -> None:
    water, aim = cooled(SUPPLY, WaterHeat.of(solution)), below("outlet", 45.0)
    flow = aim.estimate(water)
    assert flow is not None
    assert flow <= (enough(water, aim, None) or 0) <= 1.01 * flow


def test_where_no_flow_does_there_is_none(solution: Solution) -> None:
    water = cooled(SUPPLY, WaterHeat.of(solution))
    assert enough(water, below("wall", 20.001), again_of(solution)[1]) is None  # type: ignore[arg-type]
