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
        self._a, self._b = (points.T.take(edges[:, k], axis=1) for k in range(2))
        self._along = self._b - self._a
        self._x, self._y = 0.5 * (self._a + self._b)
        self._reach = 0.98 * (0.5 * np.hypot(*self._along)) ** 2

    def allows(self, places: FloatArray) -> BoolArray:
        """Which places (m, 2) may become points."""
        ok = np.ones(len(places), bool)
        rows = max(1, 1_000_000 // len(self._reach))
        for first in range(0, len(places), rows):
            s = slice(first, first + rows)
            x, y = places[s, :1], places[s, 1:]
            free = ((x - self._x) ** 2 + (y - self._y) ** 2 > self._reach).all(axis=1)
            ok[s] = free & self._inside(x, y)
        return ok

    def _inside(self, x: FloatArray, y: FloatArray) -> BoolArray:
        (ax, ay), (along_x, along_y) = self._a, self._along
        up = (ay > y) != (self._b[1] > y)
        with np.errstate(divide="ignore", invalid="ignore"):
            crossing = ax + (y - ay) / along_y * along_x
        return np.asarray(np.count_nonzero(up & (x < crossing), axis=1) % 2 == 1)


def _better_points(points: FloatArray, triangles: IntArray, guard: _Guard, limit: Limit) -> FloatArray:
    """Places where a new point improves the worst triangles, far enough from one another."""
    x, y = (places.take(triangles.T) for places in points.T)
    along_x, along_y = (p.take(AHEAD, axis=0) - p for p in (x, y))
    length = np.hypot(along_x, along_y)
    area = 0.5 * np.abs(along_x[0] * along_y[1] - along_y[0] * along_x[1])
    radius = length.prod(axis=0) / (4 * np.maximum(area, 1e-300))
    shortest = length.min(axis=0)
    wanted = limit(np.column_stack(((x[0] + x[1] + x[2]) / 3, (y[0] + y[1] + y[2]) / 3)))
    flat = radius > FLAT * length.max(axis=0)
    bad = (flat | (np.isfinite(wanted) & ((radius > WORST * shortest) | (radius > 0.7 * wanted)))).nonzero()[0]
    if not len(bad):
        return np.zeros((0, 2))
    places, clear = _off_centres(x.take(bad, axis=1), y.take(bad, axis=1), length.take(bad, axis=1), radius[bad])
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


def _off_centres(
    x: FloatArray, y: FloatArray, length: FloatArray, radius: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """The centre of each circumscribed circle, or a nearer place on the way to it from the shortest edge.

    Corners and lengths of the edges from them come as rows (3, m).
    """
    shortest = length.argmin(axis=0)
    rows, columns = (shortest + np.arange(3)[:, None]) % 3, np.arange(len(shortest))
    (ax, bx, cx), (ay, by, cy) = x[rows, columns], y[rows, columns]
    middle_x, middle_y = 0.5 * (ax + bx), 0.5 * (ay + by)
    bx, by, cx, cy = bx - ax, by - ay, cx - ax, cy - ay
    d = 2 * (bx * cy - by * cx)
    b2, c2 = bx**2 + by**2, cx**2 + cy**2
    centre_x, centre_y = ax + (cy * b2 - by * c2) / d, ay + (bx * c2 - cx * b2) / d
    way_x, way_y = centre_x - middle_x, centre_y - middle_y
    far, least = np.hypot(way_x, way_y), length.min(axis=0)
    beyond = 1.3
    nearest = least * (beyond + np.sqrt(beyond**2 - 0.25))
    step = np.where(radius > WORST * least, np.minimum(far, nearest), far)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(far > 0, step / far, 0)
    place_x, place_y = middle_x + way_x * part, middle_y + way_y * part
    return np.column_stack((place_x, place_y)), np.hypot(place_x - ax, place_y - ay)


def _parted(points: FloatArray, triangles: IntArray, bent: IntArray) -> tuple[FloatArray, IntArray]:
    """Put a point into every triangle with two curved edges, so that each of its parts has one at most."""
    if not len(bent):
        return points, triangles
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
    begin, end = edges_of(triangles).T
    count = np.maximum(np.bincount(begin, minlength=len(points))[fixed:], 1)
    before = _quality(points, triangles)
    for _ in range(3):
        moved = points.copy()
        for axis in range(2):
            added = np.bincount(begin, points[:, axis].take(end), minlength=len(points))
            moved[fixed:, axis] = added[fixed:] / count
        spoilt = triangles[_quality(moved, triangles) < np.minimum(before, 0.3)].ravel()
        moved[spoilt] = points[spoilt]
        after = _quality(moved, triangles)
        if (after < np.minimum(before, 0.05)).any():
            break
        points, before = moved, after
    return points


def _quality(points: FloatArray, triangles: IntArray) -> FloatArray:
    """4 sqrt(3) area over the sum of squared edges: 1 for equilateral, negative when inverted."""
    along_x, along_y = (p.take(AHEAD, axis=0) - p for p in (places.take(triangles.T) for places in points.T))
    area = 0.5 * (along_x[0] * along_y[1] - along_y[0] * along_x[1])
    return np.asarray(4 * np.sqrt(3) * area / (along_x**2 + along_y**2).sum(axis=0))
