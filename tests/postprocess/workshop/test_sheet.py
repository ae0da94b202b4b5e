"""What a drawing consists of: bounds, arrow heads, lengths in both units."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.postprocess.workshop.sheet import DIMENSIONS, LETTER, NOTES, Hatch, Label, Sheet, both


@pytest.mark.parametrize(
    ("millimetres", "said"),
    [(0.0254, "0.0254 (1)"), (25.399, "25.399 (1000)"), (25.4, "25.4 (1 in)"), (254.0, "254 (10 in)")],
)
def test_lengths_in_millimetres_and_thou_or_inches(millimetres: float, said: str) -> None:
    assert both(millimetres) == said


def test_bounds_hold_everything() -> None:
    sheet = Sheet("Bar", 2.0)
    sheet.hatches.append(Hatch("METAL bar", (Outline.of([(0.0, 0.0), (10.0, 0.0), (10.0, 5.0), (0.0, 5.0)]),)))
    sheet.line(DIMENSIONS, (-3.0, 1.0), (4.0, 1.0))
    sheet.text(NOTES, (8.0, 6.0), "abcd")
    np.testing.assert_allclose(sheet.bounds, [[-3.0, 0.0], [8.0 + 4 * 2 * LETTER, 8.0]])


@pytest.mark.parametrize(("anchor", "left"), [("start", 0.0), ("middle", -2 * LETTER), ("end", -4 * LETTER)])
def test_the_box_of_a_label(anchor: str, left: float) -> None:
    low, high = Label(NOTES, (0.0, 0.0), "abcd", 1.0, anchor).corners  # type: ignore[arg-type]
    assert low == (pytest.approx(left), 0.0)
    assert high == (pytest.approx(left + 4 * LETTER), 1.0)
    low, high = Label(NOTES, (0.0, 0.0), "abcd", 1.0, anchor, upright=True).corners  # type: ignore[arg-type]
    assert low[1] == pytest.approx(left)
    assert high[0] == 0.0


def test_an_arrow_head_has_its_tip_where_it_points() -> None:
    sheet = Sheet("", 2.0)
    sheet.arrow((5.0, 0.0), (0.0, 0.0))
    (head,) = sheet.lines
    assert head.filled
    assert head.points[0] == (5.0, 0.0)
    np.testing.assert_allclose(np.mean(head.points[1:], axis=0), (3.0, 0.0))  # as long as the text is high
