"""Slopes at a wanted power, and beside a shorted coil, against differences of solved cases.

CROSSCURRENT_EXAMPLES=200 takes every value in each of them, in place of one or two.
"""

from __future__ import annotations

import os
from typing import Any

import numpy as np
import pytest
from topic_cases import chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.result import Result
from crosscurrent.run import solve_case
from crosscurrent.solver.field.slopes import Slope

VALUES = {"radius": 20.0, "billet": 40.0, "gap": 7.0}
STEP = 0.01


def data(radius: float = 20.0, billet: float = 40.0, gap: float = 7.0, **more: Any) -> dict[str, Any]:
    """A coil of three turns and a brass billet; lengths in mm."""
    turn = {"name": "turn", "shape": "round", "diameter": "5 mm", "material": "copper",
            "centre": ["radius", "-7 mm"], "repeat": {"count": 3, "step": ["0 mm", "gap"]}}  # fmt: skip
    piece = {"name": "billet", "shape": "bar", "width": "20 mm", "thickness": "billet", "material": "brass"}
    return {
        "symmetry": "axial", "frequency": {"at": ["20 kHz"]}, "accuracy": {"resistance": "0.01 %"},
        "named": {"radius": f"{radius} mm", "billet": f"{billet} mm", "gap": f"{gap} mm"},
        "conductor": [turn, piece], "coil": [{"name": "work", "turns": ["turn.*"], "current": "100 A"}],
    } | more  # fmt: skip


SHORTED = {
    "coil": [{"name": "work", "turns": ["turn.1", "turn.2"], "current": "100 A"},
             {"name": "other", "turns": ["turn.3"], "shorted": True}],
}  # fmt: skip
WANTED = {"power": {"wanted": "2 kW", "into": ["billet"]}}
EVERY = [*VALUES] if os.environ.get("CROSSCURRENT_EXAMPLES") else None
BOTH = pytest.mark.parametrize(
    ("more", "keys"),
    [(WANTED, EVERY or ["billet"]), (SHORTED, EVERY or ["gap"]), (WANTED | SHORTED, EVERY or ["radius"])],
    ids=["wanted", "shorted", "both"],
)


def figures(result: Result) -> np.ndarray:
    (point,) = result.points
    coil = point.circuits["work"]
    return np.array([coil.resistance, coil.inductance, point.total_loss, abs(coil.current),
                     *(c.loss for c in point.conductors.values())])  # fmt: skip


@BOTH
def test_slopes_are_differences_of_solved_cases(more: dict[str, Any], keys: list[str]) -> None:
    solved = solve_case(checked_case(data(**more, slopes={"of": keys})))
    assert [slope.key for slope in solved.points[0].slopes] == keys
    (point,) = solved.points
    for slope in point.slopes:
        value = VALUES[slope.key]
        below, above = (figures(solve_case(checked_case(data(**{slope.key: value * (1 + n * STEP)}, **more))))
                        for n in (-0.5, 0.5))  # fmt: skip
        wanted = (above - below) / STEP / (1e-3 * value)
        current = 0.0 if slope.current is None else slope.current * abs(point.circuits["work"].current)
        coil = slope.circuits["work"]
        alone = [c.loss for c in slope.conductors.values()]
        got = np.array([coil.resistance, coil.inductance, slope.loss, current, *alone])
        size = figures(solved) / (1e-3 * value)
        assert (np.abs(got - wanted) <= 1e-3 * np.abs(wanted) + 3e-5 * size).all(), (slope.key, got / wanted - 1)
    assert (point.slopes[0].current is None) == ("power" not in more)
    if "power" in more:
        assert abs(point.slopes[0].conductors["billet"].loss) < 1e-6 * 2000 / 0.02


@pytest.mark.parametrize("more", [WANTED, SHORTED], ids=["wanted", "shorted"])
def test_tolerances_are_what_the_ends_come_to(more: dict[str, Any]) -> None:
    """Of one cause, whose ends are solved as cases of their own."""
    plain = data(**more) | {"accuracy": {"resistance": "0.1 %"}}
    loose = plain | {"tolerance": {}, "named": plain["named"] | {"gap": "7 mm +- 0.2 mm"}}
    (point,) = chapter(solve_case(checked_case(loose)), "tolerance").record["points"]  # type: ignore[call-overload, index]
    ends = [figures(solve_case(checked_case(plain | {"named": plain["named"] | {"gap": f"{gap} mm"}})))
            for gap in (6.8, 7.2)]  # fmt: skip
    bands = point["circuits"]["work"]["total_resistance_ohm"], point["total_loss_w"]
    for band, k in zip(bands, (0, 2), strict=True):
        low, high = band["worst_case_by_tolerances_alone"]
        there = sorted(float(one[k]) for one in ends)
        assert (low, high) == (pytest.approx(there[0], rel=2e-4), pytest.approx(there[1], rel=2e-4))
        assert 0 < band["computing_bar"] < 0.05 * (high - low)


def test_slope_has_a_place_for_the_current() -> None:
    row = np.zeros(1)
    assert Slope("gap", row, row, 0.0, row, row, 0.0).current is None
