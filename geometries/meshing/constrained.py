"""The triangles between points of a region whose border is fixed."""

from __future__ import annotations

import numpy as np
from scipy.spatial import Delaunay, QhullError

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.errors import MeshError

from .triangulation import Triangulation

FRAME = np.array([[-2.1, -1.9], [2.0, -2.2], [1.9, 2.1], [-2.2, 2.0]])  # corners around a unit square


class ConstrainedRegion:
    """Points and fixed edges of a region and the triangles between them.

    A library triangulates all points at once as long as rounding lets it; where details are too small against
    the whole for that, the points go in one by one.

    Parameters
    ----------
    points : (n, 2) float
    edges : (m, 2) int
        Closed loops of directed edges, the region on their left.

    Examples
    --------
    >>> region = ConstrainedRegion(np.array([[0.0, 0.0], [2.0, 0.0], [0.0, 2.0]]), np.array([[0, 1], [1, 2], [2, 0]]))
    >>> region.add(np.array([[0.5, 0.5]]))
    >>> len(region.triangles())
    3
    """

    def __init__(self, points: FloatArray, edges: IntArray) -> None:
        self.points, self._edges = points, edges
        a, b = points[edges[:, 0]], points[edges[:, 1]]
        self._area = 0.5 * float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum())
        low, high = points.min(axis=0), points.max(axis=0)
        # a frame around keeps every edge off the hull, where rounding may leave out nodes on one line
        self._frame = 0.5 * (low + high) + np.ptp(points, axis=0).max() * FRAME
        self._one_by_one: Triangulation | None = None

    def add(self, places: FloatArray) -> None:
        """More points, inside the region."""
        self.points = np.concatenate((self.points, places))
        if self._one_by_one:
            self._one_by_one.insert(places)

    def triangles(self) -> IntArray:
        """Triangles (t, 3), counter-clockwise, left of the directed edges, which all appear.

        Raises
        ------
        MeshError
            The edges cross, run through a point or do not close.
        """
        if len(self.points) == 3:
            return np.array([[*self._edges[0], 3 - self._edges[0].sum()]])
        if not self._one_by_one:
            try:
                return self._at_once()
            except (QhullError, MeshError, KeyError):
                self._one_by_one = Triangulation(self._frame, np.array([[0, 1, 2], [0, 2, 3]]))
                self._one_by_one.insert(self.points)
                self._one_by_one.force(map(tuple, (self._edges + len(FRAME)).tolist()))
        triangles, n = self._one_by_one.triangles(), len(FRAME) + len(self.points)
        on_left = _on_left(triangles, self._edges + len(FRAME), n)
        return self._left(triangles, _beside(triangles, n), on_left, first=len(FRAME))

    def _at_once(self) -> IntArray:
        points, edges = np.concatenate((self._frame, self.points)), self._edges + len(FRAME)
        found = Delaunay(points)
        corners, across = (table.astype(np.int64) for table in (found.simplices, found.neighbors))
        triangles, beside = _counter_clockwise(points, corners, across)
        n = len(points)
        on_left = _on_left(triangles, edges, n)
        if on_left.sum() < len(edges):
            missing = edges[~np.isin(edge_keys(edges, n), edge_keys(edges_of(triangles), n))]
            swapped = Triangulation(points, triangles)
            swapped.force(map(tuple, missing.tolist()))
            triangles = swapped.triangles()
            beside, on_left = _beside(triangles, n), _on_left(triangles, edges, n)
        return self._left(triangles, beside, on_left, first=len(FRAME))

    def _left(self, triangles: IntArray, beside: IntArray, on_left: BoolArray, first: int) -> IntArray:
        n = first + len(self.points)
        kept = _inside(triangles, beside, on_left, self._edges + first, n) - first
        corner = self.points[kept]
        one, two = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
        twice = one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0]
        if not np.bincount(kept.ravel(), minlength=len(self.points)).all() or twice.min() <= 0:
            raise MeshError("a region was not triangulated whole")
        if abs(0.5 * twice.sum() - self._area) > 1e-9 * abs(self._area):
            raise MeshError("a region was not covered once by its triangles")
        return kept


def _counter_clockwise(points: FloatArray, triangles: IntArray, beside: IntArray) -> tuple[IntArray, IntArray]:
    """Triangles without the flat ones, and the neighbour across from each corner, -1 for none; both (t, 3)."""
    a, b, c = (points[triangles[:, k]] for k in range(3))
    area = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    turned = np.flatnonzero(area < 0)
    for rows in (triangles, beside):
        rows[turned, 1:] = rows[turned, 2:0:-1]
    if area.all():
        return triangles, beside
    triangles = triangles[area != 0]
    return triangles, _beside(triangles, len(points))


def _beside(triangles: IntArray, n: int) -> IntArray:
    """The neighbour across from each corner, -1 for none, (t, 3)."""
    keys = edge_keys(edges_of(triangles), n)
    order = np.argsort(keys, kind="stable")
    twin = np.flatnonzero(keys[order][1:] == keys[order][:-1])
    left, right = order[twin], order[twin + 1]
    across = np.full(len(keys), -1)
    across[left], across[right] = right % len(triangles), left % len(triangles)
    return np.asarray(across.reshape(3, -1).T[:, [1, 2, 0]])


def edges_of(triangles: IntArray) -> IntArray:
    """Directed edges, (3 t, 2): first all edges 0-1, then 1-2, then 2-0."""
    return np.concatenate((triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]))


def edge_keys(edges: IntArray, n: int) -> IntArray:
    """A number for every edge (m, 2) between n points, (m,), the same in both directions."""
    return np.asarray(edges.min(axis=1) * n + edges.max(axis=1))


def _inside(triangles: IntArray, beside: IntArray, on_left: BoolArray, edges: IntArray, n: int) -> IntArray:
    """Keep what can be reached from the left of a fixed edge without crossing any."""
    on_right = _on_left(triangles, edges[:, ::-1], n)
    free = ~(on_left | on_right) & (beside >= 0)
    good = np.asarray(on_left.any(axis=1))
    fresh = np.flatnonzero(good)
    while len(fresh):
        before = good.copy()
        good[beside[fresh][free[fresh]]] = True
        fresh = np.flatnonzero(good > before)
    if on_left.sum() != len(edges) or on_right[good].any():
        raise MeshError("a region could not be closed by its edges")
    return np.asarray(triangles[good])


def _on_left(triangles: IntArray, edges: IntArray, n: int) -> BoolArray:
    """Whether the side across from each corner is one of some directed edges, the triangle on its left, (t, 3)."""
    wanted = np.sort(edges[:, 0] * n + edges[:, 1])
    keys = triangles[:, [1, 2, 0]] * n + triangles[:, [2, 0, 1]]
    return np.asarray(wanted[np.minimum(np.searchsorted(wanted, keys), len(wanted) - 1)] == keys)
