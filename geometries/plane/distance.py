"""Exact distances between points and outlines and between two outlines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .outline import Outline
from .sides import Sides, distances, side_distances

Closest: TypeAlias = tuple[float, int, int, FloatArray, FloatArray]  # distance, sides, nearest points
CHUNK = 200_000  # rows of pairs worked on at once; bounds the memory to some tens of MB


def point_distance(points: npt.ArrayLike, outline: Outline) -> FloatArray:
    """Distance of points from every side of an outline.

    Parameters
    ----------
    points : (m, 2) float
        [m]
    outline : Outline

    Returns
    -------
    distance : (m, n) float
        [m], never negative. Exact for lines and arcs.

    Examples
    --------
    >>> square = Outline.of([(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)])
    >>> point_distance([(0.5, 1.0)], square).tolist()
    [[1.0, 1.5, 1.0, 0.5]]
    """
    where = np.asarray(points, dtype=float).reshape(-1, 2)
    sides = Sides.of(outline)
    rows = max(1, CHUNK // len(sides))
    parts = [distances(sides, where[k : k + rows]) for k in range(0, len(where), rows)]
    return np.concatenate(parts) if parts else np.empty((0, len(sides)))


def near_pairs(a: Sides, b: Sides, reach: float) -> Iterator[tuple[IntArray, IntArray]]:
    """Pairs (side of a, side of b) whose boxes come within `reach` [m], in chunks of bounded size.

    No pair of sides nearer than `reach` is left out.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> low, high = (Sides.of(bar(2.0, 1.0).outer.moved((0.0, y))) for y in (0.0, 1.5))
    >>> [(i.tolist(), j.tolist()) for i, j in near_pairs(low, high, 0.6)]
    [([1, 1, 2, 2, 2, 3, 3], [0, 1, 0, 1, 3, 0, 3])]
    """
    low_a, high_a = a.boxes[:, 0] - reach, a.boxes[:, 1] + reach
    low_b, high_b = b.boxes[:, 0], b.boxes[:, 1]
    rows = max(1, 10 * CHUNK // len(b))
    for k in range(0, len(a), rows):
        chunk = slice(k, k + rows)
        near = (low_a[chunk, None, 0] <= high_b[:, 0]) & (low_b[:, 0] <= high_a[chunk, None, 0])
        near &= (low_a[chunk, None, 1] <= high_b[:, 1]) & (low_b[:, 1] <= high_a[chunk, None, 1])
        i, j = np.nonzero(near)
        for m in range(0, len(i), CHUNK):
            yield i[m : m + CHUNK] + k, j[m : m + CHUNK]


def closest_sides(a: Outline, b: Outline) -> Closest:
    """Shortest distance between two outlines and where it is.

    Returns
    -------
    distance : float
        [m]; 0 where they cross or touch.
    side_a, side_b : int
    on_a, on_b : (2,) float
        The nearest points [m].

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import circle
    >>> round(closest_sides(circle(2.0), circle(2.0).moved((3.0, 0.0)))[0], 12)
    1.0
    """
    return closest_of([(a, b)])[0]


def closest_of(pairs: Sequence[tuple[Outline, Outline]]) -> list[Closest]:
    """`closest_sides` of many pairs of outlines, worked on together."""
    best: list[Closest | None] = [None] * len(pairs)
    waiting: list[_FacingSides] = []
    count = 0
    for number, (a, b) in enumerate(pairs):
        one, other = Sides.of(a), Sides.of(b)
        # the margin keeps the pair that gave the bound itself
        reach = _upper_bound(a, b) * (1 + 1e-9) + 1e-12 * (a.size + b.size)
        for i, j in near_pairs(one, other, reach):
            waiting.append(_FacingSides(number, i, j, one.take(i), other.take(j)))
            count += len(i)
            if count >= CHUNK:
                _keep_closest(waiting, best)
                waiting, count = [], 0
    _keep_closest(waiting, best)
    assert None not in best
    return [found for found in best if found is not None]


@dataclass(frozen=True, eq=False)
class _FacingSides:
    """Sides of a pair of outlines, row against row."""

    number: int
    i: IntArray
    j: IntArray
    one: Sides
    other: Sides


def _keep_closest(waiting: Sequence[_FacingSides], best: list[Closest | None]) -> None:
    """The nearest rows of each pair, where they are nearer than those known."""
    waiting = [rows for rows in waiting if len(rows.i)]
    if not waiting:
        return
    distance, on_a, on_b = side_distances(
        Sides.joined([rows.one for rows in waiting]), Sides.joined([rows.other for rows in waiting])
    )
    first = 0
    for rows in waiting:
        k, last = first + int(distance[first : first + len(rows.i)].argmin()), first + len(rows.i)
        known = best[rows.number]
        if known is None or distance[k] < known[0]:
            where = int(rows.i[k - first]), int(rows.j[k - first])
            best[rows.number] = float(distance[k]), *where, on_a[k], on_b[k]
        first = last


def _upper_bound(a: Outline, b: Outline) -> float:
    """A distance the outlines certainly come within: some corners against sides, all against corners."""
    from scipy.spatial import cKDTree

    some = a.points[:: 1 + len(a.points) // 64]
    corners = np.asarray(cKDTree(b.points).query(a.points)[0])
    return min(float(corners.min()), float(point_distance(some, b).min()))
