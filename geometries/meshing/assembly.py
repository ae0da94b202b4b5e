"""A mesh while it is put together: points, triangles and curved edges, added piece by piece."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.plane.sides import cross, dot

from .curved import polar_path

OBLIQUE = 0.02  # bow of a ray in polar coordinates, of its length and its column's width, below which it is straight


@dataclass(frozen=True, eq=False)
class LayerEdge:
    """Where a boundary layer ends: a closed chain of mesh points parallel to a boundary.

    Attributes
    ----------
    points : (n,) int
        Numbers of its points; edge k leads from point k to the next one.
    base_edge : (n,) int
        Boundary edge below edge k; -1 where there is none.
    curve_centres : (n, 2) float
        Centre about which edge k runs [m]; nan where it is straight.
    """

    points: IntArray
    base_edge: IntArray
    curve_centres: FloatArray


@dataclass(eq=False)
class Assembly:
    """Collects points, triangles and curved edges.

    Attributes
    ----------
    points : list of (n, 2) float
        [m]; points are numbered in the order in which they come.
    triangles : list of (t, 3) int
        Batches, counter-clockwise.
    region : list of (t,) int
        Region of every triangle of a batch.
    around : list of (t, 2) float
        Centre of those that are polar [m]; nan for the others.
    count : int
        Number of points so far.

    Examples
    --------
    >>> parts = Assembly()
    >>> first = parts.add_points(np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]]))
    >>> parts.add_columns(*np.array([[[0]], [[1]], [[3]], [[2]]]), np.full((1, 2), np.nan), np.array([0]))
    >>> np.concatenate(parts.triangles).tolist()
    [[0, 1, 2], [0, 2, 3]]
    """

    points: list[FloatArray] = field(default_factory=list)
    triangles: list[IntArray] = field(default_factory=list)
    region: list[IntArray] = field(default_factory=list)
    around: list[FloatArray] = field(default_factory=list)
    count: int = 0
    _curved: list[IntArray] = field(default_factory=list)
    _centres: list[FloatArray] = field(default_factory=list)

    @property
    def places(self) -> FloatArray:
        """All points, (count, 2) [m]."""
        return np.concatenate(self.points)

    def add_points(self, places: FloatArray) -> int:
        """Further points (n, 2) [m]; returns the number of the first."""
        first = self.count
        self.points.append(places)
        self.count += len(places)
        return first

    def add_triangles(self, triangles: IntArray, region: int | IntArray, around: FloatArray | None = None) -> None:
        """Triangles (t, 3) of one region, or one each, polar about centres (t, 2) [m] where these are numbers."""
        self.triangles.append(triangles)
        self.region.append(np.full(len(triangles), region))
        self.around.append(np.full((len(triangles), 2), np.nan) if around is None else around)

    def add_curved_edges(self, edges: IntArray, centres: FloatArray) -> None:
        """Edges (m, 2) that run around centres (m, 2) [m], where these are numbers."""
        on = np.isfinite(centres[:, 0])
        self._curved.append(edges[on])
        self._centres.append(centres[on])

    def curved_edges(self) -> tuple[IntArray, FloatArray]:
        """All curved edges once, (b, 2), and their centres, (b, 2) [m]."""
        edges, centres = np.concatenate(self._curved), np.concatenate(self._centres)
        _, once = np.unique(self._keys(edges), return_index=True)
        return edges.take(once, axis=0), centres.take(once, axis=0)

    def _keys(self, edges: IntArray) -> IntArray:
        """A number for every edge (m, 2), the same in both directions, (m,)."""
        a, b = edges.T
        return np.asarray(np.minimum(a, b) * self.count + np.maximum(a, b))

    def edge_sweeps(self, edges: IntArray) -> FloatArray:
        """Angle every directed edge (m, 2) turns through, (m,) [rad]; positive where it curves to its left."""
        curved, centres = self.curved_edges()
        keys, wanted = self._keys(curved), self._keys(edges)  # curved edges come in the order of their keys
        found = np.minimum(keys.searchsorted(wanted), len(keys) - 1)
        place, centre = self.places, centres.take(found, axis=0)
        from_a, from_b = (place.take(edges[:, k], axis=0) - centre for k in range(2))
        turn = np.arctan2(cross(from_b, from_a), dot(from_a, from_b))
        return np.where(keys[found] == wanted, turn, 0.0)

    def add_columns(
        self, a: IntArray, b: IntArray, d: IntArray, c: IntArray, centres: FloatArray, region: IntArray,
        inward: bool = True,
    ) -> None:  # fmt: skip
        """Split quadrilaterals a-b-c-d (a-b on the side of the boundary) along their shorter diagonal, row after row.

        Parameters
        ----------
        a, b, d, c : (n, m) int
            Corners of the rows; where a and b are the same point the quadrilateral is a triangle of a fan.
        centres : (m, 2) float
            About which the sides a-b and d-c of columns run [m]; nan where they are straight.
        region : (n,) int
            Of every row.
        inward : bool
            Whether a-b-c-d runs counter-clockwise.
        """
        row, centre = np.repeat(np.arange(len(a)), a.shape[1]), np.tile(centres, (len(a), 1))
        a, b, d, c = (corner.ravel() for corner in (a, b, d, c))
        whole, fan, place = (a != b).nonzero()[0], (a == b).nonzero()[0], self.places
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = corner = [place.take(k, axis=0).T for k in (a, b, c, d)]
        short = np.hypot(cx - ax, cy - ay) <= np.hypot(dx - bx, dy - by)
        width = np.minimum(np.hypot(bx - ax, by - ay), np.hypot(cx - dx, cy - dy))
        here, there = np.zeros((2, len(row)), bool)
        bent = np.isfinite(centre[:, 0]).nonzero()[0]
        if len(bent):
            first, last = (np.concatenate([corner[k][:, bent] for k in ends], axis=1).T for ends in ((0, 1), (3, 2)))
            both = _radial(first, last, np.tile(centre[bent], (2, 1)), np.tile(width[bent], 2))
            here[bent], there[bent] = both.reshape(2, -1)
        one, two = np.array((a, b, np.where(short, c, d))), np.array((np.where(short, a, b), c, d))
        triangles = np.concatenate((one[:, whole], two[:, whole], np.array((a, c, d))[:, fan]), axis=1).T
        polar = np.concatenate((np.where(short, there, here)[whole], np.where(short, here, there)[whole], fan < 0))
        of = np.concatenate((whole, whole, fan))
        order = np.argsort(row[of], kind="stable")
        of, triangles = of[order], triangles[order]
        around = np.where(polar[order, None], centre[of], np.nan)
        self.add_triangles(triangles if inward else triangles[:, ::-1], region[row[of]], around)
        curving = (here | there) & (a != b)
        self.add_curved_edges(np.column_stack((two[0], one[2]))[curving], centre[curving])
        self.add_curved_edges(np.column_stack((d, c)), centre)


def _radial(a: FloatArray, b: FloatArray, centre: FloatArray, width: FloatArray) -> BoolArray:
    """Whether the ways from a to b, on columns so wide, stay nearly straight in polar coordinates about a centre."""
    half_way = polar_path(a, b, centre, np.array([0.5]))[:, 0]
    bow = np.hypot(*(half_way - 0.5 * (a + b)).T)
    return np.asarray(bow <= OBLIQUE * np.minimum(np.hypot(*(b - a).T), width))
