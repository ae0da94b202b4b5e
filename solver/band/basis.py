"""A basis of the fields that a band needs, with everything that is asked of it as small quadratic forms.

The forms belong to the mesh, one for each region of metal, so that they hold for other conductivities as well: a model
at other temperatures costs small matrices only.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import values
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal, Sparse
from crosscurrent.solver.field.stress import stress_forms
from crosscurrent.solver.metals.depth import MU0

from .foster import FosterForm, split
from .ports import Ports

COLUMNS = 16  # fields that a sparse matrix is applied to at once


@dataclass(frozen=True, eq=False)
class RegionForms:
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
class ReducedBasis:
    """Lifts and a basis, harmonic in the air, with the stiffness projected on them.

    Attributes
    ----------
    discretisation : Discretisation
    ports : Ports
    chi : (unknowns, groups) float
        1 on a group, 0 on the others.
    vectors : (unknowns, r) float
    lift_coupling, residual_coupling, stiffness : float
        chi' K chi (groups, groups), (K chi)' x (groups, r), x' K x (r, r).
    """

    discretisation: Discretisation
    ports: Ports
    chi: FloatArray
    vectors: FloatArray
    lift_coupling: FloatArray
    residual_coupling: FloatArray
    stiffness: FloatArray

    @classmethod
    def spanned(
        cls, discretisation: Discretisation, ports: Ports, chi: FloatArray, vectors: FloatArray
    ) -> ReducedBasis:
        """With the stiffness projected here."""
        onto = discretisation.stiffness @ chi
        coupling, stiffness = _symmetric(chi.T @ onto), _symmetric(_projected(discretisation.stiffness, vectors))
        return cls(discretisation, ports, chi, vectors, coupling, onto.T @ vectors, stiffness)

    @cached_property
    def regions(self) -> tuple[RegionForms, ...]:
        """The forms of every region of metal."""
        d = self.discretisation
        e, label = d.elements, d.mesh.region[d.elements.metal]
        owned = [np.unique(e.dofs[e.metal[label == number]]) for number in range(len(d.mesh.regions))]
        # metals that touch share unknowns along their border, where the matrices of the whole are of both
        apart = sum(map(len, owned)) == len(np.unique(e.dofs[e.metal]))
        found = []
        for number, inside in enumerate(owned):
            mass, energy = (d.mass, d.inner_stiffness) if apart else self._of_region(np.flatnonzero(label == number))
            field = np.column_stack((np.ones(len(inside)), self.vectors[inside]))
            by_mass = _projected(mass[inside][:, inside], field)
            by_energy = _projected(energy[inside][:, inside], field[:, 1:]) / MU0
            group = int(self.ports.member[d.mesh.part_of_region[number]].argmax())
            found.append(RegionForms(group, by_mass, by_energy))
        return tuple(found)

    def _of_region(self, rows: IntArray) -> tuple[Sparse, Sparse]:
        """Mass and stiffness of some of the triangles of metal."""
        d, e = self.discretisation, self.discretisation.elements
        nu = d.reluctivity[e.metal[rows], None, None]
        mass = e.assemble(e.mass_blocks[rows] * d.sigma[rows, None, None], e.metal[rows])
        return mass, e.assemble(e.stiffness_blocks[e.metal[rows]] * nu, e.metal[rows])

    @cached_property
    def metal_unknowns(self) -> IntArray:
        """Numbers of the unknowns in the metal."""
        e = self.discretisation.elements
        return np.unique(e.dofs[e.metal])

    @cached_property
    def pressures(self) -> tuple[tuple[FloatArray, FloatArray], ...]:
        """Maxwell's stress around every conductor, x and y, as forms of chi and the basis [N/m per (Vs/m)^2]."""
        d = self.discretisation
        return stress_forms(d.elements, np.column_stack((self.chi, self.vectors)), d.reluctivity)

    def galerkin(self, factors: FloatArray) -> tuple[FosterForm, FloatArray, FloatArray]:
        """The Foster form of this basis with the conductivity of every region multiplied.

        Parameters
        ----------
        factors : (regions,) float

        Returns
        -------
        foster : FosterForm
        modal_matrix : (r, modes) float
        mean_correction : (groups, r) float
            The modes are (basis - chi mean_correction) modal_matrix.
        """
        groups, count = self.residual_coupling.shape
        conductance, load, mass = np.zeros(groups), np.zeros((groups, count)), np.zeros((count, count))
        for region, factor in zip(self.regions, factors, strict=True):
            conductance[region.group] += factor * region.mass[0, 0]
            load[region.group] += factor * region.mass[0, 1:]
            mass += factor * region.mass[1:, 1:]
        mean_correction = load / conductance[:, None]
        residual_coupling = self.residual_coupling - self.lift_coupling @ mean_correction
        across = mean_correction.T @ self.residual_coupling
        stiffness = self.stiffness - across - across.T + mean_correction.T @ self.lift_coupling @ mean_correction
        surface, rates, coupling, modal_matrix = split(
            self.lift_coupling, residual_coupling, stiffness, mass - load.T @ mean_correction
        )
        return FosterForm(self.ports.pattern, conductance, surface, rates, coupling), modal_matrix, mean_correction

    def first(self, count: int) -> ReducedBasis:
        """What the first vectors of the basis span, with the forms there are."""
        part = replace(
            self, vectors=self.vectors[:, :count], residual_coupling=self.residual_coupling[:, :count],
            stiffness=self.stiffness[:count, :count],
        )  # fmt: skip
        vars(part)["regions"] = tuple(
            RegionForms(r.group, r.mass[: count + 1, : count + 1], r.energy[:count, :count]) for r in self.regions
        )
        return part

    def lowered(self) -> ReducedBasis:
        """The same fields read at the nodes of the next lower order, on the same mesh.

        The solution in there misses at least what the best one of that order misses: a comparison with it errs on the
        safe side, and costs no factors.
        """
        d = self.discretisation
        below, high = Discretisation(d.mesh, d.metals, d.order - 1), d.elements
        low = below.elements
        exact = values(high.order, lattice(low.order)[:, 1:] / low.order)
        reading = np.where(np.abs(exact) < 1e-12, 0.0, exact)
        # every node of the lower order is read in one of its triangles
        _, first = np.unique(low.dofs, return_index=True)
        triangle, node = np.divmod(first, low.dofs.shape[1])
        weights, columns = reading[node], high.dofs[triangle]
        row = np.repeat(np.arange(low.count), weights.shape[1]).reshape(weights.shape)
        on = weights != 0
        read = sparse.csr_array((weights[on], (row[on], columns[on])), shape=(low.count, high.count))
        vectors = np.empty((low.count, self.vectors.shape[1]), order="F")
        for some in _some(self.vectors):
            vectors[:, some] = read @ self.vectors[:, some]
        return ReducedBasis.spanned(below, self.ports, read @ self.chi, vectors)


def scaled(discretisation: Discretisation, factors: FloatArray) -> Discretisation:
    """The same mesh with the conductivity of every region multiplied."""
    metals = tuple(
        RegionMetal(m.conductivity * float(f), m.permeability, m.surface)
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


def _symmetric(matrix: FloatArray) -> FloatArray:
    return np.asarray(0.5 * (matrix + matrix.T))
