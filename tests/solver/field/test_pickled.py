"""What a process pool sends comes back equal, whether its processes are forked or spawned."""

import pickle
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import cache
from multiprocessing import get_context

import common
import pytest
from common import rod

from crosscurrent.solver.band.sweep import sweep
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS


def pair() -> Problem:
    copper = MATERIALS["copper"]
    return common.pair(rod("a", 0.004, material=copper), rod("b", 0.004, 0.01, material=copper), 10.0, "feed")


@cache
def given() -> tuple[object, ...]:
    """A problem, a solution and a sweep, with all that they have worked out kept inside."""
    solution, band = solve(pair(), 50.0), sweep(pair(), [50.0, 500.0])
    assert solution.bound < 1e-3
    assert band.bounds.max() < 1e-3
    assert solution.force_errors.any()
    return solution.problem, solution, band, band.solution(0)


@pytest.mark.parametrize("number", range(4))
def test_a_round_trip_is_equal(number: int) -> None:
    one = given()[number]
    again = pickle.loads(pickle.dumps(one))
    assert again == one
    assert again is not one
    assert again != given()[number - 1]
    with pytest.raises(TypeError, match="unhashable"):
        hash(one)


def test_other_figures_are_not_equal() -> None:
    problem, solution, band, _ = given()
    assert replace(problem, circuits=()) != problem
    assert replace(solution, refinements=99) != solution
    assert band.at([60.0]) != band


@pytest.mark.parametrize("method", ["fork", "spawn"])
def test_a_pool_sends_them_and_gets_them_back(method: str) -> None:
    with ProcessPoolExecutor(1, mp_context=get_context(method)) as pool:
        assert list(pool.map(tuple, [given()])) == [given()]
