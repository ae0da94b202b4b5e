"""A spline with control points, weights and knots as pieces of rational polynomials."""

from __future__ import annotations

import numpy as np
from scipy.interpolate import PPoly

from crosscurrent.geometries.arrays import FloatArray

from .curves import Affine, Run, rational

HIGHEST = 25  # degree of a spline


def spline_run(points: FloatArray, weights: FloatArray, knots: FloatArray, degree: int, place: Affine) -> Run:
    """Arcs along a spline.

    Parameters
    ----------
    points : (n, 2) float
        Control points.
    weights : (n,) float
    knots : (n + degree + 1,) float
        Not falling.
    degree : int
    place : Affine

    Raises
    ------
    ValueError
        The numbers of points, weights and knots do not fit together, or the degree is above `HIGHEST`.

    Examples
    --------
    >>> from crosscurrent.geometries.drawings.curves import IDENTITY
    >>> parabola = np.array([(0.0, 0.0), (1.0, 2.0), (2.0, 0.0)])
    >>> run = spline_run(parabola, np.ones(3), np.array([0.0, 0, 0, 1, 1, 1]), 2, IDENTITY)
    >>> bool(abs(run.points[:, 1].max() - 1) < 1e-3)
    True
    """
    fit = len(knots) == len(points) + degree + 1 and len(weights) == len(points)
    if not fit or not 1 <= degree <= HIGHEST or (np.diff(knots) < 0).any():
        raise ValueError(f"a spline of degree {degree} with {len(points)} points and {len(knots)} knots")
    if not (weights > 0).all():
        raise ValueError("a spline with weights that are not positive")
    columns = np.column_stack((points * weights[:, None], weights))
    pieces = [PPoly.from_spline((knots, column, degree)) for column in columns.T]
    here = np.flatnonzero((np.diff(knots) > 0) & (knots[:-1] >= knots[degree]) & (knots[1:] <= knots[-degree - 1]))
    if not len(here):
        raise ValueError("a spline whose knots leave no piece")
    coefficients = np.stack([piece.c[:, here] for piece in pieces], axis=-1)  # power, piece, coordinate
    stretch = np.diff(knots)[here][:, None] ** np.arange(degree, -1, -1)
    return rational(np.moveaxis(coefficients, 1, 0) * stretch[..., None], place)
