"""A figure over two varied values, between the designs that were worked out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from matplotlib.tri import CubicTriInterpolator, Triangulation, UniformTriRefiner

from crosscurrent.geometries.arrays import BoolArray, FloatArray

from .scales import ShownScale

FLAT = 1e-6  # of an axis: designs nearer than that to one line span no field
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
        triangles = Triangulation(plane[known, 0], plane[known, 1]).triangles
        return cls(np.flatnonzero(known)[triangles], x, y)

    def where(self, known: BoolArray) -> Triangulation | None:
        """Triangles whose corners are all known, if there are any."""
        kept = self.triangles[known[self.triangles].all(axis=1)]
        if not len(kept):
            return None
        return Triangulation(np.nan_to_num(self.x), np.nan_to_num(self.y), kept)


def smooth(known: Triangulation, z: FloatArray, slopes: FloatArray) -> tuple[Triangulation, FloatArray]:
    """Finer triangles and a field on them that has these slopes (n, 2) at the designs: cubic between, so exact to the
    second order. Where slopes are NaN, what suits the neighbours stands for them.

    Examples
    --------
    >>> x, y = np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0])
    >>> fine, values = smooth(Triangulation(x, y), x**2, np.stack([2 * x, 0 * x], axis=1))
    >>> bool(np.abs(values - fine.x**2).max() < 1e-12)
    True
    """
    lacking = np.asarray(~np.isfinite(slopes).all(axis=1), dtype=bool)
    if lacking.any():
        guessed = CubicTriInterpolator(known, z, kind="geom").gradient(known.x, known.y)
        slopes = np.where(lacking[:, None], np.stack([np.ma.filled(one, 0.0) for one in guessed], axis=1), slopes)
    field = CubicTriInterpolator(known, z, kind="user", dz=(slopes[:, 0], slopes[:, 1]))
    fine, values = UniformTriRefiner(known).refine_field(z, field, subdiv=FINER)
    return fine, np.asarray(np.ma.filled(values, np.nan), dtype=float)


def _evenly(values: FloatArray, scale: ShownScale) -> FloatArray:
    """From 0 to 1 along an axis."""
    along = np.log(values) if scale.by_ratios else values
    finite = along[np.isfinite(along)]
    return np.asarray((along - finite.min(initial=np.inf)) / (float(np.ptp(finite)) or 1.0) if len(finite) else along)
