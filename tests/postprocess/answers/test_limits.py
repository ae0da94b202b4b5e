"""A figure against its limit: the whole bar has to lie on one side."""

from __future__ import annotations

import math

import pytest

from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.postprocess.answers.limits import Verdict


def verdict(value: float, error: float, allowed: float = 100.0, **more: object) -> Verdict:
    return Verdict("loss", allowed, Measured(value, error, "W/m"), **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("value", "error", "said"),
    [
        (98.0, 2.0, "pass"),  # the end of the bar is the limit itself
        (98.0, 2.1, "cannot tell"),
        (102.0, 2.0, "cannot tell"),
        (102.1, 2.0, "fail"),
        (math.inf, 0.0, "fail"),
        (98.0, math.inf, "cannot tell"),
    ],
)
def test_standing(value: float, error: float, said: str) -> None:
    assert verdict(value, error).standing == said


def test_nothing_passes_where_the_metal_does_not_hold() -> None:
    assert verdict(50.0, 1.0, at_best="fail").standing == "fail"
    assert verdict(150.0, 1.0, at_best="cannot tell").standing == "fail"


def test_margin_and_rank() -> None:
    assert verdict(70.0, 1.0).margin == 30.0
    mixed = [verdict(value, 1.0) for value in (90.0, 150.0, 20.0, 100.0, 110.0)]
    assert [v.found.value for v in sorted(mixed, key=lambda v: v.rank)] == [150.0, 110.0, 100.0, 90.0, 20.0]
    assert verdict(1.0, 0.0, allowed=0.0).rank[1] == -math.inf
