"""Delaunay fill of a region bounded by fixed edges, refined by adding points until the triangles are good.

The edges given are kept as they are: no point is ever put on them, so neighbouring regions stay conforming.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import Delaunay, QhullError, cKDTree

from .errors import MeshError
from .outline import FloatArray
from .recover import recover_edges
from .sides import IntArray

WORST = 1.4  # largest circumradius over shortest edge that needs no more points (smallest angle 21 degrees)
FLAT = 5.0  # circumradius over longest edge beyond which a triangle is split anywhere (largest angle 174 degrees)
ROUNDS = 60
FRAME = np.array([[-2.1, -1.9], [2.0, -2.2], [1.9, 2.1], [-2.2, 2.0]])  # corners around a unit square

Limit = Callable[[FloatArray], FloatArray]


def fill(points: FloatArray, edges: IntArray, bend: IntArray, limit: Limit) -> tuple[FloatArray, IntArray]:
    """Triangulate the region to the left of directed edges.

    Parameters
    ----------
    points : (n, 2) float
        Corners of the region [m].
    edges : (m, 2) int
        Closed loops of directed edges, the region on their left.
    bend : (m,) int
        How the edges will be curved: 0 straight, 1 into the region, -1 out of it. No triangle gets two curved
        edges, which could meet at a straight angle, and one that curves inwards gets a point well ahead of it.
    limit : callable
        Longest wanted edge at places (k, 2) -> (k,) [m]; where it is infinite the triangle may have any
        size and shape.

    Returns
    -------
    points : (n + added, 2) float
    triangles : (t, 3) int, counter-clockwise
    """
    shift, scale = points.mean(axis=0), float(np.ptp(points, axis=0).max())
    unit = (points - shift) / scale
    fixed = len(unit)
    middle = 0.5 * (unit[edges[:, 0]] + unit[edges[:, 1]])
    half = 0.5 * np.hypot(*(unit[edges[:, 1]] - unit[edges[:, 0]]).T)
    guard = _Guard(unit, edges, middle, half)
    unit = np.concatenate((unit, _ahead(unit, edges[bend > 0], guard)))
    for _ in range(ROUNDS):
        triangles = constrained_delaunay(unit, edges)
        added = _better_points(unit, triangles, guard, lambda p: limit(p * scale + shift) / scale)
        if not len(added):
            break
        unit = np.concatenate((unit, added))
    unit = _relaxed(unit, triangles, fixed)
    unit, triangles = _parted(unit, triangles, edges[bend != 0])
    return unit * scale + shift, triangles


def constrained_delaunay(points: FloatArray, edges: IntArray) -> IntArray:
    """Triangles (t, 3), counter-clockwise, of the region left of the directed edges, which all appear."""
    if len(points) == 3:
        return np.array([[*edges[0], 3 - edges[0].sum()]])
    # a frame around keeps every edge off the hull, where rounding may leave out nodes on one line
    low, high = points.min(axis=0), points.max(axis=0)
    frame = 0.5 * (low + high) + np.ptp(points, axis=0).max() * FRAME
    points = np.concatenate((points, frame))
    try:
        triangles = Delaunay(points).simplices.astype(np.int64)
    except QhullError as fault:
        raise MeshError("the points of a region lie on one line") from fault
    triangles = _counter_clockwise(points, triangles)
    present = np.unique(_keys(_edges_of(triangles), len(points)))
    wanted = _keys(edges, len(points))
    missing = edges[~np.isin(wanted, present)]
    if len(missing):
        triangles = recover_edges(points, triangles, missing)
    return _inside(triangles, edges, len(points))


def _counter_clockwise(points: FloatArray, triangles: IntArray) -> IntArray:
    a, b, c = (points[triangles[:, k]] for k in range(3))
    area = (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]
    triangles = triangles.copy()
    triangles[area < 0, 1:] = triangles[area < 0, :0:-1]
    return np.asarray(triangles[area != 0])


def _edges_of(triangles: IntArray) -> IntArray:
    """Directed edges, (3 t, 2): first all edges 0-1, then 1-2, then 2-0."""
    return np.concatenate((triangles[:, [0, 1]], triangles[:, [1, 2]], triangles[:, [2, 0]]))


def _keys(edges: IntArray, n: int) -> IntArray:
    return np.asarray(edges.min(axis=1) * n + edges.max(axis=1))


def _inside(triangles: IntArray, edges: IntArray, n: int) -> IntArray:
    """Keep what can be reached from the left of a fixed edge without crossing any."""
    directed = _edges_of(triangles)
    keys, owner = _keys(directed, n), np.tile(np.arange(len(triangles)), 3)
    order = np.argsort(keys, kind="stable")
    twin = np.flatnonzero(keys[order][1:] == keys[order][:-1])
    left, right = order[twin], order[twin + 1]
    free = ~np.isin(keys[left], _keys(edges, n))
    graph = coo_array(
        (np.ones(free.sum()), (owner[left[free]], owner[right[free]])), shape=(len(triangles), len(triangles))
    )
    _, label = connected_components(graph, directed=False)
    on_left = np.isin(directed[:, 0] * n + directed[:, 1], edges[:, 0] * n + edges[:, 1])
    on_right = np.isin(directed[:, 1] * n + directed[:, 0], edges[:, 0] * n + edges[:, 1])
    good, bad = np.unique(label[owner[on_left]]), np.unique(label[owner[on_right]])
    if on_left.sum() != len(edges) or np.isin(good, bad).any():
        raise MeshError("a region could not be closed by its edges")
    return np.asarray(triangles[np.isin(label, good)])


class _Guard:
    """Keeps new points out of the half circles on the fixed edges, and inside the region."""

    def __init__(self, points: FloatArray, edges: IntArray, middle: FloatArray, half: FloatArray) -> None:
        self._a, self._b = points[edges[:, 0]], points[edges[:, 1]]
        self._middle, self._half = middle, half

    def allows(self, places: FloatArray) -> npt.NDArray[np.bool_]:
        ok = np.ones(len(places), bool)
        block = max(1, 1_000_000 // len(self._half))
        for first in range(0, len(places), block):
            p = places[first : first + block, None]
            off = p - self._middle
            free = (off[..., 0] ** 2 + off[..., 1] ** 2 > 0.98 * self._half**2).all(axis=1)
            up = (self._a[:, 1] > p[..., 1]) != (self._b[:, 1] > p[..., 1])
            with np.errstate(divide="ignore", invalid="ignore"):
                x = self._a[:, 0] + (p[..., 1] - self._a[:, 1]) / (self._b - self._a)[:, 1] * (self._b - self._a)[:, 0]
            inside = (up & (p[..., 0] < x)).sum(axis=1) % 2 == 1
            ok[first : first + block] = free & inside
        return ok


def _better_points(points: FloatArray, triangles: IntArray, guard: _Guard, limit: Limit) -> FloatArray:
    """Places where a new point improves the worst triangles, far enough from one another."""
    corner = points[triangles]
    edge = np.roll(corner, -1, axis=1) - corner
    length = np.hypot(edge[..., 0], edge[..., 1])
    area = 0.5 * np.abs(edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0])
    radius = length.prod(axis=1) / (4 * np.maximum(area, 1e-300))
    shortest = length.min(axis=1)
    wanted = limit(corner.mean(axis=1))
    flat = radius > FLAT * length.max(axis=1)
    bad = flat | (np.isfinite(wanted) & ((radius > WORST * shortest) | (radius > 0.7 * wanted)))
    if not bad.any():
        return np.zeros((0, 2))
    places, clear = _off_centres(corner[bad], length[bad], radius[bad])
    allowed = guard.allows(places) & (flat[bad] | np.isfinite(limit(places)))
    return _spaced(points, places[allowed], clear[allowed])


def _ahead(points: FloatArray, edges: IntArray, guard: _Guard) -> FloatArray:
    """A place in front of every edge given, about as far as it is long."""
    along = points[edges[:, 1]] - points[edges[:, 0]]
    places = points[edges].mean(axis=1) + 0.8 * np.column_stack((-along[:, 1], along[:, 0]))
    allowed = guard.allows(places)
    return _spaced(points, places[allowed], np.hypot(*along[allowed].T))


def _spaced(points: FloatArray, places: FloatArray, clear: FloatArray) -> FloatArray:
    """Those places that stay clear of all points and of one another, the roomiest first."""
    if not len(places):
        return places
    order = np.argsort(-clear)
    places, clear = places[order], clear[order]
    nearest, _ = cKDTree(points).query(places)
    keep = nearest > 0.5 * clear
    places, clear = places[keep], clear[keep]
    tree = cKDTree(places)
    taken = np.ones(len(places), bool)
    for k, near in enumerate(tree.query_ball_point(places, 0.8 * clear)):
        if taken[k]:
            for j in near:
                if j > k:
                    taken[j] = False
    return np.asarray(places[taken])


def _off_centres(corner: FloatArray, length: FloatArray, radius: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The centre of each circumscribed circle, or a nearer place on the way to it from the shortest edge."""
    rows = np.arange(len(corner))
    k = length.argmin(axis=1)
    a, b, c = corner[rows, k], corner[rows, (k + 1) % 3], corner[rows, (k + 2) % 3]
    ab, ac = b - a, c - a
    d = 2 * (ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0])
    ab2, ac2 = (ab**2).sum(axis=1), (ac**2).sum(axis=1)
    centre = a + np.column_stack((ac[:, 1] * ab2 - ab[:, 1] * ac2, ab[:, 0] * ac2 - ac[:, 0] * ab2)) / d[:, None]
    middle = 0.5 * (a + b)
    way = centre - middle
    far = np.hypot(*way.T)
    shortest = length.min(axis=1)
    beyond = 1.3
    nearest = shortest * (beyond + np.sqrt(beyond**2 - 0.25))
    step = np.where(radius > WORST * shortest, np.minimum(far, nearest), far)
    with np.errstate(divide="ignore", invalid="ignore"):
        place = middle + way * np.where(far > 0, step / far, 0)[:, None]
    return place, np.hypot(*(place - a).T)


