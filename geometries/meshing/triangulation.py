"""A triangulation that changes one step at a time: points go in, prescribed edges are forced in.

All tests compare differences of neighbouring points, so that details a thousand million times smaller than the
whole are kept apart. Every step leaves a proper triangulation behind.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable
from fractions import Fraction

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.errors import MeshError

Edge = tuple[int, int]

ROUNDING = 1e-14  # of the sum of the terms of a determinant: below it counts as zero
UNSURE = 4e-16  # of the sum of the terms of a turn: below it rounding decides its sign (Shewchuk 1997, from memory)


class Triangulation:
    """Triangles around every directed edge: `apex[a, b]` is the third corner of the one on its left.

    Parameters
    ----------
    points : (n, 2) float
    triangles : (t, 3) int, counter-clockwise

    Raises
    ------
    MeshError
        Two triangles lie on the same side of an edge.
    """

    def __init__(self, points: FloatArray, triangles: IntArray) -> None:
        self.points: list[tuple[float, float]] = [(x, y) for x, y in points.tolist()]
        self.apex: dict[Edge, int] = {}
        self.spoke: dict[int, int] = {}
        self.fixed: set[Edge] = set()
        for a, b, c in triangles.tolist():
            self._add(a, b, c)
            self._last = (a, b)
        if len(self.apex) != 3 * len(triangles):
            raise MeshError("the triangles of a region overlap")

    def triangles(self) -> IntArray:
        """All triangles, (t, 3), counter-clockwise."""
        return np.array([(a, b, c) for (a, b), c in self.apex.items() if a < b and a < c], dtype=np.int64)

    def _add(self, a: int, b: int, c: int) -> None:
        self.apex[a, b], self.apex[b, c], self.apex[c, a] = c, a, b
        self.spoke[a], self.spoke[b], self.spoke[c] = b, c, a

    def _remove(self, a: int, b: int, c: int) -> None:
        del self.apex[a, b], self.apex[b, c], self.apex[c, a]

    def _turn(self, a: int, b: int, c: int) -> float:
        """Twice the area of a-b-c, of the right sign."""
        (ax, ay), (bx, by), (cx, cy) = self.points[a], self.points[b], self.points[c]
        left, right = (bx - ax) * (cy - ay), (by - ay) * (cx - ax)
        if abs(left - right) > UNSURE * (abs(left) + abs(right)):
            return left - right
        (px, py), (qx, qy), (rx, ry) = (map(Fraction, self.points[k]) for k in (a, b, c))
        return float((qx - px) * (ry - py) - (qy - py) * (rx - px))

    # --- points ----------------------------------------------------------------------------------

    def insert(self, places: FloatArray) -> None:
        """Add points (m, 2); triangles around them are swapped until none has a point in its circle."""
        for x, y in places.tolist():
            self.points.append((x, y))
            self._insert(len(self.points) - 1)

    def _insert(self, p: int) -> None:
        a, b, c = self._holder(p)
        turns = ((self._turn(a, b, p), a, b, c), (self._turn(b, c, p), b, c, a), (self._turn(c, a, p), c, a, b))
        least, a, b, c = min(turns)
        if self.points[p] in (self.points[a], self.points[b], self.points[c]):
            raise MeshError("two nodes of the mesh coincide")
        self._remove(a, b, c)
        waiting = [(b, c), (c, a)]
        self._add(b, c, p)
        self._add(c, a, p)
        if least > 0:
            self._add(a, b, p)
            waiting.append((a, b))
        else:
            d = self.apex[b, a]
            self._remove(b, a, d)
            self._add(a, d, p)
            self._add(d, b, p)
            waiting += [(a, d), (d, b)]
            if {(a, b), (b, a)} & self.fixed:
                raise MeshError("a boundary runs through a node of another boundary")
        self._last = (p, self.spoke[p])
        while waiting:
            a, b = waiting.pop()
            if (b, a) not in self.apex or (a, b) in self.fixed or (b, a) in self.fixed:
                continue
            d = self.apex[b, a]
            if self._in_circle(a, b, p, d) and self._turn(a, d, p) > 0 and self._turn(d, b, p) > 0:
                self._swap(a, b, p, d)
                waiting += [(a, d), (d, b)]

    def _holder(self, p: int) -> tuple[int, int, int]:
        """A triangle that holds a point, found by walking towards it."""
        a, b = self._last
        if self._turn(a, b, p) < 0:
            a, b = b, a
        for _ in range(len(self.apex)):
            c = self.apex[a, b]
            if self._turn(b, c, p) < 0:
                a, b = c, b
            elif self._turn(c, a, p) < 0:
                a, b = a, c
            else:
                return a, b, c
        raise MeshError("a node lies in no triangle")

    def _in_circle(self, a: int, b: int, c: int, d: int) -> bool:
        """Whether d lies inside the circle through a, b, c (counter-clockwise)."""
        dx, dy = self.points[d]
        (ax, ay), (bx, by), (cx, cy) = ((self.points[k][0] - dx, self.points[k][1] - dy) for k in (a, b, c))
        terms = (
            (ax * ax + ay * ay) * (bx * cy - cx * by),
            (bx * bx + by * by) * (cx * ay - ax * cy),
            (cx * cx + cy * cy) * (ax * by - bx * ay),
        )
        return sum(terms) > ROUNDING * sum(map(abs, terms))

    # --- edges -----------------------------------------------------------------------------------

    def force(self, edges: Iterable[Edge]) -> None:
        """Make edges appear by swapping the diagonals they cross; they stay from then on.

        Raises
        ------
        MeshError
            An edge runs through another point.
        """
        for a, b in edges:
            self._force(a, b)
            self.fixed.add((a, b))

    def _force(self, a: int, b: int) -> None:
        if (a, b) in self.apex or (b, a) in self.apex:
            return
        waiting = self._crossed(a, b)
        for _ in range(60 * len(waiting) + 1000):
            if not waiting:
                return
            p, q = waiting.popleft()
            if (p, q) in self.fixed or (q, p) in self.fixed:
                raise MeshError("two boundaries cross")
            r, s = self.apex[p, q], self.apex[q, p]
            # the quadrilateral p s q r is convex when both ends of its other diagonal see a proper turn
            if self._turn(s, r, p) * self._turn(s, r, q) >= 0:
                waiting.append((p, q))
                continue
            self._swap(p, q, r, s)
            if not {r, s} & {a, b} and self._turn(a, b, r) * self._turn(a, b, s) < 0:
                waiting.append((r, s) if self._turn(a, b, r) < 0 else (s, r))
        raise MeshError("a boundary could not be put into the triangulation")

    def _crossed(self, a: int, b: int) -> deque[Edge]:
        """Edges between a and b in order, each with a on its left."""
        p = first = self.spoke[a]
        while True:
            q = self.apex[a, p]
            if self._turn(a, b, p) < 0 < self._turn(a, b, q):
                break
            p = q
            if p == first:
                raise MeshError("a boundary runs through a node of another boundary")
        crossed = deque([(p, q)])
        while True:
            apex = self.apex[q, p]
            if apex == b:
                return crossed
            side = self._turn(a, b, apex)
            if side == 0:
                raise MeshError("a boundary runs through a node of another boundary")
            p, q = (apex, q) if side < 0 else (p, apex)
            crossed.append((p, q))

    def _swap(self, p: int, q: int, r: int, s: int) -> None:
        """Replace the diagonal p-q (r on its left, s on its right) by s-r."""
        self._remove(p, q, r)
        self._remove(q, p, s)
        self._add(s, r, p)
        self._add(r, s, q)
