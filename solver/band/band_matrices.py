"""The matrices of a band, bundles included: what lags behind in them is a field of its own beside the potential.

With nu(s) = 1 + sum d_k s / (s + w_k) in a bundle and K_b its stiffness, the states q_k = w_k A / (s + w_k) make

    K = [[K_air + (1 + sum d_k) K_b, -d_k K_b], [., d_k K_b]],    M = [[M_sigma, 0], [0, d_k K_b / (w_k mu0)]],

both symmetric and positive, in which s stands alone. A solve eliminates the states: it factors K_air + nu(s) K_b + s M.

Strands that share as the field asks have no states, nor has ferrite: what they add to K and M at each frequency
stands beside.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import Any

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import values
from crosscurrent.solver.elements.factor import Numbers, Solve
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.discretisation import Discretisation, Sparse
from crosscurrent.solver.metals.band_lag import BandLag
from crosscurrent.solver.metals.band_medium import BandMedium
from crosscurrent.solver.metals.depth import MU0

Reading = sparse.csr_array[Any]  # of fields at the nodes of another order


@dataclass(frozen=True, eq=False)
class Lagging:
    """A bundle in a mesh.

    Attributes
    ----------
    region : int
        Its number.
    medium : BandMedium
    inside : (n,) int
        Its unknowns.
    stiffness : (n, n) float
        integral grad u . grad v.
    """

    region: int
    medium: BandMedium
    inside: IntArray
    stiffness: Sparse


def placed(matrix: Sparse, place: IntArray, shape: tuple[int, int]) -> Sparse:
    """A matrix with its unknowns at some places of a larger one."""
    within = matrix.tocoo()
    rows, columns = within.coords
    return sparse.csc_array((within.data, (place[rows], place[columns])), shape=shape)


@dataclass(frozen=True, eq=False)
class Sharing:
    """What is followed from frequency to frequency in a mesh: with (nu - 1) K_b + s mu0 (c - 1) M_b at each s.

    A bundle whose strands share as the field asks, or what does not conduct or has a permeability with loss.

    Attributes
    ----------
    region, medium, inside, stiffness
        As of `Lagging`.
    mass : (n, n) float
        integral sigma u v, at rest.
    """

    region: int
    medium: BandMedium | BandLag
    inside: IntArray
    stiffness: Sparse
    mass: Sparse

    def factors(self, shift: complex) -> tuple[complex, complex]:
        """nu and c at a shift [rad/s]."""
        nu, c = self.medium.sharing(np.array([shift]))
        return (complex(nu[0]), complex(c[0])) if shift.imag else (float(nu[0].real), float(c[0].real))

    def more(self, shift: complex) -> Numbers:
        """What it adds to K + s mu0 M at a shift [rad/s], as the data of its matrices."""
        nu, c = self.factors(shift)
        return np.asarray((nu - 1) * self.stiffness.data + shift * MU0 * (c - 1) * self.mass.data)

    def changes(self, shift: complex) -> tuple[Numbers, Numbers]:
        """Taylor's coefficients, by the share of a shift that s is beyond it, of nu and of s (c - 1), (k,) each."""
        nu, eased = (values if shift.imag else values.real for values in self.medium.series(shift))
        eased = eased.copy()
        eased[:2] -= shift
        return nu, eased

    def stiffened(self, field: Numbers) -> Numbers:
        """K_b times fields."""
        return self._times(self.stiffness, field)

    def weighed(self, field: Numbers) -> Numbers:
        """M_b times fields."""
        return self._times(self.mass, field)

    def _times(self, matrix: Sparse, field: Numbers) -> Numbers:
        found = np.zeros_like(field)
        found[self.inside] = matrix @ field[self.inside]
        return found


@dataclass(frozen=True, eq=False)
class InRegion:
    """A metal of a conductor: its triangles among those of metal, their unknowns, and the matrices between these."""

    rows: IntArray
    inside: IntArray
    mass: Sparse
    stiffness: Sparse


