"""Strands that lie in rings: how many in each, and how rings share a current.

Each ring of n strands on a radius r is n line currents seen from outside, exactly: from it no ring within has a field
on average, and a strand of it lies in the field of what is within and of the n - 1 others,

    H = (I_within + I (n - 1) / 2 n) / (2 pi r),    dH = (I (n - 1) (n - 5) / 12 n - I_within) / (2 pi r^2).

What foreign fields induce averages out round a ring, so that the same holds in any surroundings: a bundle in rings is
one whose strands share evenly, with another impedance of its own.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .depth import MU0

CORES = 5  # so many strands lie alike round a middle
SOME = 2**20  # entries of matrices formed at once


@cache
def ring_counts(count: int) -> tuple[int, ...]:
    """Strands in every ring from the innermost on: a core of one to five, six more in each next ring.

    Trade practice for concentric lay; where no such lay has just as many, the outermost ring has fewer.

    Examples
    --------
    >>> ring_counts(19), ring_counts(12), ring_counts(5), ring_counts(8)
    ((1, 6, 12), (3, 9), (5,), (2, 6))
    """
    core, around = _full(count)
    full = [core, *((6 if core == 1 else core + 6) + 6 * k for k in range(around))]
    full[-1] -= sum(full) - count
    return tuple(full)


def _held(core: int, around: int) -> int:
    """Strands of a full lay."""
    return (around + 1) * (core if core > 1 else 0) + 3 * around * (around + 1) + (core == 1)


def _lays() -> Iterator[tuple[int, int]]:
    """Core and further rings of all full lays, from small to large."""
    return ((core, around) for around in itertools.count() for core in range(1, CORES + 1))


def _full(count: int) -> tuple[int, int]:
    """Of the smallest one that holds so many."""
    return next(lay for lay in _lays() if _held(*lay) >= count)


def full_lays() -> Iterator[int]:
    """Numbers of strands that fill all their rings, from small to large.

    Examples
    --------
    >>> list(itertools.islice(full_lays(), 11))
    [1, 2, 3, 4, 5, 7, 10, 12, 14, 16, 19]
    """
    return (_held(*lay) for lay in _lays())


def ring_radii(count: int) -> FloatArray:
    """Radius of every ring at pitch 1, (rings,): a core of strands that touch, one pitch more for each next ring.

    Examples
    --------
    >>> ring_radii(12).round(3).tolist(), ring_radii(19).tolist()
    ([0.577, 1.577], [0.0, 1.0, 2.0])
    """
    core, around = _full(count)
    inmost = 0.0 if core == 1 else 0.5 / math.sin(math.pi / core)
    return inmost + np.arange(around + 1.0)


@dataclass(frozen=True)
class RingLadder:
    """Units in rings that fill a circle: strands, or groups of them; lengths over its radius.

    Parameters
    ----------
    count : int
        Of units.
    fill : float
        Share of their cells that they fill.
    own : (m,) complex
        Impedance of one unit, from its surface inwards, at m values of j w [ohm/m].
    permeability : (m,) complex
        Of the medium that all of them are.
    strained : (m,) complex
        What a unit answers to a field that changes across it, second order: -1 where it is shut out.
    turning : (m,) complex
        j w mu0 [ohm/m].

    Notes
    -----
    Against multipoles of all strands (rings of 19 to 217, radius up to a skin depth) the resistance holds within 0.1 %
    where all rings are full, 0.5 % where the outermost is not.
    """

    count: int
    fill: float
    own: ComplexArray
    permeability: ComplexArray
    strained: ComplexArray
    turning: ComplexArray

    @cached_property
    def _lay(self) -> tuple[FloatArray, FloatArray]:
        """Units and radius of every ring, each (k,)."""
        radii = ring_radii(self.count)
        return np.array(ring_counts(self.count), dtype=float), radii / (radii[-1] + 0.5)

    @property
    def share(self) -> FloatArray:
        """Of the current in every ring where all units have the same, (k,)."""
        return np.asarray(self._lay[0] / self.count)

    @cached_property
    def _coupling(self) -> FloatArray:
        """Flux beyond the outline's of every ring per ampere in each, over mu0 / 2 pi, (k, k)."""
        number, radius = self._lay
        unit = math.sqrt(self.fill / self.count)
        away = np.log(np.where(number > 1, radius, 1.0))
        found = -np.log(np.maximum(np.maximum.outer(radius, radius), unit))
        found[np.diag_indices_from(found)] = -(math.log(unit) + np.log(number) + (number - 1) * away) / number
        return found

    @cached_property
    def _fields(self) -> tuple[FloatArray, FloatArray]:
        """Of dipoles and of quadrupoles: integrals over all units of what their field is per ampere, (k, k)."""
        number, radius = self._lay
        off = np.where(radius > 0, radius, 1.0)
        within = np.tril(np.ones((len(number), len(number))), -1)
        field = (within + np.diag((number - 1) / (2 * number))) * (radius > 0)[:, None] / (2 * math.pi * off[:, None])
        strain = np.diag((number - 1) * (number - 5) / (12 * number)) - within
        strain *= (radius > 0)[:, None] / off[:, None] ** 2
        cell, size = math.pi / self.count, self.fill / self.count
        dipoles = cell * field.T @ (number[:, None] * field)
        return dipoles, size**2 / (4 * math.pi) * strain.T @ (number[:, None] * strain)

    def impedance(self, *, even: bool) -> tuple[ComplexArray, ComplexArray]:
        """Of all units in parallel (m,), less the flux beyond the outline, and the current in every ring (m, k).

        Parameters
        ----------
        even : bool
            All units have the same current; else the rings share as their impedances ask.

        Returns
        -------
        impedance : (m,) complex [ohm/m]
        shares : (m, k) complex
            Current of a unit of every ring over the mean.
        """
        number, share = self._lay[0], self.share
        dipoles, quadrupoles = self._fields
        total, shares = np.empty(len(self.own), dtype=complex), np.ones((len(self.own), len(number)), complex)
        step = max(1, SOME // len(number) ** 2)
        for some in (slice(k, k + step) for k in range(0, len(self.own), step)):
            system = self._coupling / (2 * math.pi) + (self.permeability[some] - 1)[:, None, None] * dipoles
            system = self.turning[some, None, None] * (system + self.strained[some, None, None] * quadrupoles)
            system[:, np.arange(len(number)), np.arange(len(number))] += self.own[some, None] / number
            if even:
                total[some] = system @ share @ share
                continue
            driven = np.linalg.solve(system, np.ones((len(system), len(number), 1)))[..., 0]
            total[some] = 1 / driven.sum(axis=1)
            shares[some] = driven * total[some, None] / share
        return total, shares

    @property
    def inductance(self) -> float:
        """At rest, without what is inside the units [H/m]."""
        return float(MU0 / (2 * math.pi) * self.share @ self._coupling @ self.share)
