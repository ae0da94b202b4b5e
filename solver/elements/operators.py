"""Stiffness and mass matrices of a mesh for Lagrange elements of any order, curved triangles included.

Every integral carries a weight: 1 in the plane, one of the distance from the axis in the half plane r, z.
"""

from __future__ import annotations

from functools import cached_property, lru_cache

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature, values

from . import weighted
from .half_plane import Weight
from .local_functions import EDGES, LocalFunctions
from .motions import CENTRE, Motions


class Elements(LocalFunctions):
    """Lagrange elements of one order on a mesh, with their matrices."""

    @cached_property
    def even(self) -> Motions:
        """What motions of the corners do in straight triangles."""
        return Motions.straight(self)

    @cached_property
    def bent(self) -> Motions:
        """The same in curved ones."""
        return Motions.curved(self)

    @property
    def _degree(self) -> int:
        return 2 * self.order + 6

    @cached_property
    def stiffness_blocks(self) -> FloatArray:
        """Integral of grad u . grad v over every triangle, (t, n, n)."""
        return self._plane_stiffness() if self.weight is Weight.PLANE else weighted.stiffness(self)

    @cached_property
    def mass_blocks(self) -> FloatArray:
        """Integral of u v over every triangle of metal, (m, n, n)."""
        return self._plane_mass() if self.weight is Weight.PLANE else weighted.mass(self, self.metal)

    @cached_property
    def load_blocks(self) -> FloatArray:
        """Integral of u over every triangle of metal, (m, n)."""
        found = np.asarray(self.mass_blocks.sum(axis=2))
        if self.at_axis.any():
            near = self.at_axis[self.metal]
            found[near] = weighted.load(self, self.metal[near])
        return found

    def _plane_stiffness(self) -> FloatArray:
        n = self.dofs.shape[1]
        blocks = np.empty((len(self.dofs), n, n))
        det, inverse = (m[:, 0] for m in self.maps(self.straight, CENTRE))
        metric = np.einsum("tda,tdb->tab", inverse, inverse) * det[:, None, None]
        reference = reference_stiffness(self.order)
        blocks[self.straight] = (metric.reshape(-1, 4) @ reference.reshape(4, n * n)).reshape(-1, n, n)
        if len(self.mesh.curved):
            places, weights = quadrature(self._degree)
            det, inverse = self.maps(self.mesh.curved, places)
            weights, gradient = det * weights, gradients(self.order, places)
            actual = (inverse @ gradient.swapaxes(1, 2)).reshape(len(weights), -1, n)
            scaled = actual * np.repeat(weights, 2, axis=1)[..., None]
            blocks[self.mesh.curved] = actual.transpose(0, 2, 1) @ scaled
        return blocks

    def _plane_mass(self) -> FloatArray:
        n = self.dofs.shape[1]
        blocks = np.empty((len(self.metal), n, n))
        bent = self._bent[self.metal] >= 0
        det, _ = self.maps(self.metal[~bent], CENTRE)
        blocks[~bent] = det[..., None] * reference_mass(self.order)
        if bent.any():
            places, weights = quadrature(self._degree)
            weights, value = self.maps(self.metal[bent], places)[0] * weights, values(self.order, places)
            blocks[bent] = value.T @ (weights[:, :, None] * value)
        return blocks

    @cached_property
    def metal(self) -> IntArray:
        """Numbers of the triangles of metal."""
        return np.flatnonzero(self.mesh.region != AIR)

    def assemble(self, blocks: FloatArray, rows: IntArray | None = None) -> sparse.csc_array:
        """Sum element blocks of (some) triangles into a matrix."""
        dofs = self.dofs if rows is None else self.dofs[rows]
        n = dofs.shape[1]
        i = np.repeat(dofs, n, axis=1).ravel()
        j = np.tile(dofs, (1, n)).ravel()
        return sparse.csc_array((blocks.ravel(), (i, j)), shape=(self.count, self.count))


def elements_on(pairs: IntArray, triangles: IntArray) -> tuple[IntArray, IntArray]:
    """Triangle that has each directed edge, and which of its sides it is."""
    count = int(triangles.max()) + 1
    keys = np.concatenate([triangles[:, i] * count + triangles[:, j] for i, j in EDGES])
    order = np.argsort(keys)
    found = order[np.searchsorted(keys, pairs[:, 0] * count + pairs[:, 1], sorter=order)]
    return found % len(triangles), found // len(triangles)


@lru_cache(maxsize=16)
def reference_stiffness(order: int) -> FloatArray:
    """Integrals of du/da dv/db on the reference triangle, (2, 2, n, n)."""
    places, weights = quadrature(2 * order)
    g = gradients(order, places)
    return np.asarray(np.einsum("p,pna,pmb->abnm", weights, g, g, optimize=True))


@lru_cache(maxsize=16)
def reference_mass(order: int) -> FloatArray:
    """Integrals of u v on the reference triangle, (n, n)."""
    places, weights = quadrature(2 * order)
    v = values(order, places)
    return np.asarray(v.T @ (weights[:, None] * v))
