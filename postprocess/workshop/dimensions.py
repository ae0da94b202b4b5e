"""Dimensions around a section: widths below, heights at the right, gaps at the left and above."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part

from .gaps import Gap
from .sheet import DIMENSIONS, LETTER, Label, Sheet, both

MOST = 6  # dimensions on one side of the section
ARROWS = 1.0  # room for arrows of heights that come from below, in heights of the text
STEP = 2.8  # from one line of dimensions to the next, in heights of the text


def diameter(outline: Outline) -> float | None:
    """Of an outline that is a circle [m]; None for any other.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar, round_bar
    >>> round(diameter(round_bar(0.01).outer), 12), diameter(bar(0.1, 0.006).outer)
    (0.01, None)
    """
    if not outline.curved.all():
        return None
    spread = np.ptp(outline.centres, axis=0).max() + np.ptp(outline.radii)
    return 2 * float(outline.radii[0]) if spread < 1e-9 * outline.radii[0] else None


def add_sizes(
    sheet: Sheet, parts: Sequence[Part], *, around: Sequence[Part] | None = None, axial: bool = False
) -> None:
    """Width and height of every part, once for parts of the same size.

    Parameters
    ----------
    sheet : Sheet
    parts : sequence of Part
    around : sequence of Part, optional
        All that is drawn; dimensions stand outside of it.
    axial : bool
        Whether what lies across x = 0 is round about it and all else goes round it: then with inner and outer
        diameter.
    """
    boxes = np.array([p.bounds for p in around or parts])
    low, high = boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)
    for axis in (0, 1):
        seen: dict[str, int] = {}
        first: dict[str, Part] = {}
        for part in parts:
            if axis == 1 and diameter(part.shape.outer) is not None:
                continue
            text = both(float(np.ptp(part.bounds[:, axis])) * 1e3)
            seen[text] = seen.get(text, 0) + 1
            first.setdefault(text, part)
        beside: list[float] = []
        shown = sorted(list(first.items())[:MOST], key=lambda item: float(np.ptp(item[1].bounds[:, axis])))
        turns = _diameters(parts) if axial and axis == 0 else []
        for level, (words, radius) in enumerate(turns, len(shown)):
            below = float(low[1]) * 1e3 - (STEP * (level + 1) + ARROWS) * sheet.height
            wide = np.array([[-radius, low[1]], [radius, low[1]]])
            _across(sheet, wide, words, below, [1e3 * s * r for _, r in turns[level - len(shown) :] for s in (-1, 1)])
        end = float(high[0]) * 1e3 + (STEP * len(shown) + 1) * sheet.height
        for level, (text, part) in enumerate(shown):
            is_round = diameter(part.shape.outer) is not None or (axial and axis == 0 and part.bounds[0, 0] < 0)
            words = f"{'dia ' if is_round else ''}{text}"
            words += f"  {seen[text]}x" if seen[text] > 1 else ""
            if axis == 0:
                below = float(low[1]) * 1e3 - (STEP * (level + 1) + ARROWS) * sheet.height
                down = [x for _, wide in shown[level:] for x in 1e3 * wide.bounds[:, 0]]
                _across(sheet, part.bounds, words, below, [*down, *(1e3 * s * r for _, r in turns for s in (-1, 1))])
            else:
                _up(sheet, part, words, float(high[0]) * 1e3 + STEP * sheet.height * (level + 1), end, beside)


def _diameters(parts: Sequence[Part]) -> list[tuple[str, float]]:
    """What is said of the inside and the outside of all that goes round the axis, and their radii [m]."""
    boxes = np.array([p.bounds for p in parts if p.bounds[0, 0] > 0]).reshape(-1, 2, 2)
    if not len(boxes):
        return []
    radii = float(boxes[:, 0, 0].min()), float(boxes[:, 1, 0].max())
    return [(f"{side} dia {both(2e3 * r)}", r) for side, r in zip(("inner", "outer"), radii, strict=True)]


def _across(sheet: Sheet, bounds: FloatArray, words: str, y: float, down: Sequence[float]) -> None:
    """A width; lines that run on down past it stand at `down`."""
    h = sheet.height
    (left, bottom), (right, _) = bounds * 1e3
    for x in (left, right):
        sheet.line(DIMENSIONS, (x, bottom - 0.4 * h), (x, y - 0.5 * h))
    long = LETTER * h * len(words)
    place = _between(left, right, 1.05 * long, [x for x in down if left < x < right], 0.5 * h)
    if place is None:  # no room between the arrows: they come from outside, the text stands beside them
        starts = (right + 2 * h, left - 2 * h - long, max(down) + 2 * h)
        start = next(x for x in starts if not any(x - 0.5 * h < line < x + long + 0.5 * h for line in down))
        sheet.line(DIMENSIONS, (min(start, left - 2 * h), y), (left, y))
        sheet.line(DIMENSIONS, (right, y), (max(start + long, right + 2 * h), y))
        sheet.arrow((left, y), (left - 1, y))
        sheet.arrow((right, y), (right + 1, y))
        sheet.labels.append(Label(DIMENSIONS, (start, y + 0.35 * h), words, h))
        return
    sheet.line(DIMENSIONS, (left, y), (right, y))
    sheet.arrow((left, y), (right, y))
    sheet.arrow((right, y), (left, y))
    sheet.labels.append(Label(DIMENSIONS, (place, y + 0.35 * h), words, h, "middle"))


def _between(left: float, right: float, long: float, lines: Sequence[float], room: float) -> float | None:
    """Where a text of a length stands between two ends, next to the middle and off the lines that run down; or none."""
    half, middle = 0.5 * long, 0.5 * (left + right)
    places = [middle, *(x + way * (half + room) for x in lines for way in (-1, 1))]
    free = [
        x
        for x in places
        if left + half <= x <= right - half and not any(abs(x - line) < half + 0.99 * room for line in lines)
    ]
    return min(free, key=lambda x: abs(x - middle), default=None)


def _up(sheet: Sheet, part: Part, words: str, x: float, end: float, beside: list[float]) -> None:
    """The height of a part; texts that stand beside all dimensions start at `end`, `beside` says how high."""
    h = sheet.height
    (_, bottom), (right, top) = part.bounds * 1e3
    for y in (bottom, top):
        sheet.line(DIMENSIONS, (right + 0.4 * h, y), (x + 0.5 * h, y))
    long = LETTER * h * len(words)
    if top - bottom > long:
        sheet.line(DIMENSIONS, (x, bottom), (x, top))
        sheet.arrow((x, bottom), (x, top))
        sheet.arrow((x, top), (x, bottom))
        sheet.labels.append(Label(DIMENSIONS, (x - 0.35 * h, (bottom + top) / 2), words, h, "middle", upright=True))
        return
    # no room between the arrows: they come from outside, the text stands at the right of all
    level = max(top + 1.5 * h, *(y + 1.8 * h for y in beside)) if beside else top + 1.5 * h
    beside.append(level)
    sheet.line(DIMENSIONS, (x, bottom - 2 * h), (x, bottom))
    sheet.line(DIMENSIONS, (x, top), (x, level), (end, level))
    sheet.arrow((x, bottom), (x, bottom - 1))
    sheet.arrow((x, top), (x, top + 1))
    sheet.labels.append(Label(DIMENSIONS, (end + 0.3 * h, level - 0.5 * h), words, h))


def add_gaps(sheet: Sheet, parts: Sequence[Part], gaps: Sequence[Gap]) -> None:
    """The gaps between parts, once for equal ones."""
    boxes = np.array([p.bounds for p in parts]) * 1e3
    low, high = boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)
    found: dict[tuple[str, bool], list[tuple[float, float]]] = {}
    for gap in gaps:
        one, other, a, b = gap.one, gap.other, gap.start, gap.end
        middle, d = (a + b) / 2 * 1e3, np.abs(b - a)
        if one.bounds[0, 0] < other.bounds[0, 0] and (other.bounds[1] < one.bounds[1]).all():
            middle = a * 1e3  # one inside the other
        upright = bool(d[1] >= d[0])
        places = found.setdefault((both(gap.width * 1e3), upright), [])
        if not places:
            _span(sheet, a * 1e3, b * 1e3)
        places.append((float(middle[0]), float(middle[1])))
    h = sheet.height
    ordered = sorted(found.items(), key=lambda item: -item[1][0][1] if item[0][1] else -item[1][0][0])
    lowest, highest = float("inf"), float(high[1])
    beside = [y for line in sheet.lines for x, y in line.points if x > high[0]]
    beside += [label.corners[1][1] for label in sheet.labels if label.at[0] > high[0]]
    for (text, upright), places in ordered[: 2 * MOST]:
        x, y = places[0]
        words = f"gap {text}" + (f"  {len(places)}x" if len(places) > 1 else "")
        if upright:  # parts above one another: out to the left
            lowest = min(y, lowest - 1.8 * h)
            end = float(low[0]) - 3 * h
            sheet.line(DIMENSIONS, (x, y), (float(low[0]) - h, y), (end, lowest))
            sheet.labels.append(Label(DIMENSIONS, (end - 0.4 * h, lowest - 0.5 * h), words, h, "end"))
        else:  # side by side: out at the top, the one at the right lowest
            highest += 1.8 * h
            if beside and x + (LETTER * len(words) + 1.5) * h > high[0]:  # above the heights, which stand at the right
                highest = max(highest, max(beside) + 0.8 * h)
            sheet.line(DIMENSIONS, (x, y), (x, highest + 0.5 * h))
            sheet.labels.append(Label(DIMENSIONS, (x + 0.4 * h, highest - 0.5 * h), words, h))


def _span(sheet: Sheet, a: FloatArray, b: FloatArray) -> None:
    """A line across a gap, with arrow heads where they fit."""
    ends = [(float(p[0]), float(p[1])) for p in (a, b)]
    sheet.line(DIMENSIONS, *ends)
    if np.hypot(*(b - a)) > 2.5 * sheet.height:
        sheet.arrow(ends[0], ends[1])
        sheet.arrow(ends[1], ends[0])
