"""The axis of a section that goes round one, as a drawing shows it: a chain line, and what is left of it mirrored."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

import numpy as np

from crosscurrent.geometries.plane.part import Part

from .gaps import Gap
from .sheet import NOTES, Sheet

Kind = Literal["plane", "both halves", "right half"]
LONG, SHORT, OPEN = 4.0, 0.7, 0.8  # dashes of a chain line and the air between them [heights of the text]
BEYOND = 2.0  # that it goes on above and below [heights]
FLIP = np.array([-1.0, 1.0])


def is_on_axis(part: Part) -> bool:
    """Whether a part of an axial section lies across its axis, and so is whole."""
    return bool(part.bounds[0, 0] < 0)


def mirrored_gap(gap: Gap) -> Gap:
    """A gap between parts above one another left of the axis, where there is room for what is said of it."""
    start, end = gap.start, gap.end
    if abs(end[1] - start[1]) < abs(end[0] - start[0]):
        return gap
    return replace(gap, start=FLIP * start, end=FLIP * end)


def add_axis(sheet: Sheet, shown: Sequence[Part]) -> None:
    """The axis through all of a drawing, in long and short dashes, with its name."""
    h = sheet.height
    boxes = np.array([part.bounds for part in shown]) * 1e3
    y, top = float(boxes[:, 0, 1].min()) - BEYOND * h, float(boxes[:, 1, 1].max()) + BEYOND * h
    dash = LONG
    while y < top:
        end = min(y + dash * h, top)
        sheet.line(NOTES, (0.0, y), (0.0, end))
        y, dash = end + OPEN * h, LONG + SHORT - dash
    sheet.text(NOTES, (0.4 * h, top - 0.9 * h), "axis")
