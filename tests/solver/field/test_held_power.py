"""Slopes at a power that is held, against rods of direct current in series."""

from __future__ import annotations

import pytest
from common import pair, rod

from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.held_power import at_held_power
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.slopes import slopes
from crosscurrent.solver.field.solve import solve

DIAMETER, CURRENT, STEP = 0.01, 100.0, 1e-9


def rods(first: float = DIAMETER) -> Problem:
    return pair(rod("a", first), rod("b", DIAMETER, 0.03), CURRENT)


@pytest.mark.parametrize(("held", "losses", "current"), [(0, (0.0, 2.0), 1.0), (1, (-2.0, 0.0), 0.0)])
def test_what_goes_with_the_current_goes_with_the_power_that_is_held(
    held: int, losses: tuple[float, float], current: float
) -> None:
    """P = I^2 R, R as 1 / d^2: with P_a held while a grows, I goes with d; with P_b held it stays."""
    solution = solve(rods(), 0.0)
    (given,) = slopes(solution, [Change("diameter", rods(DIAMETER + STEP), STEP)], each=True)
    found, power = at_held_power(given, solution, [held]), float(solution.fine.powers[0].real)
    assert found.own is not None
    assert found.current is not None
    assert found.own.losses * DIAMETER / power == pytest.approx(losses, abs=1e-6)
    assert found.current * DIAMETER == pytest.approx(current, abs=1e-6)
    assert found.loss == pytest.approx(float(found.own.losses.sum()), abs=1e-9 * power / DIAMETER)
    assert found.resistance[0] == given.resistance[0]
    force = 2 * current + float(given.own.forces[0]) * DIAMETER / float(given.own.peaks[0])  # type: ignore[union-attr]
    assert float(found.own.forces[0]) * DIAMETER / float(found.own.peaks[0]) == pytest.approx(force, abs=1e-7)


def test_without_slopes_of_single_conductors_it_stays() -> None:
    solution = solve(rods(), 0.0)
    (given,) = slopes(solution, [Change("diameter", rods(DIAMETER + STEP), STEP)])
    assert at_held_power(given, solution, [0]) is given
