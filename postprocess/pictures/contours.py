"""Level lines of a function on small triangles, thinned where they would run together."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from ...geometries.outline import FloatArray
from ...geometries.sides import IntArray

CLOSE = 3.5  # pixels between neighbouring lines, at least
SHORT = 14.0  # pixels below which a gap in a line is closed
WHOLE = 40.0  # pixels below which a piece of a broken line is left out
MOST = 6  # times that every second line may be left out
VERTEX = 1.5  # pixels between the points of a line


@dataclass(frozen=True, eq=False)
class Levels:
    """What is drawn as lines: u on small triangles, in steps from line to line.

    Attributes
    ----------
    position : (n, 2) float
        [m]
    triangles : (k, 3) int
    value : (n,) float
        A line runs where it is a whole number.
    weakest : float
        Slope [1/m] below which no line is drawn: what is left there is noise.
    """

    position: FloatArray
    triangles: IntArray
    value: FloatArray
    weakest: float

    def lines(self, pixel: float) -> Iterator[FloatArray]:
        """Pieces of lines, (m, 2) [m]; line k is drawn where there is room, a multiple of 2, 4, 8 ... rather longer.

        Parameters
        ----------
        pixel : float
            [m]
        """
        slope = self.slope()
        crossed, level = self._crossed()
        for number, start, end, part in self._chains(crossed, level):
            t = part[:, None]
            place = (1 - t) * self.position[start] + t * self.position[end]
            steep = (1 - part) * slope[start] + part * slope[end]
            rank = 2.0 ** min(MOST, _halvings(number))
            room = np.where(steep > self.weakest, rank / (CLOSE * pixel * np.maximum(steep, 1e-300)), 0.0)
            along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(place, axis=0).T)))) / pixel
            for first, last in _pieces(room, along):
                kept = np.flatnonzero(np.diff(np.floor(along[first : last + 1] / VERTEX), prepend=-1.0))
                yield place[first : last + 1][np.union1d(kept, [0, last - first])]

    def slope(self) -> FloatArray:
        """Steepness at the points, the mean of the triangles around, (n,) [1/m]."""
        corner, value = self.position[self.triangles], self.value[self.triangles]
        u, v = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
        du, dv = value[:, 1] - value[:, 0], value[:, 2] - value[:, 0]
        area = np.abs(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])
        rise = np.hypot(*(du[:, None] * v - dv[:, None] * u).T)  # slope times area
        every, count = self.triangles.ravel(), len(self.position)
        total = np.bincount(every, np.repeat(rise, 3), count)
        return np.asarray(total / np.maximum(np.bincount(every, np.repeat(area, 3), count), 1e-300))

    def _crossed(self) -> tuple[IntArray, IntArray]:
        """Triangles that a line crosses, and its number, both (s,)."""
        value = self.value[self.triangles]
        lowest, highest = np.ceil(value.min(axis=1)).astype(int), np.ceil(value.max(axis=1)).astype(int)
        count = np.maximum(highest - lowest, 0)
        triangle = np.repeat(np.arange(len(count)), count)
        first = np.cumsum(count) - count
        return triangle, lowest[triangle] + np.arange(len(triangle)) - first[triangle]

    def _chains(self, crossed: IntArray, level: IntArray) -> Iterator[tuple[int, IntArray, IntArray, FloatArray]]:
        """Lines: their number, the edge (start, end) each point lies on and how far along it."""
        if not len(crossed):
            return
        corner = self.triangles[crossed]
        above = self.value[corner] >= level[:, None]
        # the corner that stands alone: its two sides are crossed
        alone = np.where(above.sum(axis=1) == 1, above.argmax(axis=1), (~above).argmax(axis=1))
        row = np.arange(len(corner))
        apex, left, right = (corner[row, (alone + k) % 3] for k in range(3))
        ends = np.stack((np.sort(np.stack((apex, left), -1)), np.sort(np.stack((apex, right), -1))), axis=1)
        keys = np.column_stack((ends.reshape(-1, 2), np.repeat(level, 2)))
        point, first, number = _numbered(keys)
        following = _linked(number.reshape(-1, 2), len(point))
        start, end, k = keys[first].T
        part = (k - self.value[start]) / (self.value[end] - self.value[start])
        for chain in following:
            yield int(k[chain[0]]), start[chain], end[chain], part[chain]


def _numbered(keys: IntArray) -> tuple[IntArray, IntArray, IntArray]:
    """Different rows of (m, 3) keys: their sorted numbers, where each stands first, and the number of every row."""
    low, span = keys.min(axis=0), np.ptp(keys, axis=0) + 1
    packed = ((keys[:, 0] - low[0]) * span[1] + keys[:, 1] - low[1]) * span[2] + keys[:, 2] - low[2]
    return np.unique(packed, return_index=True, return_inverse=True)


def _linked(segments: IntArray, count: int) -> Iterator[list[int]]:
    """Points of segments (s, 2) in order, line by line; a closed line ends where it began."""
    beside: list[list[int]] = [[] for _ in range(count)]
    for a, b in segments.tolist():
        beside[a].append(b)
        beside[b].append(a)
    fresh = [True] * count
    open_ends = [p for p in range(count) if len(beside[p]) == 1]
    for begin in (*open_ends, *range(count)):
        if not fresh[begin]:
            continue
        chain, at = [begin], begin
        fresh[begin] = False
        while True:
            ahead = next((p for p in beside[at] if fresh[p]), -1)
            if ahead < 0:
                break
            fresh[ahead] = False
            chain.append(ahead)
            at = ahead
        if len(chain) > 2 and begin in beside[at]:
            chain.append(begin)
        if len(chain) > 1:
            yield chain


def _halvings(number: int) -> int:
    """How many times a whole number can be halved; any number of times for 0."""
    return (number & -number).bit_length() - 1 if number else MOST


def _pieces(room: FloatArray, along: FloatArray) -> Iterator[tuple[int, int]]:
    """First and last point of what is shown of a line.

    It begins where there is room and ends where there is only half of it; short gaps are closed, short pieces left out.
    """
    padded = np.concatenate(([False], room > 0.5, [False])).astype(int)
    begin, end = np.flatnonzero(np.diff(padded) > 0), np.flatnonzero(np.diff(padded) < 0) - 1
    if not len(begin):
        return
    wide = np.flatnonzero(along[begin[1:]] - along[end[:-1]] > SHORT)
    begin, end = begin[np.concatenate(([0], wide + 1))], end[np.concatenate((wide, [len(end) - 1]))]
    for first, last in zip(begin.tolist(), end.tolist(), strict=True):
        long = along[last] - along[first] > WHOLE or last - first == len(along) - 1
        if long and (room[first : last + 1] > 1).any():
            yield first, last
