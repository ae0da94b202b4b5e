"""When more solves are taken, with figures that are formulas instead of solves."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

import numpy as np
import pytest

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.topics.tolerance_figures import FigureKey
from crosscurrent.topics.tolerance_response import draws, middle
from crosscurrent.topics.tolerance_spread import NoSpread, Spread, spread
from crosscurrent.topics.tolerance_trials import Trials

LOSS = FigureKey("loss", "", 0)


class Formula:
    """Trials whose figure is a formula, which has no value where that is NaN."""

    def __init__(self, causes: int, formula: Callable[[FloatArray], float]) -> None:
        self.causes = [cast("Any", type("Cause", (), {"key": f"cause {k}"})) for k in range(causes)]
        self.formula = formula
        self.found: dict[tuple[float, ...], Any] = {}
        self.slopes: dict[tuple[float, ...], Any] = {}
        self.refused: dict[tuple[float, ...], str] = {}

    def at(self, place: FloatArray, *, sloped: bool = False) -> dict[FigureKey, float] | None:
        value = float(self.formula(place))
        if np.isnan(value):
            self.refused[tuple(place.tolist())] = "parts overlap"
            return None
        self.found[tuple(place.tolist())] = {LOSS: value}
        return {LOSS: value}


def found(
    formula: Callable[[FloatArray], float], slope: list[float], by_ends: tuple[int, ...] = ()
) -> tuple[Spread, int]:
    causes = len(slope)
    trials = Formula(causes, formula)
    nominal = {LOSS: Measured(float(formula(np.zeros(causes))), 1e-6, "W/m")}
    result = spread(nominal, {}, {LOSS: np.array(slope)}, by_ends, cast("Trials", trials))
    return result, len(trials.found)


def test_straight_figures_take_two_solves() -> None:
    result, solves = found(lambda u: 10 + u[0] + 2 * u[1] + 0.05 * u[0] ** 2, [1.0, 2.0])
    assert (result.order, solves) == ("first", 2)
    assert result.missed == pytest.approx(0.05 / 3, rel=1e-4)


def test_bent_figures_take_both_ends_of_each_cause() -> None:
    result, solves = found(lambda u: 10 + u[0] + 2 * u[1] + 0.6 * u[0] ** 2, [1.0, 2.0])
    assert (result.order, solves) == ("second", 6)
    assert result.missed == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("bent", [0.14, 0.16, 0.3])
@pytest.mark.parametrize("slope", [[3.0], [1.0, 2.0], [1.0, 1.0, 1.0]])
def test_95_per_cent_limits_are_right_to_3_per_cent_of_their_width(slope: list[float], bent: float) -> None:
    """Against draws of the formula itself: of first order as long as that does, whatever the number of causes."""
    def formula(u: FloatArray) -> FloatArray:
        return np.asarray(10 + u @ np.array(slope) + bent * (u**2).mean(axis=-1))

    drawn = np.random.default_rng(3).uniform(-1, 1, (200_000, len(slope)))
    low, high = np.quantile(formula(drawn), [0.025, 0.975])
    result, _ = found(lambda u: float(formula(u)), slope)
    assert (result.order == "first") == (bent < 0.15)
    limits = middle(result.responses[LOSS].at(draws(len(slope), "bound")))
    assert limits == pytest.approx((low, high), abs=0.03 * (high - low))


def test_products_take_places_between() -> None:
    result, solves = found(lambda u: 10 + u[0] + 2 * u[1] + u[0] * u[1], [1.0, 2.0])
    assert result.order == "second with products"
    assert solves == 2 + 4 + 4
    assert result.missed == pytest.approx(0.0, abs=1e-9)


def test_a_cause_that_cannot_reach_an_end_leaves_first_order() -> None:
    result, _ = found(lambda u: np.nan if u[0] < -0.5 else 10 + u[0] + u[0] ** 2, [1.0])
    assert result.order == "first"
    assert result.missed == pytest.approx(1.0, rel=1e-4)


def test_where_ends_are_needed_and_cannot_be_there_is_no_band() -> None:
    with pytest.raises(NoSpread, match="cause 0 at the lower end of its tolerance makes no sound case"):
        found(lambda u: np.nan if u[0] < 0 else 10 + u[0], [1.0], by_ends=(0,))


def test_what_does_not_vary_needs_no_solve() -> None:
    result, solves = found(lambda u: 10.0, [0.0])
    assert (result.checked, result.missed, solves) == (None, None, 0)
