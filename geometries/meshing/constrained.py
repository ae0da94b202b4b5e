"""The triangles between points of a region whose border is fixed."""

from __future__ import annotations

import numpy as np
from scipy.spatial import Delaunay, QhullError

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.errors import MeshError

from .triangulation import Triangulation

FRAME = np.array([[-2.1, -1.9], [2.0, -2.2], [1.9, 2.1], [-2.2, 2.0]])  # corners around a unit square
AT_ONCE = ("QJ1e-8 Q12", "Qbb Qc Qz Q12")  # the library's options: move all points by up to 1e-8 at random, or none
STRIDE = 2**31  # a directed edge a-b has the number a STRIDE + b


class ConstrainedRegion:
    """Points and fixed edges of a region and the triangles between them.

    A library triangulates all points at once, moved a little so that no four lie on one circle, which costs it half as
    much again; where details are too small for that, as they are. Where rounding does not let it do that either, the
    points go in one by one.

    Parameters
    ----------
    points : (n, 2) float
        Some one apart, all in all; those that come after the ends of edges lie inside.
    edges : (m, 2) int
        Closed loops of directed edges, the region on their left.
    patient : bool
        Whether points may go in one by one, which takes long.

    Examples
    --------
    >>> region = ConstrainedRegion(np.array([[0.0, 0.0], [2.0, 0.0], [0.0, 2.0]]), np.array([[0, 1], [1, 2], [2, 0]]))
    >>> region.add(np.array([[0.5, 0.5]]))
    >>> len(region.triangles())
    3
    """

    def __init__(self, points: FloatArray, edges: IntArray, *, patient: bool = True) -> None:
        self.points, self._edges, self._patient = points, edges, patient
        a, b = points[edges[:, 0]], points[edges[:, 1]]
        self._area = 0.5 * float((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]).sum())
        low, high = points.min(axis=0), points.max(axis=0)
        # a frame around keeps every edge off the hull, where rounding may leave out nodes on one line
        self._frame = 0.5 * (low + high) + np.ptp(points, axis=0).max() * FRAME
        self._fixed = np.sort((edges[:, 0] + len(FRAME)) * STRIDE + edges[:, 1] + len(FRAME))
        self._corners = len(FRAME) + int(edges.max()) + 1  # points from there on are inside
        self._ways = list(AT_ONCE)
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
        while self._ways:
            try:
                return self._at_once(self._ways[0])
            except (QhullError, MeshError, KeyError) as fault:
                del self._ways[0]
                if not self._ways and not self._patient:
                    raise MeshError("several regions were not triangulated at once") from fault
        if not self._one_by_one:
            self._one_by_one = Triangulation(self._frame, np.array([[0, 1, 2], [0, 2, 3]]))
            self._one_by_one.insert(self.points)
            self._one_by_one.force(map(tuple, (self._edges + len(FRAME)).tolist()))
        points, triangles = np.concatenate((self._frame, self.points)), self._one_by_one.triangles()
        beside, twice = _beside(triangles, len(points)), _twice_area(points, triangles)
        return self._left(triangles, beside, twice, self._on_left(triangles))

    def _at_once(self, way: str) -> IntArray:
        points = np.concatenate((self._frame, self.points))
        found = Delaunay(points, qhull_options=way)
        corners, across = (table.astype(np.int64) for table in (found.simplices, found.neighbors))
        triangles, beside, twice = _without_flat(points, corners, across)
        on_left = self._on_left(triangles)
        if np.count_nonzero(on_left) < len(self._edges):
            if twice.min() < 0:
                raise MeshError("the triangles of a region overlap")
            n, edges = len(points), self._edges + len(FRAME)
            missing = edges[~np.isin(edge_keys(edges, n), edge_keys(edges_of(triangles), n))]
            swapped = Triangulation(points, triangles)
            swapped.force(map(tuple, missing.tolist()))
            triangles = swapped.triangles()
            beside, twice, on_left = _beside(triangles, n), _twice_area(points, triangles), self._on_left(triangles)
        return self._left(triangles, beside, twice, on_left)

    def _on_left(self, triangles: IntArray) -> BoolArray:
        """Whether the side across from each corner is a fixed edge, the triangle on its left, (t, 3)."""
        a, b, c = triangles.T
        keys = np.concatenate((b * STRIDE + c, c * STRIDE + a, a * STRIDE + b))
        on = self._fixed[np.minimum(self._fixed.searchsorted(keys), len(self._fixed) - 1)] == keys
        return np.asarray(on.reshape(3, -1).T)

    def _left(self, triangles: IntArray, beside: IntArray, twice: FloatArray, on_left: BoolArray) -> IntArray:
        known = np.asarray((triangles >= self._corners).any(axis=1))
        inside = _inside(beside, on_left, known, len(self._edges)).nonzero()[0]
        kept, twice = triangles.take(inside, axis=0) - len(FRAME), twice.take(inside)
        if not np.bincount(kept.ravel(), minlength=len(self.points)).all() or twice.min() <= 0:
            raise MeshError("a region was not triangulated whole")
        if abs(0.5 * float(twice.sum()) - self._area) > 1e-9 * abs(self._area):
            raise MeshError("a region was not covered once by its triangles")
        return kept


def _twice_area(points: FloatArray, triangles: IntArray) -> FloatArray:
    """Twice the area of every triangle, negative where it runs clockwise, (t,)."""
    (ax, bx, cx), (ay, by, cy) = (places.take(triangles.T) for places in points.T)
    return np.asarray((bx - ax) * (cy - ay) - (by - ay) * (cx - ax))


def _without_flat(points: FloatArray, triangles: IntArray, beside: IntArray) -> tuple[IntArray, IntArray, FloatArray]:
    """Triangles without the flat ones, the neighbour across from each corner, -1 for none, and twice their areas.

    All run counter-clockwise where the library moved their corners to; one that runs clockwise where they are lies over
    its neighbours, its area negative.
    """
    area = _twice_area(points, triangles)
    if area.all():
        return triangles, beside, area
    triangles = triangles[area != 0]
    return triangles, _beside(triangles, len(points)), area[area != 0]


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


def _inside(beside: IntArray, on_left: BoolArray, known: BoolArray, count: int) -> BoolArray:
    """Which triangles (t,) can be reached from the left of the fixed edges, so many, or known ones, crossing none."""
    inner, corner = on_left.nonzero()
    outer = beside[inner, corner]
    facing, across = (beside[outer] == inner[:, None]).nonzero()
    on_right = np.zeros(on_left.shape, dtype=bool)
    on_right[outer[facing], across] = True
    free = ~(on_left | on_right) & (beside >= 0)
    good = known.copy()
    good[inner] = True
    fresh = good.nonzero()[0]
    while len(fresh):
        before = good.copy()
        good[beside[fresh][free[fresh]]] = True
        fresh = (good > before).nonzero()[0]
    if len(inner) != count or on_right[good].any():
        raise MeshError("a region could not be closed by its edges")
    return good
