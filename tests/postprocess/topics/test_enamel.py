"""Words on enamel that is too hot: classes of IEC 60317 and IEC 60076-5, from memory."""

from __future__ import annotations

import math

import pytest

from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.postprocess.topics.enamel import beyond_class, enamel_warnings


def _said(value: float, error: float = 0.0, above: float = 0.0) -> list[str]:
    return list(enamel_warnings("lead", [Measured(value, error, "degC", "lead.1", "steady", above=above)], []))


@pytest.mark.parametrize(
    ("temperature", "told"), [(156.0, "take class 180"), (181.0, "take class 200"), (240.0, "take class 240"),
                              (241.0, "none of the common ones does")],
)  # fmt: skip
def test_the_class_that_would_do(temperature: float, told: str) -> None:
    (line,) = _said(temperature)
    assert line.startswith(f'the strands of "lead" are at {temperature:.1f} degC (steady): more than enamel of the')
    assert told in line
    assert told in (beyond_class(temperature) or "")


def test_what_the_usual_one_bears() -> None:
    assert not _said(155.0)
    assert beyond_class(155.0) is None


def test_bars_and_lay_count() -> None:
    assert "are at 150.0 degC (steady), and may reach 157.0 degC" in _said(150.0, error=7.0)[0]
    assert "may reach 158.0 degC" in _said(150.0, above=8.0)[0]


def test_the_hottest_of_what_is_known() -> None:
    figures = [Measured(value, 0.0, "degC", "lead") for value in (160.0, 190.0, math.inf)]
    (line,) = enamel_warnings("lead", figures, [])
    assert "at 190.0 degC: more" in line


def test_for_seconds_it_bears_more() -> None:
    fault = [[Measured(value, 0.0, "degC", "lead", "after [fault]")] for value in (300.0, 360.0)]
    assert not list(enamel_warnings("lead", [], fault[0]))
    (line,) = enamel_warnings("lead", [], fault[1])
    assert "are at 360.0 degC (after [fault]): more than the 350 degC that enamel of class 155 and above bears" in line
