"""What motions of the corners of a mesh do inside its triangles.

Straight triangles stretch evenly. A curved side turns and stretches as its ends do: V = alpha + beta z along it, with
z = x + i y and complex numbers for motions; what lies off its chord is carried inside as the geometry itself is.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.curved import edge_lift
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature

from .factor import Numbers
from .local_functions import EDGES, GEOMETRY, LocalFunctions

CENTRE = np.full((1, 2), 1 / 3)


@dataclass(frozen=True, eq=False)
class Motions:
    """What moves inside triangles as their corners do.

    Attributes
    ----------
    rows : (t,) int
        The triangles, all straight or all curved.
    along : (t, q, 2, 3) complex
        Slopes of motions over the reference coordinates, at the places of a quadrature, per motion of every corner.
    inverse : (t, q, 2, 2) float
        Slopes of the reference coordinates.
    measure : (t, q) float
        Area per area of the reference triangle, times the weights of the quadrature.
    degree : int
        Of the quadrature; 0 of straight triangles, which need one place.
    """

    rows: IntArray
    along: ComplexArray
    inverse: FloatArray
    measure: FloatArray
    degree: int

    @classmethod
    def straight(cls, functions: LocalFunctions) -> Motions:
        """Of the straight triangles."""
        rows = functions.straight
        measure, inverse = functions.maps(rows, CENTRE)
        hats = gradients(1, CENTRE)[0].T + np.zeros((len(rows), 1, 1, 1), dtype=complex)
        return cls(rows, hats, inverse, measure, 0)

    @classmethod
    def curved(cls, functions: LocalFunctions) -> Motions:
        """Of the curved triangles."""
        rows, degree = functions.mesh.curved, 2 * functions.order  # 2e-4 of the bars off what 2 p + 6 gives
        places, weights = quadrature(degree)
        determinant, inverse = functions.maps(rows, places)
        flat = gradients(GEOMETRY, places).transpose(0, 2, 1).reshape(2 * len(places), -1)
        along = (flat @ carried(functions, rows)).reshape(len(rows), len(places), 2, 3)
        return cls(rows, along, inverse, determinant * weights, degree)

    def on(self, some: IntArray | slice) -> Motions:
        """Of some of them."""
        return Motions(self.rows[some], self.along[some], self.inverse[some], self.measure[some], self.degree)

    def gained(self, at_places: Numbers) -> Numbers:
        """What the corners gain, (t, 6, k): along x of each in turn, then along y.

        From what dV_d over every reference coordinate r gains at the places, (t, q, r, d, k), the measure included.
        """
        count = 2 * self.along.shape[1]
        by = self.along.reshape(len(self.rows), count, 3).swapaxes(1, 2)
        flat = at_places.reshape(len(self.rows), count, 2, at_places.shape[-1])
        x, y = flat[:, :, 0], flat[:, :, 1]
        return np.concatenate((by.real @ x + by.imag @ y, by.real @ y - by.imag @ x), axis=1)

    @cached_property
    def strain(self) -> FloatArray:
        """dV_d / dx_e times the measure, per motion of the corners along x, then along y, (t, q, 2, 2, 6)."""
        turned = (self.inverse * self.measure[..., None, None]) @ self.along
        found = np.empty((*turned.shape[:2], 2, 2, 6))
        found[:, :, 0, :, :3] = found[:, :, 1, :, 3:] = turned.real
        found[:, :, 1, :, :3] = turned.imag
        found[:, :, 0, :, 3:] = -turned.imag
        return found

    @cached_property
    def growth(self) -> FloatArray:
        """div V times the measure, (t, q, 6)."""
        return np.asarray(self.strain[:, :, 0, 0] + self.strain[:, :, 1, 1])

    @cached_property
    def across(self) -> FloatArray:
        """div V - grad V - grad V' between reference slopes of two fields, times the measure, (t, q, 2, 2, 6)."""
        both = -self.strain - self.strain.swapaxes(2, 3)
        both[:, :, 0, 0] += self.growth
        both[:, :, 1, 1] += self.growth
        shape = both.shape
        left = (self.inverse.swapaxes(2, 3) @ both.reshape(*shape[:3], 12)).reshape(shape)
        return np.asarray(self.inverse.swapaxes(2, 3)[:, :, None] @ left)


def carried(functions: LocalFunctions, rows: IntArray) -> ComplexArray:
    """Motion of the nodes of the geometry of curved triangles per motion of every corner, (t, nodes, 3)."""
    mesh, inner = functions.mesh, GEOMETRY - 1
    nodes = mesh.checked_geometry[np.searchsorted(mesh.curved, rows)] @ np.array([1, 1j])
    corner = mesh.points[mesh.triangles[rows]] @ np.array([1, 1j])
    t = np.arange(1, GEOMETRY) / GEOMETRY
    found = np.broadcast_to(lattice(GEOMETRY) / GEOMETRY + 0j, (*nodes.shape, 3)).copy()
    for side, (i, j) in enumerate(EDGES):
        chord = (corner[:, j] - corner[:, i])[:, None]
        off = nodes[:, 3 + side * inner : 3 + (side + 1) * inner] / chord - corner[:, i, None] / chord - t
        turned = off @ edge_lift(GEOMETRY, side).T
        found[:, :, j] += turned
        found[:, :, i] -= turned
    return found