def _parted(points: FloatArray, triangles: IntArray, bent: IntArray) -> tuple[FloatArray, IntArray]:
    """Put a point into every triangle with two curved edges, so that each of its parts has one at most."""
    n = len(points)
    on_bend = np.isin(_keys(_edges_of(triangles), n), _keys(bent, n)).reshape(3, -1).sum(axis=0)
    split = triangles[on_bend > 1]
    middle = n + np.arange(len(split))
    parts = [np.column_stack((split[:, k], split[:, (k + 1) % 3], middle)) for k in range(3)]
    return (
        np.concatenate((points, points[split].mean(axis=1))),
        np.concatenate((triangles[on_bend < 2], *parts)),
    )


def _relaxed(points: FloatArray, triangles: IntArray, fixed: int) -> FloatArray:
    """Move added points towards the mean of their neighbours where no triangle gets worse than the worst."""
    if len(points) == fixed:
        return points
    directed = _edges_of(triangles)
    count = np.bincount(directed[:, 0], minlength=len(points))
    for _ in range(3):
        mean = np.zeros_like(points)
        for axis in range(2):
            mean[:, axis] = np.bincount(directed[:, 0], points[directed[:, 1], axis], minlength=len(points))
        moved = points.copy()
        moved[fixed:] = mean[fixed:] / np.maximum(count[fixed:, None], 1)
        before, after = _quality(points, triangles), _quality(moved, triangles)
        spoilt = np.unique(triangles[after < np.minimum(before, 0.3)])
        moved[spoilt] = points[spoilt]
        if (_quality(moved, triangles) < np.minimum(before, 0.05)).any():
            break
        points = moved
    return points


def _quality(points: FloatArray, triangles: IntArray) -> FloatArray:
    """4 sqrt(3) area over the sum of squared edges: 1 for equilateral, negative when inverted."""
    corner = points[triangles]
    edge = np.roll(corner, -1, axis=1) - corner
    area = 0.5 * (edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0])
    return np.asarray(4 * np.sqrt(3) * area / (edge**2).sum(axis=(1, 2)))
