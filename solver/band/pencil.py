"""The matrices of a band of frequencies, K + s M with s = j w mu0, and their factors at a few real shifts.

Driven by currents, the voltage of a group of conductors g with the conductance G_g follows from its mean potential:
v_g = (I_g + j w b_g . a) / G_g with b_g = M chi_g, and chi_g = 1 on the group. Eliminated, it leaves

    (K + s M~) a = mu0 sum b_g I_g / G_g,    M~ = M - sum b_g b_g' / G_g,

with M~ chi_g = 0. At a real s > 0 this is solved with a border of one unknown per group that holds its mean.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from scipy import sparse
from scipy.sparse.csgraph import reverse_cuthill_mckee
from scipy.sparse.linalg import SuperLU

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.solver.elements.factor import Numbers, Solve, eliminated, factorised
from crosscurrent.solver.field.discretisation import Discretisation, Sparse
from crosscurrent.solver.metals.depth import MU0

from .band_matrices import BandMatrices, placed
from .ports import Ports

NOTHING = 1e-200


@dataclass(frozen=True, eq=False)
class Pencil:
    """K + s M~ of a discretisation whose conductors are grouped.

    Attributes
    ----------
    discretisation : Discretisation
        With smooth surfaces; bundles are groups of their own, and their mean is that over their copper.
    ports : Ports
    first_shift : complex
        What is solved with first: a real shift [rad/s], or j w; the elimination order found for it serves all others.
    """

    discretisation: Discretisation
    ports: Ports
    first_shift: complex

    @cached_property
    def matrices(self) -> BandMatrices:
        """K and M with the states of bundles."""
        return BandMatrices(self.discretisation)

    @cached_property
    def _curled(self) -> dict[int, Solve]:
        """For every bundle, by its region: solves its stiffness up to a constant; right sums to zero."""
        return {bundle.region: _pinned(bundle.stiffness) for bundle in self.matrices.bundles}

    @cached_property
    def _given(self) -> BoolArray:
        """Which groups are bundles, (groups,)."""
        return np.asarray(self.discretisation.given @ self.ports.member > 0)

    @cached_property
    def load(self) -> FloatArray:
        """b: integral of the conductivity of every group times test functions, (unknowns + states, groups)."""
        d = self.discretisation
        found = np.asarray(d.mass @ self._lift)
        if d.given.any():
            found += d.lift_mass[:, d.given] @ self.ports.member[d.given]
        return self.matrices.tall(found)

    @cached_property
    def conductance(self) -> FloatArray:
        """Of every group, (groups,) [S m]."""
        return np.asarray(self.discretisation.conductance @ self.ports.member)

    @cached_property
    def _lift(self) -> FloatArray:
        return self._of_solids(self.discretisation.lift)

    @cached_property
    def _border(self) -> FloatArray:
        """K times the lift: from the air alone, for chi has no slope in the metal."""
        return self._of_solids(self.discretisation.lift_load)

    def _of_solids(self, by_conductor: FloatArray) -> FloatArray:
        return np.asarray(by_conductor @ (self.ports.member * ~self.discretisation.given[:, None]))

    @cached_property
    def _bent(self) -> FloatArray:
        """The lift less chi: nothing in the metal."""
        return np.asarray(self._lift - self.chi)

    @cached_property
    def _in_air(self) -> BoolArray:
        """Of bundles too: no field drives a current of its own there."""
        d = self.discretisation
        air = np.ones(d.elements.count, bool)
        air[d.elements.dofs[d.elements.metal[~d.given[d.mesh.part[d.elements.metal]]]]] = False
        return air

    @cached_property
    def _raised(self) -> tuple[FloatArray, FloatArray]:
        """chi, and its sources in the bundles as multiples of their loads (groups, groups)."""
        chi, given = self._lift.copy(), self._given
        air, sources = np.flatnonzero(self._in_air), np.diag(given.astype(float))
        load, level = self.load[: len(chi)], np.zeros((len(given), len(given)))
        inner = sparse.csc_array(self.matrices.stiffest[air][:, air])
        chi[air] = -factorised(inner)(self._border[air] - np.where(given, load[air], 0.0))
        if given.any():
            level = (load.T @ chi) / self.conductance[:, None]
            sources[:, given] = sources[:, given] @ np.linalg.inv(level[np.ix_(given, given)])
            chi[:, given] = chi @ sources[:, given]
            sources[:, ~given] = -sources @ level[:, ~given]
            chi[:, ~given] -= chi[:, given] @ level[np.ix_(given, ~given)]
        return chi, sources

    @property
    def chi(self) -> FloatArray:
        """1 on a group, 0 on the others, on average in bundles; harmonic in the air, (unknowns, groups)."""
        return self._raised[0]

    @cached_property
    def lift_residual(self) -> FloatArray:
        """K chi, (unknowns + states, groups): flux that leaves through the surfaces, so nothing inside the air."""
        (chi, sources), tall, air = self._raised, self.matrices.tall, np.flatnonzero(self._in_air)
        if self._given.any():
            outside = np.where(self._in_air[:, None], chi, 0.0)
            residual = tall(self._border) + self.matrices.stiffened(tall(outside))
            residual[air] = self.load[air] @ sources
        else:
            residual = self._border + self.discretisation.stiffness[:, air] @ chi[air]
            residual[air] = 0.0
        return np.asarray(residual)

    @cached_property
    def lift_coupling(self) -> FloatArray:
        """chi' K chi, (groups, groups), symmetric: the inverse of the inductance with all current on the surfaces."""
        coupling = self.chi.T @ self.lift_residual[: len(self.chi)]
        return np.asarray(0.5 * (coupling + coupling.T))

    def centred(self, field: Numbers) -> Numbers:
        """Fields (unknowns + states, k) less their means over the groups."""
        return field - self.matrices.tall(self.chi @ ((self.load.T @ field) / self.conductance[:, None]))

    @cached_property
    def drive(self) -> FloatArray:
        """What a unit of each pattern drives, less the flux through the surfaces that carries it, as `load`.

        mu0 left out; it sums to zero over every group.
        """
        pattern = self.ports.pattern
        surface = self.lift_residual @ np.linalg.solve(self.lift_coupling, pattern)
        return np.asarray(self.load @ (pattern / self.conductance[:, None]) - surface)

    @cached_property
    def _banded(self) -> _Ordered:
        """Unknowns in a narrow band."""
        d = self.discretisation
        by_rows = d.stiffness.T  # K itself
        order: IntArray = reverse_cuthill_mckee(by_rows, symmetric_mode=True).astype(np.int64)
        both = sparse.csc_array(d.stiffness + 1j * MU0 * d.mass)
        for bundle in self.matrices.bundles:  # a sum that is nothing has its place as well: here no mass keeps it
            both = sparse.csc_array(both + NOTHING * placed(abs(bundle.stiffness), bundle.inside, both.shape))
        entries = {b.region: _entries(both, b.inside, b.stiffness) for b in self.matrices.beside}
        return _Ordered(np.arange(len(order)), both, entries).again(order)

    @cached_property
    def _first_factors(self) -> SuperLU[Any]:
        """The factors of the first shift, in the order of `_banded`."""
        return eliminated(self._shifted(self.first_shift, self._banded), "MMD_AT_PLUS_A")

    @cached_property
    def _arranged(self) -> _Ordered:
        """The same in an order that leaves little fill."""
        return self._banded.again(np.argsort(self._first_factors.perm_c))

    def _shifted(self, shift: complex, ordered: _Ordered) -> Sparse:
        """K + s mu0 M without its states, in an order."""
        matrix = _at(shift, ordered.both)
        for bundle in self.matrices.bundles:
            nu = complex(bundle.medium.reluctivity(shift))
            stiffer = nu - 1 if shift.imag else nu.real - 1
            matrix.data[ordered.entries[bundle.region]] += stiffer * bundle.stiffness.data
        for sharing in self.matrices.sharing if shift else ():
            matrix.data[ordered.entries[sharing.region]] += sharing.more(shift)
        return matrix

    def _free(self, shift: complex) -> Solve:
        """Solves (K + s mu0 M) a = right."""
        if shift == self.first_shift:
            order, factors = self._banded.order, self._first_factors
        else:
            order = self._arranged.order
            factors = eliminated(self._shifted(shift, self._arranged), "NATURAL")

        def solve(right: Numbers) -> Numbers:
            inner = self.matrices.condensed(right, shift)
            field = np.empty(inner.shape, dtype=np.result_type(inner, shift))
            field[order] = factors.solve(inner[order].astype(field.dtype))
            return self.matrices.restored(field, right, shift, self._curled)

        return solve

    @cached_property
    def resting(self) -> Solve:
        """Solves K a = right."""
        return self._free(0.0)

    @cached_property
    def _kept(self) -> dict[complex, Solve]:
        return {}

    def shifted(self, shift: complex) -> Solve:
        """Solves (K + s mu0 M~) a = right for a shift s > 0 [rad/s], or j w: as fields are at that frequency.

        The right side sums to zero over every group, a has zero means. The factors are kept for as long as the pencil.
        """
        if shift not in self._kept:
            self._kept[shift] = self._held(shift)
        return self._kept[shift]

    def _held(self, shift: complex) -> Solve:
        """With the border: the lift with the mean that each group needs."""
        free, tall = self._free(shift), self.matrices.tall
        solid = ~self._given if self._given.any() else slice(None)
        border = tall(self._border[:, solid])
        answer = free(border)
        own = tall(self._lift[:, solid]).T @ border - border.T @ answer
        # the field is w + lift u: harmonic in the air only as a whole, and centred once chi u is taken off
        away = tall(self._bent[:, solid]) - answer

        def solve(right: Numbers) -> Numbers:
            field = free(right)
            return self.centred(field - away @ np.linalg.solve(own, border.T @ field))

        return solve


