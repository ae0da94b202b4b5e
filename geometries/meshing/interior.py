"""The interior: Delaunay triangles of a region bounded by fixed edges, with points added until they are good.

The edges given are kept as they are: no point is ever put on them, so neighbouring regions stay conforming.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.errors import MeshError

from .constrained import ConstrainedRegion, edge_keys, edges_of

WORST = 1.4  # largest circumradius over shortest edge that needs no more points (smallest angle 21 degrees)
FLAT = 5.0  # circumradius over longest edge beyond which a triangle is split anywhere (largest angle 174 degrees)
ROUNDS = 60
AHEAD = [1, 2, 0]  # the corner after each of a triangle
STEEPNESS = (1.0, 0.6)  # angle at the base of those triangles over that of the curve; lower where space is tight
STEEPEST_CAP = np.radians(55)  # most at the base of the triangles that cover edges which curve into the region

Limit = Callable[[FloatArray], FloatArray]


def mesh_interior(points: FloatArray, edges: IntArray, sweep: FloatArray, limit: Limit) -> tuple[FloatArray, IntArray]:
    """Triangulate the region to the left of directed edges.

    Parameters
    ----------
    points : (n, 2) float
        Corners of the region [m].
    edges : (m, 2) int
        Closed loops of directed edges, the region on their left.
    sweep : (m,) float
        Angle each edge will turn through [rad]: 0 straight, positive curving into the region, negative out of it.
        No triangle gets two curved edges, which could meet at a straight angle.
    limit : callable
        Longest wanted edge at places (k, 2) -> (k,) [m]; where it is infinite the triangle may have any
        size and shape.

    Returns
    -------
    points : (n + added, 2) float
    triangles : (t, 3) int, counter-clockwise

    Raises
    ------
    MeshError
        The edges cross, run through a corner or do not close.

    Examples
    --------
    >>> corners = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    >>> loop = np.array([[0, 1], [1, 2], [2, 3], [3, 0]])
    >>> len(mesh_interior(corners, loop, np.zeros(4), lambda places: np.full(len(places), np.inf))[1])
    2
    """
    shift, scale = points.mean(axis=0), float(np.ptp(points, axis=0).max())
    start = (points - shift) / scale
    for steepness in STEEPNESS:
        unit, fixed_edges, sweeps, caps = _capped(start, edges, sweep, steepness)
        region = ConstrainedRegion(unit, fixed_edges)
        try:
            triangles = region.triangles()
            break
        except MeshError:
            if steepness == STEEPNESS[-1]:
                raise
    fixed = len(unit)
    guard = _Guard(unit, fixed_edges)
    for _ in range(ROUNDS):
        added = _better_points(region.points, triangles, guard, lambda p: limit(p * scale + shift) / scale)
        if not len(added):
            break
        region.add(added)
        triangles = region.triangles()
    unit = _relaxed(region.points, triangles, fixed)
    unit, triangles = _parted(unit, triangles, fixed_edges[sweeps != 0])
    return unit * scale + shift, np.concatenate((triangles, caps))


def _capped(
    points: FloatArray, edges: IntArray, sweep: FloatArray, steepness: float
) -> tuple[FloatArray, IntArray, FloatArray, IntArray]:
    """Cover every edge that curves into the region with a triangle steeper than the curve.

    Returns
    -------
    points, edges, sweep : the smaller region's, with the tips of the triangles at the end of the points
    caps : (k, 3) int
        The triangles.
    """
    into = sweep > 1e-6
    base = edges[into]
    along = points[base[:, 1]] - points[base[:, 0]]
    height = 0.5 * np.tan(np.minimum(steepness * (sweep[into] + 0.05), STEEPEST_CAP))
    tips = points[base].mean(axis=1) + height[:, None] * np.column_stack((-along[:, 1], along[:, 0]))
    tip = len(points) + np.arange(len(base))
    flanks = np.concatenate((np.column_stack((base[:, 0], tip)), np.column_stack((tip, base[:, 1]))))
    return (
        np.concatenate((points, tips)),
        np.concatenate((edges[~into], flanks)),
        np.concatenate((sweep[~into], np.zeros(len(flanks)))),
        np.column_stack((base, tip)),
    )


class _Guard:
    """Keeps new points out of the half circles on the fixed edges, and inside the region."""

    def __init__(self, points: FloatArray, edges: IntArray) -> None:
        self._a, self._b = points[edges[:, 0]], points[edges[:, 1]]
        self._middle = 0.5 * (self._a + self._b)
        self._half = 0.5 * np.hypot(*(self._b - self._a).T)

    def allows(self, places: FloatArray) -> BoolArray:
        """Which places (m, 2) may become points."""
        ok = np.ones(len(places), bool)
        rows = max(1, 1_000_000 // len(self._half))
        for first in range(0, len(places), rows):
            s = slice(first, first + rows)
            off = places[s, None] - self._middle
            free = (off[..., 0] ** 2 + off[..., 1] ** 2 > 0.98 * self._half**2).all(axis=1)
            ok[s] = free & self._inside(places[s, None])
        return ok

    def _inside(self, p: FloatArray) -> BoolArray:
        up = (self._a[:, 1] > p[..., 1]) != (self._b[:, 1] > p[..., 1])
        with np.errstate(divide="ignore", invalid="ignore"):
            x = self._a[:, 0] + (p[..., 1] - self._a[:, 1]) / (self._b - self._a)[:, 1] * (self._b - self._a)[:, 0]
        return np.asarray((up & (p[..., 0] < x)).sum(axis=1) % 2 == 1)


def _better_points(points: FloatArray, triangles: IntArray, guard: _Guard, limit: Limit) -> FloatArray:
    """Places where a new point improves the worst triangles, far enough from one another."""
    corner = points[triangles]
    edge = corner[:, AHEAD] - corner
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
    on_bend = np.isin(edge_keys(edges_of(triangles), n), edge_keys(bent, n)).reshape(3, -1).sum(axis=0)
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
    directed = edges_of(triangles)
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
    edge = corner[:, AHEAD] - corner
    area = 0.5 * (edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0])
    return np.asarray(4 * np.sqrt(3) * area / (edge**2).sum(axis=(1, 2)))
