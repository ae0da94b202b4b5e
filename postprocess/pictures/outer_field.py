"""The field beyond the mesh: harmonics of its potential on the outer circle, carried outward."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.solver.field.outer_field import Outside

RINGS = 24


def outer_field(
    mesh: Mesh, outside: Outside, reach: float, angle: FloatArray
) -> tuple[FloatArray, IntArray, ComplexArray, FloatArray]:
    """A and |B| between the outer circle and a circle of radius `reach` [m], on rays at some angles (m,) [rad].

    Of an electric potential these are V and |E|: curl and gradient are equally large.

    Returns
    -------
    position, triangles, potential, magnitude
        Points (n, 2) [m], ring by ring from the inner one, small triangles (k, 3), A [Vs/m] and |B| [T] at the points.
    """
    radius = np.geomspace(1.0, max(1.0, reach / mesh.radius), RINGS)[:, None]
    rays = np.column_stack((np.cos(angle), np.sin(angle)))
    position = (mesh.centre + mesh.radius * radius[..., None] * rays).reshape(-1, 2)
    magnitude = np.sqrt((np.abs(outside.flux_density(position)) ** 2).sum(axis=1))
    return position, _grid(RINGS, len(angle), closed=not mesh.axial), outside.potential(position), magnitude


def _grid(rings: int, count: int, *, closed: bool) -> IntArray:
    """Small triangles between rings of points, or between half rings."""
    k = np.arange((rings - 1) * count).reshape(rings - 1, count)
    after = np.roll(k, -1, axis=1)
    if not closed:
        k, after = k[:, :-1], after[:, :-1]
    lower = np.stack((k, k + count, after), axis=-1)
    upper = np.stack((after, k + count, after + count), axis=-1)
    return np.concatenate((lower, upper)).reshape(-1, 3)
