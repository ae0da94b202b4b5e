"""The interior: Delaunay triangles of regions bounded by fixed edges, with points added until they are good.

The edges given are kept as they are: no point is ever put on them, so neighbouring regions stay conforming.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.spatial import cKDTree

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.errors import MeshError
from crosscurrent.geometries.plane.sides import BLOCK, norm

from .constrained import ConstrainedRegion, edge_keys, edges_of
from .side_by_side import Interior, SideBySide

WORST = 1.5  # largest circumradius over shortest edge that needs no more points (smallest angle 19.5 degrees; nearer to
# the square root of two each new point tends to leave another such triangle behind, a round for each)
FLAT = 5.0  # circumradius over longest edge beyond which a triangle is split anywhere (largest angle 174 degrees)
ROUNDS = 60
AHEAD = [1, 2, 0]  # the corner after each of a triangle
STEEPNESS = (1.0, 0.6)  # angle at the base of those triangles over that of the curve; lower where space is tight
STEEPEST_CAP = np.radians(55)  # most at the base of the triangles that cover edges which curve into the region


def mesh_interiors(interiors: Sequence[Interior]) -> tuple[FloatArray, IntArray, IntArray]:
    """Triangulate regions, all at once.

    Parameters
    ----------
    interiors : sequence of Interior

    Returns
    -------
    points : (n, 2) float
        The corners of all regions, one region after the other, then those added [m].
    triangles : (t, 3) int, counter-clockwise
    owner : (t,) int
        Which of the regions every triangle fills.

    Raises
    ------
    MeshError
        The edges of a region cross, run through a corner or do not close; of several, details may also be too small
        for all at once.

    Examples
    --------
    >>> corners = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    >>> loop = np.array([[0, 1], [1, 2], [2, 3], [3, 0]])
    >>> square = Interior(corners, loop, np.zeros(4), lambda places: np.full(len(places), np.inf))
    >>> sorted(mesh_interiors([square, square])[2].tolist())
    [0, 0, 1, 1]
    """
    regions = SideBySide.of(interiors)
    for steepness in STEEPNESS:
        points, edges, sweeps, caps = _capped(regions.points, regions.edges, regions.sweep, steepness)
        begun = _Filling(regions, points, edges, np.append(regions.owner, regions.owner[caps[:, 0]]))
        try:
            triangles = begun.first()
            break
        except MeshError:
            if steepness == STEEPNESS[-1]:
                raise
    fixed = len(points)
    points, owner, triangles = begun.refined(triangles)
    points, triangles = _parted(_relaxed(points, triangles, fixed), triangles, edges[sweeps != 0])
    of = owner[triangles[:, 0]]
    owner = np.pad(owner, (0, len(points) - len(owner)))
    owner[triangles[:, 2]] = of  # points that part triangles come last in them
    return regions.back(points, owner), np.concatenate((triangles, caps)), np.append(of, owner[caps[:, 0]])


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

    def allows(self, places: FloatArray) -> IntArray:
        """Which places (m, 2) may become points, (k,)."""
        found = [np.zeros(0, dtype=np.int64)]
        rows = max(1, BLOCK // len(self._reach))
        for first in range(0, len(places), rows):
            x, y = places[first : first + rows, :1], places[first : first + rows, 1:]
            off_x, off_y = x - self._x, y - self._y
            free = (off_x * off_x + off_y * off_y > self._reach).all(axis=1).nonzero()[0]
            found.append(first + free[self._inside(x[free], y[free])])
        return np.concatenate(found)

    def _inside(self, x: FloatArray, y: FloatArray) -> BoolArray:
        (ax, ay), (along_x, along_y) = self._a, self._along
        up = (ay > y) != (self._b[1] > y)
        with np.errstate(divide="ignore", invalid="ignore"):
            crossing = ax + (y - ay) / along_y * along_x
        return np.asarray(np.logical_xor.reduce(up & (x < crossing), axis=1))


class _Filling:
    """Regions while points are added; those that need no more are left out of further rounds."""

    def __init__(self, regions: SideBySide, points: FloatArray, edges: IntArray, owner: IntArray) -> None:
        self._regions, self._points, self._owner = regions, points, owner
        self._rows = np.arange(len(points))
        self._begin(edges, patient=len(regions.interiors) == 1)

    def first(self) -> IntArray:
        """The triangles between the corners alone, (t, 3)."""
        return self._open.triangles()

    def refined(self, triangles: IntArray) -> tuple[FloatArray, IntArray, IntArray]:
        """All points (n, 2), their regions (n,) and the triangles (t, 3) in the end."""
        done: list[IntArray] = []
        for _ in range(ROUNDS):
            added, owner = self._better_points(triangles)
            going = np.zeros(len(self._regions.interiors), bool)
            going[owner] = True
            still = going[self._owner[self._rows[triangles[:, 0]]]]
            done.append(self._rows[triangles[~still]])
            if not len(added):
                return self._points, self._owner, np.concatenate(done)
            if not still.all():
                self._leave_out(~going)
            self._add(added, owner)
            triangles = self._open.triangles()
        return self._points, self._owner, np.concatenate((*done, self._rows[triangles]))

    def _leave_out(self, over: BoolArray) -> None:
        keep = ~over[self._owner[self._rows]]
        self._rows = self._rows[keep]
        self._begin((np.cumsum(keep) - 1)[self._edges[keep[self._edges[:, 0]]]], patient=False)

    def _begin(self, edges: IntArray, *, patient: bool) -> None:
        points = self._points[self._rows]
        self._edges, self._guard = edges, _Guard(points, edges)
        self._open = ConstrainedRegion(points, edges, patient=patient)

    def _add(self, places: FloatArray, owner: IntArray) -> None:
        self._open.add(places)
        self._rows = np.append(self._rows, len(self._points) + np.arange(len(places)))
        self._points, self._owner = np.concatenate((self._points, places)), np.append(self._owner, owner)

    def _better_points(self, triangles: IntArray) -> tuple[FloatArray, IntArray]:
        """Places where a new point improves the worst triangles, far enough from one another, and their regions."""
        x, y = (places.take(triangles.T) for places in self._open.points.T)
        along_x, along_y = (p.take(AHEAD, axis=0) - p for p in (x, y))
        length = norm(along_x, along_y)
        area = 0.5 * np.abs(along_x[0] * along_y[1] - along_y[0] * along_x[1])
        radius = length.prod(axis=0) / (4 * np.maximum(area, 1e-300))
        shortest, owner = length.min(axis=0), self._owner[self._rows[triangles[:, 0]]]
        middle = np.column_stack(((x[0] + x[1] + x[2]) / 3, (y[0] + y[1] + y[2]) / 3))
        wanted, flat = self._regions.limit(middle, owner), radius > FLAT * length.max(axis=0)
        bad = (flat | (np.isfinite(wanted) & ((radius > WORST * shortest) | (radius > 0.7 * wanted)))).nonzero()[0]
        places, clear = _off_centres(x.take(bad, axis=1), y.take(bad, axis=1), length.take(bad, axis=1), radius[bad])
        free = self._guard.allows(places)
        places, clear, owner, flat = places[free], clear[free], owner[bad[free]], flat[bad[free]]
        taken = (flat | np.isfinite(self._regions.limit(places, owner))).nonzero()[0]
        taken = taken[_spaced(self._open.points, places[taken], clear[taken])]
        return places[taken], owner[taken]


def _spaced(points: FloatArray, places: FloatArray, clear: FloatArray) -> IntArray:
    """Which of the places stay clear of all points and of one another, the roomiest first."""
    order = np.argsort(-clear)
    if not len(order):
        return order
    nearest, _ = cKDTree(points).query(places[order])
    order = order[nearest > 0.5 * clear[order]]
    taken = [True] * len(order)
    for k, others in enumerate(cKDTree(places[order]).query_ball_point(places[order], 0.8 * clear[order])):
        if taken[k]:
            for j in others:
                if j > k:
                    taken[j] = False
    return np.asarray(order[taken])


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
    far, least = norm(way_x, way_y), length.min(axis=0)
    beyond = 1.3
    nearest = least * (beyond + np.sqrt(beyond**2 - 0.25))
    step = np.where(radius > WORST * least, np.minimum(far, nearest), far)
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(far > 0, step / far, 0)
    place_x, place_y = middle_x + way_x * part, middle_y + way_y * part
    return np.column_stack((place_x, place_y)), norm(place_x - ax, place_y - ay)


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
