"""Where the current flows, face by face: every bit of metal counts to the face of the outline it lies nearest to.

For several fields on one mesh at once: what points and faces need of the mesh serves all frequencies of a sweep.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import values
from crosscurrent.solver.field.discretisation import Discretisation

from .mesh_parts import ConductorParts

WITHIN = 0.95  # share of a face's |J| that its depth holds
BLOCK = 64  # places that are summed up together before it is asked in which of them a depth ends


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
    loss : float
        [W/m], round an axis [W].
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
class _Below:
    """The places of a face from the surface down, in blocks of BLOCK; the last one is filled up with weights of 0.

    Attributes
    ----------
    place : (blocks, BLOCK) int
    weight : (blocks, BLOCK) float
        Of |E| in the integral of |J|.
    depth : (blocks, BLOCK) float
        [m]
    """

    place: IntArray
    weight: FloatArray
    depth: FloatArray

    @classmethod
    def of(cls, place: IntArray, weight: FloatArray, depth: FloatArray) -> _Below:
        """Of places with their weights and depths, (n,) each, in any order."""
        order, missing = np.argsort(depth), -len(depth) % BLOCK
        last = order[-1:].repeat(missing)
        filled = np.concatenate((order, last)).reshape(-1, BLOCK)
        weights = np.concatenate((weight[order], np.zeros(missing))).reshape(-1, BLOCK)
        return cls(place[filled], weights, depth[filled])

    def depths(self, size: FloatArray, total: FloatArray) -> FloatArray:
        """Depth that holds most of the integral of |J|, (m,) [m].

        Parameters
        ----------
        size : (places, m) float
            |E| [V/m].
        total : (blocks, m) float
            The integral from the surface down to the end of every block [A].
        """
        wanted, every = WITHIN * total[-1], np.arange(total.shape[1])
        block = np.minimum((total < wanted).sum(axis=0), len(total) - 1)
        before = np.where(block > 0, total[block - 1, every], 0.0)
        begins = np.where(block > 0, self.depth[block - 1, -1], self.depth[0, 0])
        steps = size[self.place[block], every[:, None]] * self.weight[block]
        upto = np.column_stack((before, before[:, None] + np.cumsum(steps, axis=1)))
        depth = np.column_stack((begins, self.depth[block]))
        after = np.clip((upto < wanted[:, None]).sum(axis=1), 1, BLOCK)
        low, high = upto[every, after - 1], upto[every, after]
        part = np.divide(wanted - low, high - low, out=np.zeros_like(low), where=high > low)
        start = depth[every, after - 1]
        return np.where(wanted > 0, start + np.clip(part, 0, 1) * (depth[every, after] - start), 0.0)


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
    below : dict of int to _Below
        For each face that has metal its places from the surface down, under the number of the face.
    blocks : (blocks, places) sparse
        From |E| to its integral over the blocks of all faces in turn.
    peaks : PeakReader
        Of its regions.
    """

    discretisation: Discretisation
    parts: ConductorParts
    current: sparse.csr_array
    loss: sparse.csr_array
    below: dict[int, _Below]
    blocks: sparse.csr_array
    peaks: PeakReader

    @classmethod
    def of(cls, d: Discretisation, parts: ConductorParts) -> CrowdingReader:
        """For fields on a discretisation."""
        split, smoothing = parts.split, d.smoothing[parts.split.row]
        sigma = d.sigma[split.row]
        count = sum(len(rows) * len(places) for rows, places in split.groups)
        carried = sigma * split.area * (smoothing.real if not smoothing.imag.any() else smoothing)
        current, loss = (
            sparse.csr_array((weight, (split.face, split.place)), shape=(len(parts.faces), count))
            for weight in (carried, sigma * split.volume * np.abs(smoothing) ** 2)
        )
        density, below = sigma * split.area * np.abs(smoothing), {}
        for k in np.unique(split.face).tolist():
            on = np.flatnonzero(split.face == k)
            below[k] = _Below.of(split.place[on], density[on], split.depth[on])
        place, weights = (
            np.concatenate([np.zeros((0, BLOCK), dtype=kind), *(getattr(b, name) for b in below.values())]).ravel()
            for name, kind in (("place", int), ("weight", float))
        )
        ends = BLOCK * np.arange(len(place) // BLOCK + 1)
        blocks = sparse.csr_array((weights, place, ends), shape=(len(ends) - 1, count))
        return cls(d, parts, current, loss, below, blocks, PeakReader.of(d, parts.regions))

    def read(self, electric: ComplexArray) -> list[Crowding]:
        """Where the current crowds in each of some fields.

        Parameters
        ----------
        electric : (m, unknowns) complex
            E in the metal of the flows [V/m].
        """
        by_unknown = np.ascontiguousarray(electric.T)
        found = zip(self._flows(by_unknown), self.peaks.read(by_unknown), strict=True)
        return [Crowding(tuple(faces), float(peak)) for faces, peak in found]

    def _flows(self, by_unknown: ComplexArray) -> list[list[FaceFlow]]:
        """Current and loss split among the faces of the outline, holes included, field by field."""
        field = self._at_places(by_unknown)
        current = _times(self.current, field)
        squared = _squared(field)
        loss = np.asarray(self.loss @ squared)
        size = np.sqrt(squared, out=squared)
        every = np.asarray(self.blocks @ size)
        flows: list[list[FaceFlow]] = [[] for _ in field.T]
        first = 0
        for k, (name, length) in enumerate(zip(self.parts.faces, self.parts.lengths, strict=True)):
            density = depth = np.zeros(len(flows))
            if k in self.below:
                below = self.below[k]
                total = np.cumsum(every[first : first + len(below.place)], axis=0)
                first += len(below.place)
                density, depth = total[-1], below.depths(size, total)
            sums = (column.tolist() for column in (current[k], density, loss[k], depth))
            for flow, net, held, lost, deep in zip(flows, *sums, strict=True):
                flow.append(FaceFlow(name, net, held, lost, deep, float(length)))
        return flows

    def _at_places(self, by_unknown: ComplexArray) -> ComplexArray:
        """E at the places of the split, (places, m)."""
        d, count = self.discretisation, by_unknown.shape[1]
        found = np.empty((self.current.shape[1], count), dtype=complex)
        first = 0
        for rows, places in self.parts.split.groups:
            here = found[first : first + len(rows) * len(places)].reshape(len(rows), len(places), count)
            at_nodes = by_unknown[d.elements.dofs[d.elements.metal[rows]]]
            # real products of the real and the imaginary parts: a complex one would take twice as many
            np.matmul(values(d.order, places), at_nodes.view(float), out=here.view(float))
            if d.mesh.axial:
                here *= _per_length(d, d.elements.metal[rows], places)[..., None]
            first += len(rows) * len(places)
        return found


def _per_length(d: Discretisation, elements: IntArray, places: FloatArray) -> FloatArray:
    """E at reference places of elements over what the shape functions make of its unknowns there, (e, p)."""
    return np.asarray(d.elements.strength(np.ones(d.elements.count), elements, places))


def _times(matrix: sparse.csr_array, field: ComplexArray) -> ComplexArray:
    """A sparse matrix times fields (n, m), in real numbers where it is real."""
    if np.iscomplexobj(matrix.data):
        return np.asarray(matrix @ field)
    return np.asarray(matrix @ field.view(float)).view(complex)


def _squared(field: ComplexArray) -> FloatArray:
    """|field|^2, without the root that numpy would take of it."""
    found = np.square(field.real)
    found += np.square(field.imag)
    return found


@dataclass(frozen=True, eq=False)
class PeakReader:
    """Reads the largest |J| in some regions off fields, on a fine lattice of every triangle, corners included.

    Attributes
    ----------
    order : int
        Of the elements.
    dofs, number : (t, n) int
        Unknowns of the triangles of the regions; their places in `used`.
    used : (u,) int
        All their unknowns.
    per_field : (t,) float
        |J|^2 over |E|^2 in them.
    per_length : (t, places) float, optional
        Round an axis |E|^2 over the square of what the shape functions make of the unknowns, on the lattice.
    """

    order: int
    dofs: IntArray
    used: IntArray
    number: IntArray
    per_field: FloatArray
    per_length: FloatArray | None = None

    @classmethod
    def of(cls, d: Discretisation, regions: Sequence[int]) -> PeakReader:
        """For fields on a discretisation."""
        inside = np.flatnonzero(np.isin(d.mesh.region[d.elements.metal], regions))
        dofs = d.elements.dofs[d.elements.metal[inside]]
        used, number = np.unique(dofs, return_inverse=True)
        per_field = np.abs(d.sigma * d.smoothing)[inside] ** 2
        per_length = _per_length(d, d.elements.metal[inside], _lattice(d.order)) ** 2 if d.mesh.axial else None
        return cls(d.order, dofs, used, number.reshape(dofs.shape), per_field, per_length)

    def read(self, by_unknown: ComplexArray) -> FloatArray:
        """The largest |J| of each of some fields (unknowns, m), in the metal of the flows, (m,) [A/m2]."""
        by_place = values(self.order, _lattice(self.order))
        # between its nodes no field of a triangle is larger than so many times the largest at them
        most = np.abs(by_place).sum(axis=1).max()
        squared = _squared(by_unknown[self.used])
        at_nodes = _largest(squared[nodes] for nodes in self.number.T) * self.per_field[:, None]
        low, high = at_nodes, most**2 * at_nodes
        if self.per_length is not None:
            low, high = (
                each * end[:, None]
                for each, end in ((low, self.per_length.min(axis=1)), (high, self.per_length.max(axis=1)))
            )
        near = (high >= low.max(axis=0)).any(axis=1)
        fields = by_unknown[self.dofs[near]]
        squared = _squared(np.matmul(by_place, fields.view(float)).view(complex))
        if self.per_length is not None:
            squared *= self.per_length[near, :, None]
        strength = _largest(squared[:, k] for k in range(squared.shape[1]))
        return np.asarray(np.sqrt((strength * self.per_field[near, None]).max(axis=0)))


def _largest(values: Iterable[FloatArray]) -> FloatArray:
    """The largest of some arrays, value by value: one by one, which takes a third of a maximum over a short axis."""
    every = iter(values)
    found = next(every).copy()
    for each in every:
        np.maximum(found, each, out=found)
    return found


def _lattice(order: int) -> FloatArray:
    """Reference places that the largest density is read at, the nodes among them, (places, 2)."""
    return lattice(2 * order)[:, 1:] / (2 * order)
