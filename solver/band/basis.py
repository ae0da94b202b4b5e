"""A basis of the fields that a band needs, with everything that is asked of it as small quadratic forms.

The forms belong to the mesh, one for each region of metal, so that they hold for other conductivities as well: a model
at other temperatures costs small matrices only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.solver.field.discretisation import Discretisation, Sparse
from crosscurrent.solver.field.stress import stress_forms
from crosscurrent.solver.metals.band_medium import BandMedium
from crosscurrent.solver.metals.depth import MU0

from .band_matrices import BandMatrices, Lagging, Reading
from .followed import Followed, FollowedForm
from .foster import FosterForm, split
from .ports import Ports

COLUMNS = 16  # fields that a sparse matrix is applied to at once
DAMPED = 0.5  # of Jacobi's step: stable while no field of an element has four times the energy of its nodes


@dataclass(frozen=True, eq=False)
class RegionForms:
    """One metal of one conductor, as forms of its lift and the basis.

    Attributes
    ----------
    group : int
        The group of conductors it belongs to; any for what is closed round an axis, whose lift is nothing.
    mass : (1 + r, 1 + r) float
        integral sigma u v; of bundles of their means, with the power of what lags behind.
    energy : (r, r) float
        integral (1 / mu) grad u . grad v; of bundles (groups + r, groups + r), with chi before the basis and mu = mu0.
    load : (1 + r,) float
        integral sigma u.
    """

    group: int
    mass: FloatArray
    energy: FloatArray
    load: FloatArray


@dataclass(frozen=True, eq=False)
class ReducedBasis:
    """Lifts and a basis, harmonic in the air, with the stiffness projected on them.

    Attributes
    ----------
    matrices : BandMatrices
    ports : Ports
    chi : (unknowns, groups) float
        1 on a group, 0 on the others.
    vectors : (unknowns, r) float
    lift_coupling, residual_coupling, stiffness : float
        chi' K chi (groups, groups), (K chi)' x (groups, r), x' K x (r, r).
    states : (states, r) float
        What lags behind in the bundles, of every vector.
    begun : tuple of RegionForms
        Those of its first vectors, where they are known.
    """

    matrices: BandMatrices
    ports: Ports
    chi: FloatArray
    vectors: FloatArray
    lift_coupling: FloatArray
    residual_coupling: FloatArray
    stiffness: FloatArray
    states: FloatArray
    begun: tuple[RegionForms, ...] = ()

    @classmethod
    def spanned(
        cls, matrices: BandMatrices, ports: Ports, chi: FloatArray, vectors: FloatArray, states: FloatArray
    ) -> ReducedBasis:
        """With the stiffness projected here."""
        both = np.concatenate((vectors, states)) if len(states) else vectors
        onto = matrices.stiffened(matrices.tall(chi))
        coupling, stiffness = _symmetric(chi.T @ onto[: len(chi)]), _symmetric(_formed(matrices.stiffened, both))
        return cls(matrices, ports, chi, vectors, coupling, onto.T @ both, stiffness, states)

    @property
    def tall(self) -> FloatArray:
        """The basis with its states, (unknowns + states, r)."""
        return np.concatenate((self.vectors, self.states)) if len(self.states) else self.vectors

    def within(self, factors: FloatArray) -> tuple[BandMedium | None, ...]:
        """The strands of every group with the conductivity of every region multiplied; none of solid metal."""
        found: list[BandMedium | None] = [None] * self.ports.member.shape[1]
        for one in self.matrices.beside:
            if isinstance(one.medium, BandMedium):
                found[self.group(one.region)] = one.medium.with_conductivity(float(factors[one.region]))
        return tuple(found)

    def group(self, region: int) -> int:
        """The group of conductors that a region belongs to."""
        return int(self.ports.member[self.discretisation.mesh.part_of_region[region]].argmax())

    @property
    def bundles(self) -> tuple[Lagging, ...]:
        """Strands in place of solid metal."""
        return self.matrices.bundles

    @property
    def discretisation(self) -> Discretisation:
        """Mesh, metals and order of the fields."""
        return self.matrices.discretisation

    @cached_property
    def regions(self) -> tuple[RegionForms, ...]:
        """The forms of every region of metal."""
        d, found = self.discretisation, []
        bundles = {bundle.region: bundle for bundle in self.bundles}
        for number, metal in enumerate(self.matrices.regions):
            if number in bundles:
                found.append(self._of_bundle(bundles[number]))
                continue
            known = (self.begun[number].mass, self.begun[number].energy * MU0) if self.begun else (None, None)
            closed = d.metals[number].closed
            lift = np.zeros(len(metal.inside)) if closed else np.ones(len(metal.inside))
            field = np.column_stack((lift, self.vectors[metal.inside]))
            by_mass = _projected(metal.mass, field, known[0])
            by_energy = _projected(metal.stiffness, field[:, 1:], known[1]) / MU0
            load = self._current_of(metal.rows) if closed else by_mass[0]
            found.append(RegionForms(self.group(number), by_mass, by_energy, load))
        return tuple(found)

    def _of_bundle(self, bundle: Lagging) -> RegionForms:
        """Its current is even, whatever the field: the mean alone counts; what lags behind takes power too."""
        d, conductor = self.discretisation, self.discretisation.mesh.part_of_region[bundle.region]
        along = np.concatenate((d.conductance[[conductor]], d.lift_mass[:, conductor] @ self.vectors))
        mass = np.outer(along, along) / along[0]
        for other, place, jump, rate in self.matrices.states():
            if other is bundle:
                lagging = self.states[place.start - len(self.vectors) : place.stop - len(self.vectors)]
                mass[1:, 1:] += jump / (rate * MU0) * _projected(bundle.stiffness, lagging)
        field = np.column_stack((self.chi[bundle.inside], self.vectors[bundle.inside]))
        energy = _projected(bundle.stiffness, field) / MU0
        return RegionForms(self.group(bundle.region), mass, energy, mass[0])

    def _current_of(self, rows: IntArray) -> FloatArray:
        """integral sigma u over some of the triangles of metal, closed round an axis, of nothing and the basis."""
        d, e = self.discretisation, self.discretisation.elements
        load = np.bincount(e.dofs[e.metal[rows]].ravel(), (d.sigma[rows, None] * e.load_blocks[rows]).ravel(), e.count)
        return np.concatenate(([0.0], load @ self.vectors))

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
        foster = FosterForm(self.ports.pattern, conductance, surface, rates, coupling, self.within(factors))
        return self._following(foster, factors, modal_matrix, mean_correction), modal_matrix, mean_correction

    def _following(
        self, foster: FosterForm, factors: FloatArray, modal_matrix: FloatArray, mean_correction: FloatArray
    ) -> FosterForm:
        """With what is followed as it is at each frequency."""
        found = []
        for bundle in self.matrices.sharing:
            region, factor = self.regions[bundle.region], float(factors[bundle.region])
            mass = factor * (region.mass[1:, 1:] - np.outer(region.mass[0, 1:], mean_correction[region.group]))
            medium = bundle.medium.with_conductivity(factor)
            found.append(Followed.in_modes(region.group, medium, region.energy * MU0, mass, modal_matrix))
        return FollowedForm.of(foster, found)

    def first(self, count: int) -> ReducedBasis:
        """What the first vectors of the basis span, with the forms there are."""
        part = replace(
            self, vectors=self.vectors[:, :count], residual_coupling=self.residual_coupling[:, :count],
            stiffness=self.stiffness[:count, :count], states=self.states[:, :count],
        )  # fmt: skip
        vars(part)["regions"] = tuple(
            replace(
                r, mass=r.mass[: count + 1, : count + 1], load=r.load[: count + 1],
                energy=_first(r.energy, len(self.vectors.T) - count),
            )
            for r in self.regions
        )
        return part

    def lowered(self, steps: int = 0) -> ReducedBasis:
        """The same fields read at the nodes of the next lower order, on the same mesh.

        The solution in there misses at least what the best one of that order misses: a comparison with it errs on the
        safe side, and costs no factors. Some steps of Jacobi's take what is read towards the nearest in energy, which
        between elements of a like shape is most of the way.
        """
        below, read = self.matrices.lowered
        vectors = np.empty((below.unknowns, self.vectors.shape[1]), order="F")
        for some in _some(self.vectors):
            vectors[:, some] = read @ self.vectors[:, some]
            if steps:
                vectors[:, some] = self._nearer(vectors[:, some], self.vectors[:, some], steps)
        return ReducedBasis.spanned(below, self.ports, read @ self.chi, vectors, self._lowered_states(below, read))

    def _nearer(self, lower: FloatArray, fields: FloatArray, steps: int) -> FloatArray:
        """Fields of the order below nearer to those of this one, by the stiffness."""
        stiffness = self.matrices.lowered[0].discretisation.stiffness
        wanted = self.matrices.raising.T @ (self.discretisation.stiffness @ fields)
        weight = DAMPED / stiffness.diagonal()[:, None]
        for _ in range(steps):
            lower = lower + weight * (wanted - stiffness @ lower)
        return lower

    def _lowered_states(self, below: BandMatrices, read: Reading) -> FloatArray:
        """The states at the nodes of the next lower order."""
        first, found = len(self.vectors), []
        for (low, *_), (high, place, *_) in zip(below.states(), self.matrices.states(), strict=True):
            found.append(read[low.inside][:, high.inside] @ self.states[place.start - first : place.stop - first])
        return np.concatenate(found) if found else np.zeros((0, self.states.shape[1]))


def _first(form: FloatArray, without: int) -> FloatArray:
    """A form less its last vectors."""
    return form[: len(form) - without, : len(form) - without]


def scaled(discretisation: Discretisation, factors: FloatArray) -> Discretisation:
    """The same mesh with the conductivity of every region multiplied."""
    metals = tuple(
        replace(m, conductivity=m.conductivity * float(f), band=m.band and m.band.with_conductivity(float(f)))
        for m, f in zip(discretisation.metals, factors, strict=True)
    )
    return replace(discretisation, metals=metals)


def _some(fields: FloatArray, done: int = 0) -> Iterator[slice]:
    """Columns from one on, a few at a time: memory touched for the first time costs more than a sparse product."""
    count = fields.shape[1]
    return (slice(first, min(first + COLUMNS, count)) for first in range(done, count, COLUMNS))


def _projected(matrix: Sparse, fields: FloatArray, known: FloatArray | None = None) -> FloatArray:
    """x' A x of a symmetric A, (r, r); that of the first fields may be known."""
    return _formed(lambda some: matrix @ some, fields, known)


def _formed(
    times: Callable[[FloatArray], FloatArray], fields: FloatArray, known: FloatArray | None = None
) -> FloatArray:
    whole = np.empty((fields.shape[1], fields.shape[1]))
    done = 0 if known is None else len(known)
    whole[:done, :done] = known
    for some in _some(fields, done):
        whole[: some.stop, some] = fields[:, : some.stop].T @ times(fields[:, some])
        whole[some, : some.start] = whole[: some.start, some].T
    return whole


def _symmetric(matrix: FloatArray) -> FloatArray:
    return np.asarray(0.5 * (matrix + matrix.T))
