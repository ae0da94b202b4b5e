"""Stiffness and mass matrices of a mesh for Lagrange elements of any order, curved triangles included.

Every integral carries a weight: 1 in the plane, one of the distance from the axis in the half plane r, z.
"""

from __future__ import annotations

from functools import cached_property, lru_cache

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.few_places import few_places
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature, values

from . import weighted
from .half_plane import Weight
from .local_functions import EDGES, LocalFunctions, determinant
from .motions import CENTRE, EvenRoundAxis, Motions


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

    @cached_property
    def bent_parts(self) -> tuple[Motions, ...]:
        """The same of curved triangles, in the half plane of those off the axis, as their weights need."""
        if self.weight is Weight.PLANE:
            return (self.bent,)
        off = self.mesh.curved[~self.at_axis[self.mesh.curved]]
        degrees = weighted.slope_degrees(self, off)
        return tuple(Motions.round_an_axis(self, off[degrees == one], int(one)) for one in np.unique(degrees))

    @cached_property
    def even_parts(self) -> tuple[EvenRoundAxis, ...]:
        """The same of straight triangles of a half plane, off the axis."""
        off = np.flatnonzero(~self.at_axis[self.even.rows])
        degrees = weighted.slope_degrees(self, self.even.rows[off])
        return tuple(EvenRoundAxis.of(self, self.even, off[degrees == one], int(one)) for one in np.unique(degrees))

    @cached_property
    def axis_parts(self) -> tuple[Motions, ...]:
        """The same of those at the axis."""
        return tuple(Motions.beside_axis(self, rows, degree) for degree, rows in weighted.beside_axis(self))

    @cached_property
    def axis_functions(self) -> tuple[tuple[FloatArray, FloatArray, FloatArray], ...]:
        """What `weighted.functions` has of those at the places of their quadrature."""
        return tuple(weighted.functions(self, part.rows, *few_places(part.degree)) for part in self.axis_parts)

    def within(self, above: Elements) -> None:
        """Take the matrices from elements of a higher order on the same mesh, among whose functions these are."""
        rise = values(self.order, lattice(above.order)[:, 1:] / above.order)
        for what in ("stiffness_blocks", "mass_blocks"):
            vars(self)[what] = _restricted(getattr(above, what), rise)

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
        det, inverse = (m[:, 0] for m in self.straight_maps)
        metric = np.einsum("tda,tdb->tab", inverse, inverse) * det[:, None, None]
        reference = reference_stiffness(self.order)
        blocks[self.straight] = (metric.reshape(-1, 4) @ reference.reshape(4, n * n)).reshape(-1, n, n)
        if len(self.mesh.curved):
            det, jacobian = self._curved_maps
            (xa, xb), (ya, yb) = jacobian.transpose(2, 3, 0, 1)
            # adj(J) adj(J)' / det: what slopes on the reference triangle are worth, its mixed entry once
            metric = np.stack((xb**2 + yb**2, -(xa * xb + ya * yb), xa**2 + ya**2), axis=1) / det[:, None]
            flat = metric.reshape(len(det), -1) @ slope_products(self.order, self._degree)
            blocks[self.mesh.curved] = flat.take(pairs(n), axis=1)
        return blocks

    def _plane_mass(self) -> FloatArray:
        n = self.dofs.shape[1]
        blocks = np.empty((len(self.metal), n, n))
        bent = self._bent[self.metal] >= 0
        det, _ = self.maps(self.metal[~bent], CENTRE)
        blocks[~bent] = det[..., None] * reference_mass(self.order)
        if bent.any():
            det = self._curved_maps[0][self._bent[self.metal[bent]]]
            blocks[bent] = (det @ value_products(self.order, self._degree)).take(pairs(n), axis=1)
        return blocks

    @cached_property
    def _curved_maps(self) -> tuple[FloatArray, FloatArray]:
        """Jacobian (m, p, 2, 2) of the curved triangles at the places of their quadrature, and its determinant."""
        jacobian = self.jacobians(self.mesh.curved, quadrature(self._degree)[0])
        return determinant(jacobian), jacobian

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


def _restricted(blocks: FloatArray, rise: FloatArray) -> FloatArray:
    """Symmetric matrices (t, n, n) for functions given by their values at the n nodes, rise (n, k): (t, k, k)."""
    n, k = rise.shape
    half = (blocks.reshape(-1, n) @ rise).reshape(-1, n, k).transpose(0, 2, 1)
    return np.asarray((half.reshape(-1, n) @ rise).reshape(-1, k, k))


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


@lru_cache(maxsize=16)
def slope_products(order: int, degree: int) -> FloatArray:
    """Products of slopes of two functions at places of a quadrature, times its weights, (3 p, pairs of functions).

    du/da dv/da, then du/da dv/db + du/db dv/da, then du/db dv/db.
    """
    places, weights = quadrature(degree)
    g = gradients(order, places) * np.sqrt(weights)[:, None, None]
    i, j = np.triu_indices(g.shape[1])
    a, b = g[..., 0], g[..., 1]
    return np.concatenate((a[:, i] * a[:, j], a[:, i] * b[:, j] + b[:, i] * a[:, j], b[:, i] * b[:, j]))


@lru_cache(maxsize=16)
def value_products(order: int, degree: int) -> FloatArray:
    """Products of two functions at places of a quadrature, times its weights, (p, pairs of functions)."""
    places, weights = quadrature(degree)
    v = values(order, places)
    i, j = np.triu_indices(v.shape[1])
    return np.asarray(weights[:, None] * v[:, i] * v[:, j])


@lru_cache(maxsize=16)
def pairs(count: int) -> IntArray:
    """Number of every pair of functions, whichever comes first, (n, n)."""
    found = np.empty((count, count), dtype=np.int64)
    i, j = np.triu_indices(count)
    found[i, j] = found[j, i] = np.arange(len(i))
    return found
