"""What a chapter shows by itself, and figures that are none."""

from __future__ import annotations

import math

import pytest

from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.answers.tables import TextTable


@pytest.mark.parametrize(
    ("value", "error", "known"), [(1.0, 0.1, True), (math.inf, 0.0, False), (1.0, math.nan, False)]
)
def test_a_figure_is_known_where_it_and_its_bar_are_finite(value: float, error: float, known: bool) -> None:
    assert Measured(value, error, "K").known is known


def test_html_escapes_what_the_user_typed() -> None:
    table = TextTable("<b>", ("a & b",), (("<i>",),))
    chapter = Chapter("x", "<title>", {}, (table,), ("1 < 2",), warnings=("<w>",), cautions=("<c>",))
    page = chapter._repr_html_()
    for text in ("&lt;title&gt;", "&lt;b&gt;", "a &amp; b", "&lt;i&gt;", "1 &lt; 2", "&lt;w&gt;", "&lt;c&gt;"):
        assert text in page
    assert "<i>" not in page
    assert "&lt;w&gt;" not in chapter.html()
    assert repr(chapter) == "<Chapter 'x': <title>>"


def test_a_chapter_of_a_warning_alone_is_not_told() -> None:
    assert Chapter("tank", "Tank", {}, sentences=("it resonates",)).is_told
    assert not Chapter("ladder", "Ladder", {}, warnings=("no ladder.cir: no band",)).is_told
