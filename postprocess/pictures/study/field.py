"""A figure over two varied values, between the designs that were worked out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.tri import Triangulation, UniformTriRefiner

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray

from .scales import ShownScale

FLAT = 1e-6  # of an axis: designs nearer than that to one line span no field
NEAR = 1e-3  # of an axis: designs nearer than half of that count as one
FINER = 3  # times that sides are halved where a field is drawn smooth


@dataclass(frozen=True, eq=False)
class Spanned:
    """Designs of one alternative as corners of triangles.

    Attributes
    ----------
    triangles : (t, 3) int
        Corners; empty where the designs stand on one line.
    x, y : (n,) float
        In the units of the axes.
    """

    triangles: np.ndarray
    x: FloatArray
    y: FloatArray

    @classmethod
    def of(cls, values: FloatArray, across: ShownScale, up: ShownScale) -> Spanned:
        """For varied values (n, 2) [SI]; neighbours are found as the axes show them.

        Examples
        --------
        >>> from crosscurrent.postprocess.pictures.study.data import StudyScale
        >>> places = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.0]])
        >>> scale = ShownScale.of(StudyScale("bars", ""), places)
        >>> len(Spanned.of(places, scale, scale).triangles), len(Spanned.of(places[:2], scale, scale).triangles)
        (2, 0)
        """
        x, y = across.in_unit(values[:, 0]), up.in_unit(values[:, 1])
        plane = np.stack([_evenly(x, across), _evenly(y, up)], axis=1)
        known = np.isfinite(plane).all(axis=1)
        distinct = np.unique(plane[known], axis=0)
        if len(distinct) < 3 or np.linalg.matrix_rank(distinct - distinct.mean(axis=0), tol=FLAT) < 2:
            return cls(np.zeros((0, 3), dtype=int), x, y)
        kept = _apart(plane, np.flatnonzero(known))
        triangles = Triangulation(plane[kept, 0], plane[kept, 1]).triangles
        return cls(kept[triangles], x, y)

    def where(self, known: BoolArray) -> Triangulation | None:
        """Triangles whose corners are all known, if there are any."""
        kept = self.triangles[known[self.triangles].all(axis=1)]
        if not len(kept):
            return None
        return Triangulation(np.nan_to_num(self.x), np.nan_to_num(self.y), kept)


def smooth(known: Triangulation, z: FloatArray, slopes: FloatArray) -> tuple[Triangulation, FloatArray]:
    """Finer triangles and a field on them that follows these slopes (n, 2) at the designs, exact to the second order.

    Between corners it lies midway from the plane through them to their tangent planes, so that it stays near both in
    long thin triangles too. Where slopes are NaN, what suits the neighbours stands for them.

    Examples
    --------
    >>> x, y = np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0])
    >>> fine, values = smooth(Triangulation(x, y), x**2, np.stack([2 * x, 0 * x], axis=1))
    >>> bool(np.abs(values - fine.x**2).max() < 1e-12)
    True
    """
    places, slopes = np.stack([known.x, known.y], axis=1), _completed(known, z, slopes)
    fine, within = UniformTriRefiner(known).refine_triangulation(return_tri_index=True, subdiv=FINER)
    corners, at = known.triangles[within], np.stack([fine.x, fine.y], axis=1)
    first, second, off = places[corners[:, 1]], places[corners[:, 2]], places[corners[:, 0]]
    (a, b), (c, d), (e, f) = ((to - off).T for to in (first, second, at))
    size = a * d - b * c
    shares = np.stack([e * d - f * c, a * f - b * e], axis=1) / np.where(size != 0, size, 1.0)[:, None]
    shares = np.concatenate((1 - shares.sum(axis=1, keepdims=True), shares), axis=1).clip(0.0, 1.0)
    shares /= shares.sum(axis=1, keepdims=True)  # of triangles all but on a line rounding leaves others
    rise = (slopes[corners] * (at[:, None] - places[corners])).sum(axis=2)
    return fine, np.asarray((shares * (z[corners] + 0.5 * rise)).sum(axis=1))


def _completed(known: Triangulation, z: FloatArray, slopes: FloatArray) -> FloatArray:
    """Slopes with those that are NaN found from the neighbours: as a field of the second order has them."""
    found, has = slopes.copy(), np.asarray(np.isfinite(slopes).all(axis=1), dtype=bool)
    edges = np.concatenate((known.edges, known.edges[:, ::-1]))
    for k in np.unique(edges[:, 0][~has[edges[:, 0]]]):
        near = edges[edges[:, 0] == k, 1]
        way = np.stack([known.x[k] - known.x[near], known.y[k] - known.y[near]], axis=1)
        rise, weight = z[k] - z[near], 1 / np.hypot(*way.T)
        rise = np.where(has[near], 2 * rise - (np.nan_to_num(slopes[near]) * way).sum(axis=1), rise)
        found[k] = np.linalg.lstsq(weight[:, None] * way, weight * rise, rcond=FLAT)[0]
    return found


def _apart(plane: FloatArray, rows: IntArray) -> IntArray:
    """Those of some designs that stand apart, one of those that all but coincide: no triangle would have an area."""
    for shift in ((0.0, 0.0), (0.5, 0.0), (0.0, 0.5), (0.5, 0.5)):  # near ones share one of these cells
        cells = np.floor(plane[rows] / NEAR + shift)
        rows = rows[np.sort(np.unique(cells, axis=0, return_index=True)[1])]
    return rows


def _evenly(values: FloatArray, scale: ShownScale) -> FloatArray:
    """From 0 to 1 along an axis."""
    along = np.log(values) if scale.by_ratios else values
    finite = along[np.isfinite(along)]
    return np.asarray((along - finite.min(initial=np.inf)) / (float(np.ptp(finite)) or 1.0) if len(finite) else along)
