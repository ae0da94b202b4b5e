"""Regions to be filled with triangles, side by side and each at the size of one, so that all can be at once."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray

STEP = 1.6  # from the middle of one region to that of the next, in their sizes: half circles on edges reach out by half

ANY = 1e9  # longer than any edge, in sizes of a region

Limit = Callable[[FloatArray], FloatArray]


@dataclass(frozen=True, eq=False)
class Interior:
    """A region to fill: what lies left of directed edges.

    Attributes
    ----------
    points : (n, 2) float
        Its corners [m].
    edges : (m, 2) int
        Closed loops of directed edges, the region on their left.
    sweep : (m,) float
        Angle each edge will turn through [rad]: 0 straight, positive curving into the region, negative out of it.
        No triangle gets two curved edges, which could meet at a straight angle.
    limit : callable, optional
        Longest wanted edge at places (k, 2) -> (k,) [m]; where it is infinite the triangle may have any
        size and shape. Without it triangles are well shaped and of any size.
    """

    points: FloatArray
    edges: IntArray
    sweep: FloatArray
    limit: Limit | None


@dataclass(frozen=True, eq=False)
class SideBySide:
    """Several regions in rows and columns, so far apart that what is drawn in one does not touch another.

    Attributes
    ----------
    interiors : sequence of Interior
    points : (n, 2) float
        The corners of all, one region after the other.
    owner : (n,) int
        The region of every corner.
    edges, sweep : (m, 2) int, (m,) float
        Those of all.

    Examples
    --------
    >>> corners, loop = np.array([[2.0, 2.0], [6.0, 2.0], [2.0, 6.0]]), np.array([[0, 1], [1, 2], [2, 0]])
    >>> one = Interior(corners, loop, np.zeros(3), lambda places: np.full(len(places), np.inf))
    >>> two = SideBySide.of([one, one])
    >>> np.ptp(two.points, axis=0).tolist(), two.edges[3:].tolist()
    ([2.6, 1.0], [[3, 4], [4, 5], [5, 3]])
    >>> two.back(two.points, two.owner)[3:].tolist()
    [[2.0, 2.0], [6.0, 2.0], [2.0, 6.0]]
    """

    interiors: Sequence[Interior]
    points: FloatArray
    owner: IntArray
    edges: IntArray
    sweep: FloatArray
    _middle: FloatArray
    _scale: FloatArray
    _place: FloatArray

    @classmethod
    def of(cls, interiors: Sequence[Interior]) -> SideBySide:
        """The regions given."""
        number, columns = np.arange(len(interiors)), math.ceil(math.sqrt(len(interiors)))
        count = [len(one.points) for one in interiors]
        first, owner = np.cumsum([0, *count[:-1]]), np.repeat(number, count)
        row = np.column_stack((number % columns, number // columns))
        place = np.asarray(STEP * (row - 0.5 * row.max(axis=0)))
        low, high = (np.array([end(one.points, axis=0) for one in interiors]) for end in (np.min, np.max))
        middle, scale = 0.5 * (low + high), (high - low).max(axis=1)
        points = np.concatenate([one.points for one in interiors])
        points = (points - middle[owner]) / scale[owner, None] + place[owner]
        edges = np.concatenate([one.edges + k for one, k in zip(interiors, first, strict=True)])
        sweep = np.concatenate([one.sweep for one in interiors])
        return cls(interiors, points, owner, edges, sweep, middle, scale, place)

    def back(self, places: FloatArray, owner: IntArray | int) -> FloatArray:
        """Where places (k, 2) in the regions `owner` (k,) lie in truth, (k, 2) [m]."""
        scale = self._scale[owner, ..., None]
        return np.asarray((places - self._place[owner]) * scale + self._middle[owner])

    def limit(self, places: FloatArray, owner: IntArray) -> FloatArray:
        """Longest wanted edge at places (k, 2) in the regions `owner` (k,), in their sizes, (k,)."""
        found = np.full(len(places), ANY)
        for k, one in enumerate(self.interiors):
            rows = (owner == k).nonzero()[0] if one.limit else ()
            if one.limit and len(rows):
                found[rows] = one.limit(self.back(places.take(rows, axis=0), k)) / self._scale[k]
        return found
