"""Dimensions around a section: widths below, heights at the right, gaps at the left and above."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ...geometries.distance import closest_sides
from ...geometries.outline import FloatArray, Outline
from ...geometries.section import Part
from .sheet import DIMENSIONS, LETTER, Label, Sheet, both

MOST = 6  # dimensions on one side of the section
MOST_PARTS = 60  # parts whose gaps are looked for
STEP = 2.8  # from one line of dimensions to the next, in heights of the text


def diameter(outline: Outline) -> float | None:
    """Of an outline that is a circle [m]; None for any other."""
    if not outline.curved.all():
        return None
    spread = np.ptp(outline.centres, axis=0).max() + np.ptp(outline.radii)
    return 2 * float(outline.radii[0]) if spread < 1e-9 * outline.radii[0] else None


def add_sizes(sheet: Sheet, parts: Sequence[Part]) -> None:
    """Width and height of every part, once for parts of the same size."""
    boxes = np.array([p.bounds for p in parts])
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
        for level, (text, part) in enumerate(list(first.items())[:MOST]):
            words = f"{'dia ' if diameter(part.shape.outer) is not None else ''}{text}"
            words += f"  {seen[text]}x" if seen[text] > 1 else ""
            if axis == 0:
                _across(sheet, part, words, float(low[1]) * 1e3 - STEP * sheet.height * (level + 1))
            else:
                _up(sheet, part, words, float(high[0]) * 1e3 + STEP * sheet.height * (level + 1))


def _across(sheet: Sheet, part: Part, words: str, y: float) -> None:
    h = sheet.height
    (left, bottom), (right, _) = part.bounds * 1e3
    for x in (left, right):
        sheet.line(DIMENSIONS, (x, bottom - 0.4 * h), (x, y - 0.5 * h))
    long = LETTER * h * len(words)
    if right - left < 1.05 * long:  # no room between the arrows: they come from outside, the text stands beside them
        sheet.line(DIMENSIONS, (left - 2 * h, y), (left, y))
        sheet.line(DIMENSIONS, (right, y), (right + 2 * h + long, y))
        sheet.arrow((left, y), (left - 1, y))
        sheet.arrow((right, y), (right + 1, y))
        sheet.labels.append(Label(DIMENSIONS, (right + 2 * h, y + 0.35 * h), words, h))
        return
    sheet.line(DIMENSIONS, (left, y), (right, y))
    sheet.arrow((left, y), (right, y))
    sheet.arrow((right, y), (left, y))
    sheet.labels.append(Label(DIMENSIONS, ((left + right) / 2, y + 0.35 * h), words, h, "middle"))


def _up(sheet: Sheet, part: Part, words: str, x: float) -> None:
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
    # no room between the arrows: they come from outside, the text stands above them
    sheet.line(DIMENSIONS, (x, bottom - 2 * h), (x, bottom))
    sheet.line(DIMENSIONS, (x, top), (x, top + 2 * h + long))
    sheet.arrow((x, bottom), (x, bottom - 1))
    sheet.arrow((x, top), (x, top + 1))
    sheet.labels.append(Label(DIMENSIONS, (x - 0.35 * h, top + 2 * h), words, h, "start", upright=True))


def add_gaps(sheet: Sheet, parts: Sequence[Part]) -> None:
    """The gap between each part and its nearest neighbour, once for equal ones."""
    if not 1 < len(parts) <= MOST_PARTS:
        return
    boxes = np.array([p.bounds for p in parts]) * 1e3
    low, high = boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)
    found: dict[tuple[str, bool], list[tuple[float, float]]] = {}
    for one, other, gap, a, b in _neighbours(parts):
        middle, d = (a + b) / 2 * 1e3, np.abs(b - a)
        if one.bounds[0, 0] < other.bounds[0, 0] and (other.bounds[1] < one.bounds[1]).all():
            middle = a * 1e3  # one inside the other
        upright = bool(d[1] >= d[0])
        places = found.setdefault((both(gap * 1e3), upright), [])
        if not places:
            _span(sheet, a * 1e3, b * 1e3)
        places.append((float(middle[0]), float(middle[1])))
    h = sheet.height
    used: dict[bool, float] = {True: float("inf"), False: float("-inf")}
    ordered = sorted(found.items(), key=lambda item: -item[1][0][1] if item[0][1] else item[1][0][0])
    for (text, upright), places in ordered[: 2 * MOST]:
        x, y = places[0]
        words = f"gap {text}" + (f"  {len(places)}x" if len(places) > 1 else "")
        if upright:  # parts above one another: out to the left
            level = min(y, used[True] - 1.8 * h)
            used[True] = level
            end = float(low[0]) - 3 * h
            sheet.line(DIMENSIONS, (x, y), (float(low[0]) - h, y), (end, level))
            sheet.labels.append(Label(DIMENSIONS, (end - 0.4 * h, level - 0.5 * h), words, h, "end"))
        else:  # side by side: out at the top
            level = max(x, used[False] + 1.8 * h)
            used[False] = level
            end = float(high[1]) + 3 * h
            sheet.line(DIMENSIONS, (x, y), (x, float(high[1]) + h), (level, end))
            sheet.labels.append(Label(DIMENSIONS, (level + 0.5 * h, end + 0.4 * h), words, h, "start", upright=True))


def _span(sheet: Sheet, a: FloatArray, b: FloatArray) -> None:
    """A line across a gap, with arrow heads where they fit."""
    ends = [(float(p[0]), float(p[1])) for p in (a, b)]
    sheet.line(DIMENSIONS, *ends)
    if np.hypot(*(b - a)) > 2.5 * sheet.height:
        sheet.arrow(ends[0], ends[1])
        sheet.arrow(ends[1], ends[0])


def _neighbours(parts: Sequence[Part]) -> list[tuple[Part, Part, float, FloatArray, FloatArray]]:
    """Pairs that join all parts by the shortest gaps (a spanning tree), with the gap and its ends [m]."""
    pairs = []
    for i, one in enumerate(parts):
        for other in parts[i + 1 :]:
            best = min(
                (closest_sides(a, b) for a in one.all_outlines for b in other.all_outlines), key=lambda found: found[0]
            )
            pairs.append((best[0], one, other, best[3], best[4]))
    pairs.sort(key=lambda pair: pair[0])
    group = {id(part): k for k, part in enumerate(parts)}
    tree = []
    for gap, one, other, a, b in pairs:
        if group[id(one)] != group[id(other)]:
            old, new = group[id(other)], group[id(one)]
            group = {key: new if value == old else value for key, value in group.items()}
            tree.append((one, other, gap, a, b))
    return tree
