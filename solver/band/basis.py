"""A space of fields that a band needs, with everything that is asked of it as small quadratic forms.

The forms belong to the mesh, one for each region of metal, so that they hold for other conductivities as well: a model
at other temperatures costs small matrices only.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy import sparse

from ..geometries.mesh import AIR, lattice
from ..geometries.outline import FloatArray
from ..geometries.shape_functions import gradients, quadrature, values
from ..geometries.sides import IntArray
from .chain import Chain, split
from .field import Discretisation, Metal, Sparse
from .materials import MU0
from .ports import Ports

BLOCK = 128  # elements whose fields are held at once
COLUMNS = 16  # fields that a sparse matrix is applied to at once


@dataclass(frozen=True, eq=False)
class Region:
    """One metal of one conductor, as forms of 1 and the basis.

    Attributes
    ----------
    group : int
        The group of conductors it belongs to.
    mass : (1 + r, 1 + r) float
        integral sigma u v.
    energy : (r, r) float
        integral (1 / mu) grad u . grad v.
    """

    group: int
    mass: FloatArray
    energy: FloatArray


@dataclass(frozen=True, eq=False)
class Space:
    """Lifts and a basis, harmonic in the air, with the stiffness projected on them.

    Attributes
    ----------
    discretisation : Discretisation
    ports : Ports
    chi : (unknowns, groups) float
        1 on a group, 0 on the others.
    basis : (unknowns, r) float
    reach, flux, stiffness : float
        chi' K chi (groups, groups), chi' K x (groups, r), x' K x (r, r).
    """

    discretisation: Discretisation
    ports: Ports
    chi: FloatArray
    basis: FloatArray
    reach: FloatArray
    flux: FloatArray
    stiffness: FloatArray

    @classmethod
    def spanned(cls, discretisation: Discretisation, ports: Ports, chi: FloatArray, basis: FloatArray) -> Space:
        """With the stiffness projected here."""
        onto = discretisation.stiffness @ chi
        reach, stiffness = chi.T @ onto, _projected(discretisation.stiffness, basis)
        return cls(discretisation, ports, chi, basis, _even(reach), onto.T @ basis, _even(stiffness))

    @cached_property
    def regions(self) -> tuple[Region, ...]:
        """The forms of every region of metal."""
        d = self.discretisation
        e, label = d.elements, d.mesh.region[d.elements.metal]
        owned = [np.unique(e.dofs[e.metal[label == number]]) for number in range(len(d.mesh.regions))]
        # metals that touch share unknowns along their border, where the matrices of the whole are of both
        apart = sum(map(len, owned)) == len(np.unique(e.dofs[e.metal]))
        found = []
        for number, inside in enumerate(owned):
            mass, energy = (d.mass, d.inner_stiffness) if apart else self._of_region(np.flatnonzero(label == number))
            field = np.column_stack((np.ones(len(inside)), self.basis[inside]))
            by_mass = _projected(mass[inside][:, inside], field)
            by_energy = _projected(energy[inside][:, inside], field[:, 1:]) / MU0
            group = int(self.ports.member[d.mesh.regions[number][0]].argmax())
            found.append(Region(group, by_mass, by_energy))
        return tuple(found)

    def _of_region(self, rows: IntArray) -> tuple[Sparse, Sparse]:
        """Mass and stiffness of some of the triangles of metal."""
        d, e = self.discretisation, self.discretisation.elements
        nu = d.reluctivity[e.metal[rows], None, None]
        mass = e.assemble(e.mass_blocks[rows] * d.sigma[rows, None, None], e.metal[rows])
        return mass, e.assemble(e.stiffness_blocks[e.metal[rows]] * nu, e.metal[rows])

    @cached_property
    def pressures(self) -> tuple[tuple[FloatArray, FloatArray], ...]:
        """Maxwell's stress around every conductor, x and y, as forms of chi and the basis [N/m per (Vs/m)^2]."""
        mesh, elements = self.discretisation.mesh, self.discretisation.elements
        owner = np.full(len(mesh.points), -1)
        part = np.array([p for p, _ in mesh.regions])
        owner[mesh.triangles[elements.metal]] = part[mesh.region[elements.metal]][:, None]
        air, fields = np.flatnonzero(mesh.region == AIR), np.column_stack((self.chi, self.basis))
        found = []
        for k in range(len(self.ports.member)):
            near = air[(owner[mesh.triangles[air]] == k).any(axis=1)]
            found.append(self._stress(fields, near, (owner == k).astype(float)))
        return tuple(found)

    def _stress(self, fields: FloatArray, near: IntArray, ours: FloatArray) -> tuple[FloatArray, FloatArray]:
        elements = self.discretisation.elements
        places, weights = quadrature(2 * elements.order + 2)
        reference = gradients(elements.order, places)
        corner_gradient = np.array([[-1.0, -1.0], [1.0, 0.0], [0.0, 1.0]])
        total = np.zeros((2, fields.shape[1], fields.shape[1]))
        for first in range(0, len(near), BLOCK):
            rows = near[first : first + BLOCK]
            determinant, inverse = elements.maps(rows, places)
            by_reference = np.einsum("tnb,pnr->tprb", fields[elements.dofs[rows]], reference, optimize=True)
            slope = inverse @ by_reference
            b = np.stack((slope[:, :, 1], -slope[:, :, 0]), axis=2)
            weight = ours[elements.mesh.triangles[rows]] @ corner_gradient
            fall = np.einsum("tpdr,tr->tpd", inverse, weight) * (determinant * weights)[..., None]
            along = np.einsum("tpdb,tpd->tpb", b, fall, optimize=True).reshape(-1, fields.shape[1])
            for k in range(2):
                flat = b[:, :, k].reshape(-1, fields.shape[1])
                pressure = sum(
                    (b[:, :, c] * fall[:, :, k, None]).reshape(flat.shape).T @ b[:, :, c].reshape(flat.shape)
                    for c in range(2)
                )
                total[k] += flat.T @ along - 0.5 * pressure
        x, y = (-(t + t.T) / (2 * MU0) for t in total)
        return x, y

    def galerkin(self, factors: FloatArray) -> tuple[Chain, FloatArray, FloatArray]:
        """The chain of this space with the conductivity of every region multiplied.

        Parameters
        ----------
        factors : (regions,) float

        Returns
        -------
        chain : Chain
        turn : (r, modes) float
        slip : (groups, r) float
            The modes are (basis - chi slip) turn.
        """
        groups, count = self.flux.shape
        conductance, load, mass = np.zeros(groups), np.zeros((groups, count)), np.zeros((count, count))
        for region, factor in zip(self.regions, factors, strict=True):
            conductance[region.group] += factor * region.mass[0, 0]
            load[region.group] += factor * region.mass[0, 1:]
            mass += factor * region.mass[1:, 1:]
        slip = load / conductance[:, None]
        flux = self.flux - self.reach @ slip
        across = slip.T @ self.flux
        stiffness = self.stiffness - across - across.T + slip.T @ self.reach @ slip
        surface, rates, coupling, turn = split(self.reach, flux, stiffness, mass - load.T @ slip)
        return Chain(self.ports.pattern, conductance, surface, rates, coupling), turn, slip

    def first(self, count: int) -> Space:
        """What the first vectors of the basis span, with the forms there are."""
        basis, flux, stiffness = self.basis[:, :count], self.flux[:, :count], self.stiffness[:count, :count]
        part = replace(self, basis=basis, flux=flux, stiffness=stiffness)
        vars(part)["regions"] = tuple(
            Region(r.group, r.mass[: count + 1, : count + 1], r.energy[:count, :count]) for r in self.regions
        )
        return part

    def lowered(self) -> Space:
        """The same fields read at the nodes of the next lower order, on the same mesh.

        The solution in there misses at least what the best one of that order misses: a comparison with it errs on the
        safe side, and costs no factors.
        """
        d = self.discretisation
        below, high = Discretisation(d.mesh, d.metals, d.order - 1), d.elements
        low = below.elements
        reading = values(high.order, lattice(low.order)[:, 1:] / low.order)
        reading[np.abs(reading) < 1e-12] = 0.0
        # every node of the lower order is read in one of its triangles
        _, first = np.unique(low.dofs, return_index=True)
        triangle, node = np.divmod(first, low.dofs.shape[1])
        weights, columns = reading[node], high.dofs[triangle]
        row = np.repeat(np.arange(low.count), weights.shape[1]).reshape(weights.shape)
        on = weights != 0
        read = sparse.csr_array((weights[on], (row[on], columns[on])), shape=(low.count, high.count))
        basis = np.empty((low.count, self.basis.shape[1]), order="F")
        for some in _some(self.basis):
            basis[:, some] = read @ self.basis[:, some]
        return Space.spanned(below, self.ports, read @ self.chi, basis)


def scaled(discretisation: Discretisation, factors: FloatArray) -> Discretisation:
    """The same mesh with the conductivity of every region multiplied."""
    metals = tuple(
        Metal(m.conductivity * float(f), m.permeability, m.surface)
        for m, f in zip(discretisation.metals, factors, strict=True)
    )
    return replace(discretisation, metals=metals)


def _some(fields: FloatArray) -> Iterator[slice]:
    """Columns, a few at a time: memory that is touched for the first time costs more than a sparse product."""
    count = fields.shape[1]
    return (slice(first, min(first + COLUMNS, count)) for first in range(0, count, COLUMNS))


def _projected(matrix: Sparse, fields: FloatArray) -> FloatArray:
    """x' A x of a symmetric A, (r, r)."""
    whole = np.empty((fields.shape[1], fields.shape[1]))
    for some in _some(fields):
        whole[: some.stop, some] = fields[:, : some.stop].T @ (matrix @ fields[:, some])
        whole[some, : some.start] = whole[: some.start, some].T
    return whole


def _even(matrix: FloatArray) -> FloatArray:
    return np.asarray(0.5 * (matrix + matrix.T))