@dataclass(frozen=True, eq=False)
class BandMatrices:
    """Stiffness and mass of a discretisation with the states of its bundles; fields are (unknowns + states, k).

    Attributes
    ----------
    discretisation : Discretisation
        With smooth surfaces, and bundles with their medium over a band.
    """

    discretisation: Discretisation

    @cached_property
    def bundles(self) -> tuple[Lagging, ...]:
        """In the order of their states, delay by delay."""
        found = []
        for region, metal in enumerate(self.discretisation.metals):
            if isinstance(metal.band, BandMedium) and metal.given:
                inside, stiffness = self._within(region, self.discretisation.elements.stiffness_blocks)
                found.append(Lagging(region, metal.band, inside, stiffness))
        return tuple(found)

    @cached_property
    def sharing(self) -> tuple[Sharing, ...]:
        """What is followed from frequency to frequency."""
        found = []
        for region, metal in enumerate(self.discretisation.metals):
            if metal.band is not None and not metal.given:
                own = self.regions[region]
                found.append(Sharing(region, metal.band, own.inside, own.stiffness, own.mass))
        return tuple(found)

    @cached_property
    def regions(self) -> tuple[InRegion, ...]:
        """What is integrated over every region of metal."""
        d, e = self.discretisation, self.discretisation.elements
        label = d.mesh.region[e.metal]
        rows = [np.flatnonzero(label == number) for number in range(len(d.mesh.regions))]
        owned = [np.unique(e.dofs[e.metal[some]]) for some in rows]
        # metals that touch share unknowns along their border, where the matrices of the whole are of both
        apart = sum(map(len, owned)) == len(np.unique(e.dofs[e.metal]))
        found = []
        for some, inside in zip(rows, owned, strict=True):
            mass, stiffness = (d.mass, d.inner_stiffness) if apart else self._of_triangles(some)
            found.append(InRegion(some, inside, mass[inside][:, inside], stiffness[inside][:, inside]))
        return tuple(found)

    def _of_triangles(self, rows: IntArray) -> tuple[Sparse, Sparse]:
        """Mass and stiffness of some of the triangles of metal."""
        d, e = self.discretisation, self.discretisation.elements
        nu = d.reluctivity[e.metal[rows], None, None]
        mass = e.assemble(e.mass_blocks[rows] * d.sigma[rows, None, None], e.metal[rows])
        return mass, e.assemble(e.stiffness_blocks[e.metal[rows]] * nu, e.metal[rows])

    @property
    def beside(self) -> tuple[Lagging | Sharing, ...]:
        """All that is more than a multiple of the frequency."""
        return (*self.bundles, *self.sharing)

    def _within(self, region: int, every: FloatArray) -> tuple[IntArray, Sparse]:
        """Unknowns of a region, and the matrix between them that blocks of all triangles make."""
        d = self.discretisation
        rows = np.flatnonzero(d.mesh.region == region)
        inside, place = np.unique(d.elements.dofs[rows], return_inverse=True)
        place, blocks = place.reshape(len(rows), -1), every[rows]
        pairs = np.broadcast_to(place[:, :, None], blocks.shape), np.broadcast_to(place[:, None], blocks.shape)
        entries = blocks.ravel(), (pairs[0].ravel(), pairs[1].ravel())
        return inside, sparse.csc_array(entries, shape=2 * inside.shape)

    @property
    def unknowns(self) -> int:
        """Of the potential."""
        return self.discretisation.elements.count

    @cached_property
    def count(self) -> int:
        """Unknowns and states."""
        return self.unknowns + sum(len(b.inside) * len(b.medium.rates) for b in self.bundles)

    def states(self) -> Iterator[tuple[Lagging, slice, float, float]]:
        """Every bundle, where the states of each delay stand, its jump and its rate."""
        first = self.unknowns
        for bundle in self.bundles:
            for jump, rate in zip(bundle.medium.jumps, bundle.medium.rates, strict=True):
                yield bundle, slice(first, first + len(bundle.inside)), jump, rate
                first += len(bundle.inside)

    @cached_property
    def stiffest(self) -> Sparse:
        """The part of K between potentials: that with strands at their stiffest, (unknowns, unknowns)."""
        own = self.discretisation.stiffness
        for bundle in self.bundles:
            own = own + sum(bundle.medium.jumps) * placed(bundle.stiffness, bundle.inside, own.shape)
        return own if own is self.discretisation.stiffness else sparse.csc_array(own)

    def stiffened(self, field: Numbers) -> Numbers:
        """K times fields."""
        found = self._beside(self.discretisation.stiffness, field)
        for bundle, place, jump, _ in self.states():
            moved = jump * (bundle.stiffness @ (field[bundle.inside] - field[place]))
            found[bundle.inside] += moved
            found[place] = -moved
        return found

    def weighed(self, field: Numbers) -> Numbers:
        """M times fields."""
        found = self._beside(self.discretisation.mass, field)
        for bundle, place, jump, rate in self.states():
            found[place] = jump / (rate * MU0) * (bundle.stiffness @ field[place])
        return found

    def _beside(self, own: Sparse, field: Numbers) -> Numbers:
        return np.asarray(self.tall(own @ field[: self.unknowns] if self.bundles else own @ field))

    def tall(self, field: Numbers) -> Numbers:
        """Potentials (unknowns, k) with states of zero."""
        if not self.bundles:
            return field
        return np.concatenate((field, np.zeros((self.count - self.unknowns, field.shape[1]), dtype=field.dtype)))

    @cached_property
    def lowered(self) -> tuple[BandMatrices, Reading]:
        """Those of the next lower order on the same mesh, and what reads fields at its nodes."""
        d = self.discretisation
        below = BandMatrices(Discretisation(d.mesh, d.metals, d.order - 1))
        return below, _reading(d.elements, below.discretisation.elements)

    @cached_property
    def raising(self) -> Reading:
        """What reads fields of the next lower order at the nodes of this one."""
        return _reading(self.lowered[0].discretisation.elements, self.discretisation.elements)

    def condensed(self, right: Numbers, shift: complex) -> Numbers:
        """The right side of a solve at a shift [rad/s] once its states are eliminated, (unknowns, k)."""
        if not self.bundles:
            return right
        found = right[: self.unknowns].astype(np.result_type(right, shift))
        for bundle, place, _, rate in self.states():
            found[bundle.inside] += rate / (shift + rate) * right[place]
        return found

    def restored(self, field: Numbers, right: Numbers, shift: complex, curled: Mapping[int, Solve]) -> Numbers:
        """The potential with its states; `curled` solves the stiffness of a bundle, by its region."""
        if not self.bundles:
            return field
        found, columns = self.tall(field), field.shape[1]
        for region, delays in groupby(self.states(), lambda state: state[0].region):
            known = list(delays)
            pushed = curled[region](np.concatenate([right[place] / jump for _, place, jump, _ in known], axis=1))
            for number, (bundle, place, _, rate) in enumerate(known):
                own = pushed[:, number * columns : (number + 1) * columns]
                state = rate / (shift + rate) * (field[bundle.inside] + own)
                found[place] = state - state.mean(axis=0)  # any constant does: a large one would be all rounding
        return found


def _reading(of: Elements, at: Elements) -> Reading:
    """Fields of one order at the nodes of another on the same mesh."""
    exact = values(of.order, lattice(at.order)[:, 1:] / at.order)
    reading = np.where(np.abs(exact) < 1e-12, 0.0, exact)
    # every node is read in one of its triangles
    _, first = np.unique(at.dofs, return_index=True)
    triangle, node = np.divmod(first, at.dofs.shape[1])
    weights, columns = reading[node], of.dofs[triangle]
    row = np.repeat(np.arange(at.count), weights.shape[1]).reshape(weights.shape)
    on = weights != 0
    return sparse.csr_array((weights[on], (row[on], columns[on])), shape=(at.count, of.count))