@dataclass(frozen=True, eq=False)
class _Ordered:
    """K + j mu0 M with its unknowns in an order, and where in its data those of every bundle stand, by its region."""

    order: IntArray
    both: Sparse
    entries: dict[int, IntArray]

    def again(self, order: IntArray) -> _Ordered:
        """In another order of these; all matrices made from it share its indices."""
        both = self.both
        numbered = sparse.csc_array((np.arange(both.nnz), both.indices, both.indptr), shape=both.shape)
        permuted = sparse.csc_array(numbered[order][:, order])
        permuted.sort_indices()
        place = np.empty(both.nnz, dtype=np.int64)
        place[permuted.data] = np.arange(both.nnz)
        moved = sparse.csc_array((both.data[permuted.data], permuted.indices, permuted.indptr), shape=both.shape)
        return _Ordered(self.order[order], moved, {region: place[own] for region, own in self.entries.items()})


def _entries(matrix: Sparse, inside: IntArray, part: Sparse) -> IntArray:
    """Where entries of a part, its unknowns numbers of those of a matrix, stand among its sorted ones, (nonzeros,)."""
    count, columns = matrix.shape[0], np.repeat(np.arange(matrix.shape[1]), np.diff(matrix.indptr))
    own = np.repeat(inside, np.diff(part.indptr)).astype(np.int64)
    return np.asarray(np.searchsorted(columns * count + matrix.indices, own * count + inside[part.indices]))


def _pinned(matrix: Sparse) -> Solve:
    inner = factorised(sparse.csc_array(matrix[1:, 1:]))

    def solve(right: Numbers) -> Numbers:
        if np.iscomplexobj(right):
            return solve(right.real) + 1j * solve(right.imag)
        return np.concatenate((np.zeros_like(right[:1]), inner(right[1:])))

    return solve


def _at(shift: complex, both: Sparse) -> Sparse:
    """K + s mu0 M, from K + j mu0 M: two matrices in one pattern, which a sum would have to find anew."""
    return sparse.csc_array((both.data.real + shift * both.data.imag, both.indices, both.indptr), shape=both.shape)
