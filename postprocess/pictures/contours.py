"""Level lines of a function on small triangles, each whole; where they would run together most are hairlines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray

CLOSE = 3.5  # pixels between neighbouring lines, at least
SHORT = 14.0  # pixels below which a gap in a line is closed
WHOLE = 40.0  # pixels below which a piece between hairlines is one too
MOST = 6  # times that every second line may be left out
VERTEX, HAIR = 1.5, 3.0  # pixels between the points of a line, and of a hairline
STRAIGHT = 0.1  # pixels off a straight line within which a point is left out
ROUNDS = 8  # in which that is done
NOISE = 0.1  # share of a line that may run where the slope is too weak; with more, it is noise


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
    weakest : float or (n,) float
        Slope [1/m] below which no line is drawn: what is left there is noise.
    """

    position: FloatArray
    triangles: IntArray
    value: FloatArray
    weakest: float | FloatArray

    def lines(self, pixel: float, window: FloatArray | None = None) -> Iterator[tuple[FloatArray, bool]]:
        """Pieces of lines, (m, 2) [m], and whether they have room; all pieces of a line together are closed or leave.

        Line k has room where its neighbours are far enough, a multiple of 2, 4, 8 ... rather longer.

        Parameters
        ----------
        pixel : float
            [m]
        window : (2, 2) float, optional
            What is shown [m]: a line that ends inside it, at a hole in the triangles, is left out.

        Examples
        --------
        >>> square = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
        >>> levels = Levels(square, np.array([[0, 1, 2], [0, 2, 3]]), square[:, 0] + 0.5, 0.0)
        >>> [(line.round(9).tolist(), room) for line, room in levels.lines(0.01)]  # where the value is 1: at x = 0.5
        [([[0.5, 0.0], [0.5, 1.0]], True)]
        """
        slope, weakest = self.slope(), np.broadcast_to(self.weakest, len(self.position))
        crossed, level = self._crossed()
        for number, start, end, part in self._chains(crossed, level):
            t = part[:, None]
            place = (1 - t) * self.position[start] + t * self.position[end]
            steep, least = (1 - part) * slope[start] + part * slope[end], np.maximum(weakest[start], weakest[end])
            if _ends_inside(place, window) or (steep <= least).mean() > NOISE:
                continue
            rank = 2.0 ** min(MOST, _halvings(number))
            room = np.where(steep > least, rank / (CLOSE * pixel * np.maximum(steep, 1e-300)), 0.0)
            along = np.concatenate(([0.0], np.cumsum(np.hypot(*np.diff(place, axis=0).T)))) / pixel
            for first, last, wide in _pieces(room, along):
                apart = VERTEX if wide else HAIR
                kept = np.flatnonzero(np.diff(np.floor(along[first : last + 1] / apart), prepend=-1.0))
                piece = place[first : last + 1][np.union1d(kept, [0, last - first])]
                yield without_straight(piece, STRAIGHT * pixel), wide

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
        one, two, three = (np.ceil(self.value).astype(int)[self.triangles[:, k]] for k in range(3))
        lowest, highest = (pick(pick(one, two), three) for pick in (np.minimum, np.maximum))
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
    source, target = segments.ravel(), segments[:, ::-1].ravel()
    order = np.argsort(source, kind="stable")
    degree = np.bincount(source, minlength=count)
    first = np.cumsum(degree) - degree
    padded = np.append(target[order], -1)  # a point has two neighbours at most, but where values are equal by chance
    one, two = (np.where(degree > k, padded[np.minimum(first + k, len(order))], -1).tolist() for k in (0, 1))
    fresh = [True] * count + [False]  # the last stands for no point
    for begin in (*np.flatnonzero(degree == 1).tolist(), *range(count)):
        if not fresh[begin]:
            continue
        chain, at = [], begin
        while at >= 0:
            fresh[at] = False
            chain.append(at)
            ahead, other = one[at], two[at]
            at = ahead if fresh[ahead] else other if fresh[other] else -1
        if len(chain) > 2 and begin in (one[chain[-1]], two[chain[-1]]):
            chain.append(begin)
        if len(chain) > 1:
            yield chain


def _halvings(number: int) -> int:
    """How many times a whole number can be halved; any number of times for 0."""
    return (number & -number).bit_length() - 1 if number else MOST


def _pieces(room: FloatArray, along: FloatArray) -> Iterator[tuple[int, int, bool]]:
    """First and last point of the pieces of a line that follow one another, and whether there is room for them.

    There is from where it is whole to where it is only half; short gaps are closed, short pieces left out.
    """
    padded = np.concatenate(([False], room > 0.5, [False])).astype(int)
    begin, end = np.flatnonzero(np.diff(padded) > 0), np.flatnonzero(np.diff(padded) < 0) - 1
    wide = np.flatnonzero(along[begin[1:]] - along[end[:-1]] > SHORT)
    begin, end = begin[np.concatenate(([0], wide + 1))[: len(begin)]], end[np.concatenate((wide, [-1]))[: len(end)]]
    at, stop = 0, len(along) - 1
    for first, last in zip(begin.tolist(), end.tolist(), strict=True):
        long = along[last] - along[first] > WHOLE or last - first == stop
        if long and (room[first : last + 1] > 1).any():
            if first > at:
                yield at, first, False
            yield first, last, True
            at = last
    if at < stop:
        yield at, stop, False


def _ends_inside(place: FloatArray, window: FloatArray | None) -> bool:
    """Whether an open line ends within a window."""
    ends = place[[0, -1]]
    if window is None or (ends[0] == ends[1]).all():
        return False
    return bool(((ends > window[0]) & (ends < window[1])).all(axis=1).any())


def without_straight(place: FloatArray, least: float) -> FloatArray:
    """Without points closer than `least` to the line between their neighbours; every second at most, ROUNDS times."""
    for _ in range(ROUNDS):
        before, point, after = place[:-2:2], place[1:-1:2], place[2::2]
        before = before[: len(point)]
        chord, step = after - before, point - before
        off = np.abs(chord[:, 0] * step[:, 1] - chord[:, 1] * step[:, 0])
        kept = np.ones(len(place), dtype=bool)
        kept[1:-1:2] = off > least * np.hypot(*chord.T)
        place = place[kept]
    return place
