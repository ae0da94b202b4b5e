"""What the half plane r, z changes in an integral: its weight, and shape functions that fall as r^2 to the axis.

With Phi = 2 pi r A in place of A and e = 2 pi r E in place of E, the equations of the plane hold with every integral
weighted by W = 1 / (2 pi r). At the axis Phi goes as r^2. In triangles that touch it the shape functions N become g N,

    g = (r / t)^2,   t = r + sum over corners i on the axis of lambda_i t_i,

with t_i how far off the neighbours of corner i lie: g is 1 on all sides that do not end on the axis, and r^2 over
something smooth on it, so that no integral is singular and no condition is to be set.
"""

from __future__ import annotations

import math
from enum import Enum

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import Mesh

DIGITS = 34.0  # natural logarithm of the accuracy asked of quadrature of 1 / r, 1e-15
MOST = 60  # degree beyond the polynomial's that is spent on it
STEP = 4  # degrees are rounded up to this, so that few quadratures serve all triangles


class Weight(Enum):
    """What integrals over a section are weighted by: nothing in the plane; round the axis 1 / (2 pi r) or 2 pi r."""

    PLANE = "plane"
    FLUX = "flux"
    VOLUME = "volume"

    def at(self, radius: FloatArray) -> FloatArray:
        """Its value at distances from the axis [m]."""
        if self is Weight.PLANE:
            return np.ones_like(radius)
        round_the_axis = 2 * math.pi * radius
        return 1 / round_the_axis if self is Weight.FLUX else round_the_axis


def touching(mesh: Mesh) -> IntArray:
    """Numbers of the triangles with a corner on the axis."""
    return np.flatnonzero((mesh.points[mesh.triangles, 0] == 0).any(axis=1))


def reach_of_points(mesh: Mesh) -> FloatArray:
    """t of every point on the axis: mean distance of its neighbours from the axis, (points,) [m]; 0 off it."""
    edges, radius = mesh.edges, mesh.points[:, 0]
    both = np.concatenate((edges, edges[:, ::-1]))
    count = np.bincount(both[:, 0], radius[both[:, 1]] > 0, minlength=len(radius))
    total = np.bincount(both[:, 0], radius[both[:, 1]], minlength=len(radius))
    return np.where(radius == 0, total / np.maximum(count, 1), 0.0)


def damping(radius: FloatArray, reach: FloatArray, rise: FloatArray) -> tuple[FloatArray, FloatArray]:
    """g / r and grad g / r, both smooth, at places of triangles that touch the axis.

    Parameters
    ----------
    radius : (...) float
        Distance of the places from the axis [m].
    reach : (...) float
        Sum of lambda_i t_i there [m].
    rise : (..., 2) float
        Its gradient.

    Returns
    -------
    (...) and (..., 2) float
        [1/m], [1/m2]

    Examples
    --------
    With t even along a strip of 2 m, g = (r / 2)^2:

    >>> radius = np.array([0.5, 1.0])
    >>> damping(radius, 2 - radius, np.array([[-1.0, 0.0]] * 2))[0].tolist()
    [0.125, 0.25]
    """
    outward, t = np.array([1.0, 0.0]), radius + reach
    ratio = radius / t
    return ratio / t, (2 / t**2)[..., None] * (outward - ratio[..., None] * (outward + rise))


def extra_degrees(low: FloatArray, high: FloatArray) -> IntArray:
    """Degree that quadrature of a polynomial over a distance needs beyond the polynomial's, for distances low to high.

    The best polynomials come nearer to 1 / r by a factor x + sqrt(x^2 - 1) a degree, x = (high + low) / (high - low).

    Examples
    --------
    >>> extra_degrees(np.array([1.0, 1.0, 1.0]), np.array([1.01, 2.0, 50.0])).tolist()
    [8, 20, 60]
    """
    x = (high + low) / np.maximum(high - low, 1e-12 * high)
    wanted = DIGITS / np.log(x + np.sqrt(np.maximum(x**2 - 1, 1e-3)))
    return np.asarray(STEP * np.ceil(np.minimum(wanted, MOST) / STEP), dtype=np.int64)
