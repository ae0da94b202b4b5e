"""A pair of rods: what two orders make of its bars."""

import math
import pickle
from dataclasses import replace

import numpy as np
import pytest
from common import SIGMA, driven, pair, rod

from crosscurrent.solver.field.bars import FLOOR
from crosscurrent.solver.field.field_warning import FieldWarning
from crosscurrent.solver.field.problem import Circuit
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve

FEED = Circuit("loop", 10.0, ("go",), ("back",))


@pytest.fixture(scope="module")
def solution() -> Solution:
    return solve(pair(rod("go", 0.01), rod("back", 0.01, 0.03), 10.0), 500.0)


def test_bars_are_positive_and_small(solution: Solution) -> None:
    assert (solution.power_errors > 0).all()
    np.testing.assert_allclose(solution.loss_errors * solution.fine.powers.real, solution.power_errors, rtol=1e-6)
    assert 0 < solution.bound <= solution.wanted == 1e-3
    assert all(FLOOR <= bar < 1e-3 for bar in solution.circuit_errors(FEED))


def test_bars_cover_the_change_from_the_order_below(solution: Solution) -> None:
    change = np.abs(solution.fine.powers.real - solution.coarse.powers.real)
    assert (change <= solution.power_errors).all()
    moved = np.hypot(*(solution.fine.force - solution.coarse.force).T)
    assert (moved <= solution.force_errors).all()


def test_relative_bars_know_no_current(solution: Solution) -> None:
    """Watts go with the square of the current, and so do their bars."""
    stronger = driven(solution, replace(FEED, current=30.0))
    np.testing.assert_allclose(stronger.fine.powers, 9 * solution.fine.powers, rtol=1e-12)
    np.testing.assert_allclose(stronger.power_errors, 9 * solution.power_errors, rtol=1e-6)
    assert stronger.circuit_errors(stronger.problem.circuits[0]) == pytest.approx(
        solution.circuit_errors(FEED), rel=1e-6
    )


def test_the_scale_holds_loss_and_stored_energy(solution: Solution) -> None:
    resting = 100.0 / (SIGMA * math.pi * 0.005**2)
    assert solution.scale > 2 * resting
    assert solution.indicators.sum() < 0.1 * solution.scale


def test_equal_after_pickle_with_its_warnings(solution: Solution) -> None:
    warned = replace(solution, warnings=(FieldWarning("accuracy", "text"),))
    assert pickle.loads(pickle.dumps(warned)) == warned != solution
    assert repr(solution) == "<DirectSolution at 500 Hz of <Problem: conductors go, back; circuits loop>>"
    with pytest.raises(TypeError, match="unhashable"):
        hash(solution)
