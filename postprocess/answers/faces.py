"""Where the current flows, face by face: every bit of metal counts to the face of the outline it lies nearest to.

For several fields on one mesh at once: what points and faces need of the mesh serves all frequencies of a sweep.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import values
from crosscurrent.solver.field.discretisation import Discretisation

from .mesh_parts import ConductorParts

WITHIN = 0.95  # share of a face's |J| that its depth holds


@dataclass(frozen=True)
class FaceFlow:
    """What flows nearer to one face than to any other.

    Attributes
    ----------
    name : str
    current : complex
        Its part of the conductor's net current [A].
    density : float
        Integral of |J| over its metal [A].
    loss : float [W/m]
    depth : float
        Depth below the face that holds 95 % of that integral [m].
    length : float
        Of the face along the outline [m].
    """

    name: str
    current: complex
    density: float
    loss: float
    depth: float
    length: float


@dataclass(frozen=True)
class Crowding:
    """Where the current of a conductor crowds.

    Attributes
    ----------
    faces : tuple of FaceFlow
    peak : float
        Largest |J| on a fine lattice of every triangle, corners included [A/m2].
    """

    faces: tuple[FaceFlow, ...]
    peak: float


@dataclass(frozen=True, eq=False)
class CrowdingReader:
    """Reads where the current of a conductor crowds off fields: what that takes of the mesh is made once for all.

    Attributes
    ----------
    discretisation : Discretisation
    parts : ConductorParts
        Of the conductor, on the mesh of the fields.
    current, loss : (faces, places) sparse
        From E, and from |E|^2, at the places of the split to what every face has of current and loss.
    below : list of (places, weight, depth)
        For each face its places from the surface down, the weights of |E| at them in |J|, their depths [m].
    """

    discretisation: Discretisation
    parts: ConductorParts
    current: sparse.csr_array
    loss: sparse.csr_array
    below: list[tuple[IntArray, FloatArray, FloatArray]]

    @classmethod
    def of(cls, d: Discretisation, parts: ConductorParts) -> CrowdingReader:
        """For fields on a discretisation."""
        split, smoothing = parts.split, d.smoothing[parts.split.row]
        weight = d.sigma[split.row] * split.area
        onto = (len(parts.faces), sum(len(rows) * len(places) for rows, places in split.groups))
        current, loss = (
            sparse.csr_array((weight * factor, (split.face, split.place)), shape=onto)
            for factor in (smoothing, np.abs(smoothing) ** 2)
        )
        below = []
        for k in range(len(parts.faces)):
            on = np.flatnonzero(split.face == k)
            on = on[np.argsort(split.depth[on])]
            below.append((split.place[on], (weight * np.abs(smoothing))[on], split.depth[on]))
        return cls(d, parts, current, loss, below)

    def read(self, electric: ComplexArray) -> list[Crowding]:
        """Where the current crowds in each of some fields.

        Parameters
        ----------
        electric : (m, unknowns) complex
            E in the metal of the flows [V/m].
        """
        peaks = peak_densities(self.discretisation, electric, self.parts.regions)
        found = zip(self._flows(electric), peaks, strict=True)
        return [Crowding(tuple(faces), float(peak)) for faces, peak in found]

    def _flows(self, electric: ComplexArray) -> list[list[FaceFlow]]:
        """Current and loss split among the faces of the outline, holes included, field by field."""
        field = self._at_places(electric)
        size = np.abs(field)
        current, loss = np.asarray(self.current @ field).T, np.asarray(self.loss @ size**2).T
        flows: list[list[FaceFlow]] = [[] for _ in electric]
        for k, (name, length) in enumerate(zip(self.parts.faces, self.parts.lengths, strict=True)):
            places, weight, below = self.below[k]
            total = np.cumsum(size[places] * weight[:, None], axis=0)
            density = total[-1] if len(places) else np.zeros(len(electric))
            sums = (column.tolist() for column in (current[:, k], density, loss[:, k], _depths(total.T, below)))
            for flow, net, held, lost, depth in zip(flows, *sums, strict=True):
                flow.append(FaceFlow(name, net, held, lost, depth, float(length)))
        return flows

    def _at_places(self, electric: ComplexArray) -> ComplexArray:
        """E at the places of the split, (places, m)."""
        d, by_unknown = self.discretisation, np.ascontiguousarray(electric.T)
        found = np.empty((self.current.shape[1], len(electric)), dtype=complex)
        first = 0
        for rows, places in self.parts.split.groups:
            here = found[first : first + len(rows) * len(places)].reshape(len(rows), len(places), len(electric))
            at_nodes = by_unknown[d.elements.dofs[d.elements.metal[rows]]]
            # real products of the real and the imaginary parts: a complex one would take twice as many
            np.matmul(values(d.order, places), at_nodes.view(float), out=here.view(float))
            first += len(rows) * len(places)
        return found


def _depths(total: FloatArray, depth: FloatArray) -> FloatArray:
    """Depth that holds most of what is summed up to every depth, row by row, (m,) [m]."""
    return np.array([np.interp(WITHIN * row[-1], row, depth) if row.any() else 0.0 for row in total])


def peak_densities(d: Discretisation, electric: ComplexArray, regions: Sequence[int]) -> FloatArray:
    """Largest |J| in some regions on a fine lattice of every triangle, corners included, of each field, (m,) [A/m2].

    Parameters
    ----------
    d : Discretisation
    electric : (m, unknowns) complex
        E in the metal of the flows [V/m].
    regions : sequence of int
    """
    inside = np.flatnonzero(np.isin(d.mesh.region[d.elements.metal], regions))
    rows, per_field = d.elements.metal[inside], np.abs(d.sigma * d.smoothing)[inside]
    places = lattice(2 * d.order)[:, 1:] / (2 * d.order)
    # between its nodes no field of a triangle is larger than so many times the largest at them
    most = np.abs(values(d.order, places)).sum(axis=1).max()
    at_nodes = np.abs(electric[:, d.elements.dofs[rows]]).max(axis=2) * per_field
    near = (most * at_nodes >= at_nodes.max(axis=1, keepdims=True)).any(axis=0)
    strength = np.abs(d.elements.value(electric, rows[near], places)) * per_field[near, None]
    return np.asarray(strength.max(axis=(1, 2)))
