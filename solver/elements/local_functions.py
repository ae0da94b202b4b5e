"""Lagrange functions of any order on the triangles of a mesh, curved ones included, and fields made of them.

In the half plane r, z those in triangles that touch the axis fall to it (`half_plane`).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.curved import CHECKED
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.meshing.shape_functions import gradients, values

from .factor import Numbers
from .half_plane import Weight, damping, reach_of_points, touching

GEOMETRY = CHECKED  # polynomial order that carries the curved sides
EDGES = ((0, 1), (1, 2), (2, 0))  # sides of a triangle, by its corners
AWAY = 1e-12  # of the section: no place is taken to be nearer to the axis


@dataclass(frozen=True, eq=False)
class LocalFunctions:
    """Lagrange elements of one order on a mesh.

    Attributes
    ----------
    mesh : Mesh
    order : int
    weight : Weight
        Of all integrals. With that of the flux, functions in triangles that touch the axis fall to it as r^2.
    """

    mesh: Mesh
    order: int
    weight: Weight = Weight.PLANE

    @cached_property
    def dofs(self) -> IntArray:
        """Unknowns of every triangle, (t, n): corners, sides, inner ones, in the order of `lattice`."""
        mesh, p = self.mesh, self.order
        t, corners, per_edge = len(mesh.triangles), len(mesh.points), p - 1
        steps = np.arange(per_edge)
        on_edge = (
            corners
            + mesh.triangle_edges[..., None] * per_edge
            + np.where(mesh.triangle_edges_backward[..., None], per_edge - 1 - steps, steps)
        )
        inside = (p - 1) * (p - 2) // 2
        inner = corners + len(mesh.edges) * per_edge + np.arange(t * inside).reshape(t, inside)
        return np.concatenate((mesh.triangles, on_edge.reshape(t, -1), inner), axis=1)

    @cached_property
    def count(self) -> int:
        """Number of unknowns."""
        return int(self.dofs.max()) + 1

    @cached_property
    def straight(self) -> IntArray:
        """Numbers of the straight-sided triangles."""
        return np.flatnonzero(self._bent < 0)

    @cached_property
    def _bent(self) -> IntArray:
        """Place of every triangle among the curved ones, -1 if it is straight, (t,)."""
        found = np.full(len(self.mesh.triangles), -1)
        found[self.mesh.curved] = np.arange(len(self.mesh.curved))
        return found

    def are_curved(self, rows: IntArray) -> BoolArray:
        """Which of some triangles have a curved side."""
        return np.asarray(self._bent[rows] >= 0)

    def bent_places(self, rows: IntArray) -> IntArray:
        """Places of curved triangles among the curved ones, (m,)."""
        return np.asarray(self._bent[rows])

    def maps(self, rows: IntArray, places: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Jacobian determinant (m, p) and inverse transposed Jacobian (m, p, 2, 2) of triangles at reference places."""
        jacobian = self.jacobians(rows, places)
        return determinant(jacobian), _inverse_transposed(jacobian)

    @cached_property
    def straight_maps(self) -> tuple[FloatArray, FloatArray]:
        """The same of all straight triangles at one place."""
        return self.maps(self.straight, np.full((1, 2), 1 / 3))

    def jacobians(self, rows: IntArray, places: FloatArray) -> FloatArray:
        """Jacobian (m, p, 2, 2) of triangles at reference places."""
        jacobian, bent = np.empty((len(rows), len(places), 2, 2)), self.are_curved(rows)
        if not bent.all():
            corner = self.mesh.points[self.mesh.triangles[rows[~bent]]]
            jacobian[~bent] = (corner[:, 1:] - corner[:, :1]).swapaxes(1, 2)[:, None]
        if bent.any():
            nodes = self.mesh.checked_geometry[self._bent[rows[bent]]]
            # every slope of every coordinate in one product
            jacobian[bent] = np.tensordot(nodes, gradients(GEOMETRY, places), ((1,), (1,))).transpose(0, 2, 1, 3)
        return jacobian

    def positions(self, rows: IntArray, places: FloatArray) -> FloatArray:
        """Where reference places (p, 2) of triangles lie, (m, p, 2) [m]."""
        bary = np.column_stack((1 - places.sum(axis=1), places))
        where = np.matmul(bary, self.mesh.points[self.mesh.triangles[rows]])
        bent = np.flatnonzero(self.are_curved(rows))
        if len(bent):
            where[bent] = np.matmul(values(GEOMETRY, places), self.mesh.checked_geometry[self._bent[rows[bent]]])
        return np.asarray(where)

    def distances(self, rows: IntArray, places: FloatArray) -> FloatArray:
        """Of reference places (p, 2) of triangles from the axis, (m, p) [m]: as `positions`, without their heights."""
        bary = np.column_stack((1 - places.sum(axis=1), places))
        found = self.mesh.points[:, 0].take(self.mesh.triangles[rows]) @ bary.T
        bent = np.flatnonzero(self.are_curved(rows))
        if len(bent):
            found[bent] = self.mesh.checked_geometry[self._bent[rows[bent]], :, 0] @ values(GEOMETRY, places).T
        return np.asarray(found)

    def radii(self, rows: IntArray) -> FloatArray:
        """Distance from the axis of the unknowns of triangles off it, (m, n) [m]."""
        return self.distances(rows, lattice(self.order)[:, 1:] / self.order)

    def value(self, field: Numbers, rows: IntArray, places: FloatArray) -> Numbers:
        """A field (..., unknowns) at reference places of triangles, (..., m, p)."""
        found = np.asarray(field[..., self.dofs[rows]] @ values(self.order, places).T)
        if len(near := self._near(rows)):
            found[..., near, :] *= self.damping(rows[near], places)[0] * self._radius(rows[near], places)
        return found

    def gradient(self, field: Numbers, rows: IntArray, places: FloatArray) -> Numbers:
        """Gradient of a field (unknowns,) at reference places of triangles, (m, p, 2)."""
        found = self._plain_gradient(field, rows, places)
        if len(near := self._near(rows)):
            found[near] = self._falling(field, rows[near], places) * self._radius(rows[near], places)[..., None]
        return found

    def strength(self, field: Numbers, rows: IntArray, places: FloatArray) -> Numbers:
        """A field per length of its path, (..., m, p): in the plane itself, round the axis over 2 pi r."""
        found = np.asarray(field[..., self.dofs[rows]] @ values(self.order, places).T)
        if self.weight is Weight.FLUX:
            factor, near = 1 / self._radius(rows, places, AWAY), self._near(rows)
            factor[near] = self.damping(rows[near], places)[0]
            found *= factor / (2 * np.pi)
        return found

    def induction(self, field: Numbers, rows: IntArray, places: FloatArray) -> Numbers:
        """Gradient of a field (..., unknowns) per length of its path, (..., m, p, 2): B turned by a right angle."""
        found = self._plain_gradient(field, rows, places)
        if self.weight is Weight.FLUX:
            near = self._near(rows)
            beside = self._falling(field, rows[near], places)
            found /= self._radius(rows, places, AWAY)[..., None]
            found[..., near, :, :] = beside
            found /= 2 * np.pi
        return found

    def _plain_gradient(self, field: Numbers, rows: IntArray, places: FloatArray) -> Numbers:
        field, slopes = field[..., self.dofs[rows]], gradients(self.order, places)
        by_reference = np.einsum("...tn,pnr->...tpr", field, slopes, optimize=True)
        return np.asarray((self.maps(rows, places)[1] @ by_reference[..., None])[..., 0])

    def _falling(self, field: Numbers, rows: IntArray, places: FloatArray) -> Numbers:
        """Gradient of a field over r in triangles that touch the axis, (..., m, p, 2)."""
        factor, slope = self.damping(rows, places)
        plain = field[..., self.dofs[rows]] @ values(self.order, places).T
        return np.asarray(factor[..., None] * self._plain_gradient(field, rows, places) + slope * plain[..., None])

    def _radius(self, rows: IntArray, places: FloatArray, least: float = 0.0) -> FloatArray:
        """Distance from the axis, (m, p) [m], at least a part of the section."""
        return np.maximum(self.distances(rows, places), least * self.mesh.radius)

    def measure(self, rows: IntArray, places: FloatArray) -> FloatArray:
        """Volume per area of the reference triangle at its places, (m, p): per metre of run, or all round the axis."""
        determinant = self.maps(rows, places)[0]
        if self.weight is Weight.PLANE:
            return determinant
        return np.asarray(determinant * Weight.VOLUME.at(self.distances(rows, places)))

    def centred(self, field: Numbers, rows: IntArray) -> Numbers:
        """Values at the unknowns of triangles (m, n, ...) less their mean where that leaves the gradient as it is."""
        mean = field.mean(axis=1, keepdims=True)
        mean[self._near(rows)] = 0
        return np.asarray(field - mean)

    @cached_property
    def at_axis(self) -> BoolArray:
        """Which triangles have functions that fall to the axis, (t,)."""
        found = np.zeros(len(self.mesh.triangles), dtype=bool)
        if self.weight is Weight.FLUX:
            found[touching(self.mesh)] = True
        return found

    def _near(self, rows: IntArray) -> IntArray:
        """Places in rows of such triangles."""
        return np.flatnonzero(self.at_axis[rows]) if self.weight is Weight.FLUX else np.zeros(0, dtype=np.int64)

    @cached_property
    def reaches(self) -> FloatArray:
        """t of the corners of every triangle in the functions that fall to the axis, (t, 3) [m]; 0 off the axis."""
        return np.where(self.at_axis[:, None], reach_of_points(self.mesh)[self.mesh.triangles], 0.0)

    def damping(self, rows: IntArray, places: FloatArray) -> tuple[FloatArray, FloatArray]:
        """g / r and grad g / r at reference places of triangles that touch the axis, (m, p) and (m, p, 2)."""
        return self.damping_by(self.maps(rows, places)[1], rows, places)

    def damping_by(
        self, inverse: FloatArray, rows: IntArray, places: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """The same where the inverse transposed Jacobian is known, (m, p, 2, 2)."""
        corners, reach = np.column_stack((1 - places.sum(axis=1), places)), self.reaches[rows]
        rise = (inverse @ (reach[:, 1:] - reach[:, :1])[:, None, :, None])[..., 0]
        return damping(self._radius(rows, places), reach @ corners.T, rise)


def determinant(jacobian: FloatArray) -> FloatArray:
    """Of matrices (..., 2, 2)."""
    return np.asarray(jacobian[..., 0, 0] * jacobian[..., 1, 1] - jacobian[..., 0, 1] * jacobian[..., 1, 0])


def _inverse_transposed(jacobian: FloatArray) -> FloatArray:
    swapped = np.empty_like(jacobian)
    swapped[..., 0, 0], swapped[..., 1, 1] = jacobian[..., 1, 1], jacobian[..., 0, 0]
    swapped[..., 0, 1], swapped[..., 1, 0] = -jacobian[..., 1, 0], -jacobian[..., 0, 1]
    return swapped / determinant(jacobian)[..., None, None]
