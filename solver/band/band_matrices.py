"""The matrices of a band, bundles included: what lags behind in them is a field of its own beside the potential.

With nu(s) = 1 + sum d_k s / (s + w_k) in a bundle and K_b its stiffness, the states q_k = w_k A / (s + w_k) make

    K = [[K_air + (1 + sum d_k) K_b, -d_k K_b], [., d_k K_b]],    M = [[M_sigma, 0], [0, d_k K_b / (w_k mu0)]],

both symmetric and positive, in which s stands alone. A solve eliminates the states: it factors K_air + nu(s) K_b + s M.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.solver.elements.factor import Numbers, Solve
from crosscurrent.solver.field.discretisation import Discretisation, Sparse
from crosscurrent.solver.metals.band_medium import BandMedium
from crosscurrent.solver.metals.depth import MU0


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

    def placed(self, place: IntArray, shape: tuple[int, int]) -> Sparse:
        """The stiffness with its unknowns at some places of a larger matrix."""
        within = self.stiffness.tocoo()
        rows, columns = within.coords
        return sparse.csc_array((within.data, (place[rows], place[columns])), shape=shape)


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
        d, found = self.discretisation, []
        e, label = d.elements, d.mesh.region
        for region, metal in enumerate(d.metals):
            if metal.band is not None:
                rows = np.flatnonzero(label == region)
                inside, place = np.unique(e.dofs[rows], return_inverse=True)
                place = place.reshape(len(rows), -1)
                blocks = e.stiffness_blocks[rows]
                pairs = np.broadcast_to(place[:, :, None], blocks.shape), np.broadcast_to(place[:, None], blocks.shape)
                entries = blocks.ravel(), (pairs[0].ravel(), pairs[1].ravel())
                found.append(Lagging(region, metal.band, inside, sparse.csc_array(entries, shape=2 * inside.shape)))
        return tuple(found)

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
            own = own + sum(bundle.medium.jumps) * bundle.placed(bundle.inside, own.shape)
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

    def condensed(self, right: FloatArray, omega: float) -> FloatArray:
        """The right side of a solve at a real shift [rad/s] once its states are eliminated, (unknowns, k)."""
        if not self.bundles:
            return right
        found = right[: self.unknowns].copy()
        for bundle, place, _, rate in self.states():
            found[bundle.inside] += rate / (omega + rate) * right[place]
        return found

    def restored(self, field: FloatArray, right: FloatArray, omega: float, curled: Mapping[int, Solve]) -> FloatArray:
        """The potential with its states; `curled` solves the stiffness of a bundle, by its region."""
        if not self.bundles:
            return field
        found, columns = self.tall(field), field.shape[1]
        for region, delays in groupby(self.states(), lambda state: state[0].region):
            known = list(delays)
            pushed = curled[region](np.concatenate([right[place] / jump for _, place, jump, _ in known], axis=1))
            for number, (bundle, place, _, rate) in enumerate(known):
                own = pushed[:, number * columns : (number + 1) * columns]
                found[place] = rate / (omega + rate) * (field[bundle.inside] + own)
        return found
