"""The verdict within tolerances: of a rod of direct current, whose loss is that of its area."""

from __future__ import annotations

import math
from typing import Any

import pytest

from crosscurrent.casefile.case import checked_case
from crosscurrent.postprocess.report import as_html
from crosscurrent.report import report_of
from crosscurrent.result import Result
from crosscurrent.run import solve_case

AREA = math.pi * 0.005**2


def rod(limit: float, **more: Any) -> Result:
    """A limit at so many times the loss as drawn up; the area, and so the loss, is good to 4 %."""
    data = {
        "frequency": {"at": ["0 Hz"]},
        "material": {"own": {"conductivity": "50 MS/m"}},
        "conductor": [{"name": "rod", "shape": "round", "diameter": "10 mm +- 2 %", "material": "own"}],
        "circuit": [{"name": "feed", "current": "100 A", "out": ["rod"]}],
        "limits": {"loss": f"{limit * 100**2 / (50e6 * AREA):.6f} W/m"} | more,
    }
    return solve_case(checked_case(data))


def test_a_limit_that_half_of_all_pieces_keep_is_no_pass() -> None:
    result = rod(1.0001)
    summary, limits = result.heading.summary, result.chapter("limits")
    assert summary is not None
    assert (summary.verdict, limits.record["verdict_as_drawn_up"]) == ("cannot tell", "pass")
    assert summary.verdict_words.startswith("as drawn up the limit holds, error bar included; within tolerances not")
    assert summary.verdict_words.endswith(("in 50 %", "in 51 %"))
    assert "within tolerances not always" in as_html(report_of(result, []))


@pytest.mark.parametrize(("more", "words"), [({}, "the limit holds, error bar included, within tolerances too"),
                                             ({"mass": "5 kg/m"}, "could not be judged")])  # fmt: skip
def test_what_holds_wherever_the_causes_lie(more: dict[str, str], words: str) -> None:
    assert words in rod(1.05, **more).heading.summary.verdict_words


def test_what_fails_stays_failed() -> None:
    result = rod(0.99)
    assert result.heading.summary.verdict == "fail"
    assert "verdict_as_drawn_up" not in result.chapter("limits").record
