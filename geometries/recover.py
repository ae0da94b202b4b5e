"""Put prescribed edges into a triangulation by swapping the diagonals they cross."""

from __future__ import annotations

from collections import deque

import numpy as np

from .errors import MeshError
from .outline import FloatArray
from .sides import IntArray

Edge = tuple[int, int]


def recover_edges(points: FloatArray, triangles: IntArray, missing: IntArray) -> IntArray:
    """Swap diagonals until every missing edge appears.

    Parameters
    ----------
    points : (n, 2) float
    triangles : (t, 3) int, counter-clockwise
    missing : (m, 2) int

    Returns
    -------
    triangles : (t, 3) int, counter-clockwise

    Raises
    ------
    MeshError
        An edge runs through another point.
    """
    mesh = _Triangulation(points, triangles)
    for a, b in missing:
        mesh.force(int(a), int(b))
    return np.array(list(mesh.triangles.values()), dtype=np.int64)


class _Triangulation:
    """Triangles by number, and for every directed edge the triangle on its left."""

    def __init__(self, points: FloatArray, triangles: IntArray) -> None:
        self.points = points.tolist()
        self.triangles = {k: (int(a), int(b), int(c)) for k, (a, b, c) in enumerate(triangles)}
        self.left: dict[Edge, int] = {}
        self.around: dict[int, set[int]] = {}
        for k in self.triangles:
            self._register(k)

    def _register(self, k: int) -> None:
        a, b, c = self.triangles[k]
        for edge in ((a, b), (b, c), (c, a)):
            self.left[edge] = k
            self.around.setdefault(edge[0], set()).add(k)

    def _unregister(self, k: int) -> None:
        a, b, c = self.triangles[k]
        for edge in ((a, b), (b, c), (c, a)):
            del self.left[edge]
            self.around[edge[0]].discard(k)

    def _turn(self, a: int, b: int, c: int) -> float:
        (ax, ay), (bx, by), (cx, cy) = self.points[a], self.points[b], self.points[c]
        return float((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))

    def _apex(self, edge: Edge) -> int:
        a, b, c = self.triangles[self.left[edge]]
        return a + b + c - edge[0] - edge[1]

    def _crossing(self, a: int, b: int) -> deque[Edge]:
        """Edges between a and b, each directed with a on its left... in order from a."""
        for k in self.around[a]:
            t = self.triangles[k]
            i = t.index(a)
            p, q = t[(i + 1) % 3], t[(i + 2) % 3]
            if self._turn(a, b, p) < 0 < self._turn(a, b, q):
                break
        else:
            raise MeshError("a wall runs through a node of another wall")
        crossed = deque([(p, q)])
        while True:
            apex = self._apex((q, p))
            if apex == b:
                return crossed
            side = self._turn(a, b, apex)
            if side == 0:
                raise MeshError("a wall runs through a node of another wall")
            p, q = (apex, q) if side < 0 else (p, apex)
            crossed.append((p, q))

    def force(self, a: int, b: int) -> None:
        """Make the edge a-b appear."""
        if (a, b) in self.left or (b, a) in self.left:
            return
        waiting = self._crossing(a, b)
        for _ in range(60 * len(waiting) + 1000):
            if not waiting:
                return
            p, q = waiting.popleft()
            r, s = self._apex((p, q)), self._apex((q, p))
            # the quadrilateral p s q r is convex when both ends of its other diagonal see a proper turn
            if self._turn(s, r, p) * self._turn(s, r, q) >= 0:
                waiting.append((p, q))
                continue
            self._swap(p, q, r, s)
            if {r, s} != {a, b} and self._turn(a, b, r) * self._turn(a, b, s) < 0 and not {r, s} & {a, b}:
                waiting.append((r, s) if self._turn(a, b, r) < 0 else (s, r))
        raise MeshError("a wall could not be put into the triangulation")

    def _swap(self, p: int, q: int, r: int, s: int) -> None:
        """Replace the diagonal p-q (r on its left, s on its right) by s-r."""
        one, two = self.left[(p, q)], self.left[(q, p)]
        self._unregister(one)
        self._unregister(two)
        self.triangles[one] = (s, r, p) if self._turn(s, r, p) > 0 else (r, s, p)
        self.triangles[two] = (s, r, q) if self._turn(s, r, q) > 0 else (r, s, q)
        self._register(one)
        self._register(two)
