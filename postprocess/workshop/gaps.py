"""The gaps that join all parts of a section."""

from __future__ import annotations

import heapq
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.neighbours import nearest_points
from crosscurrent.geometries.plane.part import Part

MOST = 60  # parts whose gaps are looked for


@dataclass(frozen=True, eq=False)
class Gap:
    """The shortest way between two parts, their coats left out [m]."""

    one: Part
    other: Part
    width: float
    start: FloatArray
    end: FloatArray


def joining_gaps(parts: Sequence[Part]) -> list[Gap]:
    """The shortest gaps that join all parts (a spanning tree), the narrowest first; none among more than `MOST` parts.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> stack = [Part(name, bar(0.1, 0.006).placed((0.0, y))) for name, y in (("a", 0.0), ("b", 0.02), ("c", 0.029))]
    >>> [(gap.one.name, gap.other.name, round(gap.width, 9)) for gap in joining_gaps(stack)]
    [('b', 'c', 0.003), ('a', 'b', 0.014)]
    """
    if len(parts) > MOST:
        return []
    boxes = np.array([part.bounds for part in parts])
    pairs = [(float(_between(boxes[i], boxes[j])), i, j) for j in range(len(parts)) for i in range(j)]
    measured: dict[tuple[int, int], Gap] = {}
    group = list(range(len(parts)))
    found: list[Gap] = []
    heapq.heapify(pairs)
    while pairs and len(found) < len(parts) - 1:
        _, i, j = heapq.heappop(pairs)
        if group[i] == group[j]:
            continue
        if (i, j) not in measured:  # so far only the distance of the boxes, which is no larger
            width, _, _, start, end = nearest_points(parts[i], parts[j])
            measured[i, j] = Gap(parts[i], parts[j], width, start, end)
            heapq.heappush(pairs, (width, i, j))
            continue
        found.append(measured[i, j])
        group = [group[i] if g == group[j] else g for g in group]
    return found


def _between(a: FloatArray, b: FloatArray) -> FloatArray:
    """Distance of two boxes (2, 2) [m]; 0 where they overlap."""
    return np.asarray(np.hypot(*np.maximum(0.0, np.maximum(a[0] - b[1], b[0] - a[1]))))
