"""The impedance of a section with strands that share as the field asks: their medium as it is at each frequency.

No sum of delays holds that medium, which may give power where the whole does not. In the modes that the section has
with it at rest, the amplitudes y of currents I obey

    (diag(w_i) + s + sum (nu - 1) K_b / mu0 + s (c - 1) M_b) y = - c' I

with K_b and M_b of every such bundle projected once, its relative reluctivity nu and its conductivity c over that at
rest: a small system for each frequency, and everything else as in the Foster form.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import partial
from typing import Any

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.metals.band_lag import BandLag
from crosscurrent.solver.metals.band_medium import BandMedium
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.from_few import from_few

from .foster import FosterForm, angular

SOME = 2**16  # entries of systems that are solved at once
KEPT = 6  # answers at some frequencies


@dataclass(frozen=True, eq=False)
class Followed:
    """A bundle whose strands share as the field asks, in the modes.

    Attributes
    ----------
    group : int
    medium : BandMedium
    stiffness, mass : (r, r) float
        K_b / mu0 [rad/s] and M_b [-].
    """

    group: int
    medium: BandMedium | BandLag
    stiffness: FloatArray
    mass: FloatArray

    @classmethod
    def in_modes(
        cls, group: int, medium: BandMedium | BandLag, stiffness: FloatArray, mass: FloatArray, modal_matrix: FloatArray
    ) -> Followed:
        """From K_b and M_b of a basis, (n, n), and the modes in it (n, r)."""
        own, other = (modal_matrix.T @ matrix @ modal_matrix for matrix in (stiffness / MU0, mass))
        return cls(group, medium, own, other)

    def factors(self, frequency: FloatArray) -> tuple[ComplexArray, ComplexArray]:
        """nu and c at frequencies (m,) [Hz], each (m,)."""
        return 1 / self.medium.over(frequency)[0], self.medium.conducting(frequency)


@dataclass(frozen=True, eq=False, kw_only=True)
class FollowedForm(FosterForm):
    """As a Foster form, whose rates, coupling and surface inductance are those with such strands at rest.

    Attributes
    ----------
    followed : tuple of Followed
    """

    followed: tuple[Followed, ...]
    _known: dict[tuple[str, bytes], ComplexArray] = field(default_factory=dict, init=False, repr=False)

    @classmethod
    def of(cls, foster: FosterForm, followed: Sequence[Followed]) -> FosterForm:
        """From the form with all at rest; that form itself where nothing is to be followed."""
        return cls(**_fields(foster), followed=tuple(followed)) if followed else foster

    def responses(self, frequency: npt.ArrayLike) -> ComplexArray:
        """Amplitude of every mode in A per current in a pattern, (m, r, patterns)."""
        return self._kept(self._responses, np.atleast_1d(np.asarray(frequency, dtype=float)))

    def _kept(self, made: Callable[[FloatArray], ComplexArray], at: FloatArray) -> ComplexArray:
        """Those made last are kept: every answer asks for the same frequencies."""
        key = made.__name__, at.tobytes()
        if key not in self._known:
            if len(self._known) == KEPT:
                self._known.pop(next(iter(self._known)))
            self._known[key] = made(at)
        return self._known[key]

    def _responses(self, at: FloatArray) -> ComplexArray:
        fading = self.rates + 1j * angular(at)[:, None]
        return np.asarray(from_few(partial(self._kept, self._standing), at) / fading[:, :, None])

    def _standing(self, at: FloatArray) -> ComplexArray:
        """The amplitudes times what they fade by at rates of their own: of one size over a band."""
        return self._solved(at) * (self.rates + 1j * angular(at)[:, None])[:, :, None]

    def _solved(self, at: FloatArray) -> ComplexArray:
        found = np.empty((len(at), *self._driven.shape), dtype=complex)
        count, turning = len(self.rates), 1j * angular(at)
        weights = np.column_stack([w for nu, c in self._factors(at) for w in (nu - 1, turning * (c - 1))])
        parts = np.array([m.ravel() for bundle in self.followed for m in (bundle.stiffness, bundle.mass)])
        step, own = max(1, SOME // count**2), np.arange(count)
        for some in (slice(k, k + step) for k in range(0, len(at), step)):
            system = np.empty((len(at[some]), count, count), dtype=complex)
            system.real, system.imag = (
                (part @ parts).reshape(system.shape) for part in (weights[some].real, weights[some].imag)
            )
            system[:, own, own] += self.rates + turning[some, None]
            found[some] = np.linalg.solve(system, np.broadcast_to(-self._driven, (len(system), *self._driven.shape)))
        return found

    def _factors(self, at: FloatArray) -> list[tuple[ComplexArray, ComplexArray]]:
        return [bundle.factors(at) for bundle in self.followed]

    def amplitudes(self, frequency: npt.ArrayLike, drive: ComplexArray) -> ComplexArray:
        """Amplitude of every mode in A for currents (m, patterns), (m, r)."""
        return np.asarray(np.einsum("mrq,mq->mr", self.responses(frequency), drive))

    def mean_potential(self, frequency: npt.ArrayLike) -> ComplexArray:
        """Mean potential of every group per current in a pattern, (m, groups, patterns) [H/m]."""
        return self._kept(self._means, np.atleast_1d(np.asarray(frequency, dtype=float)))

    def _means(self, at: FloatArray) -> ComplexArray:
        surface = self.surface_inductance @ self.pattern
        return from_few(lambda few: surface - self.coupling.T @ self.responses(few), at)

    def resistance(self, frequency: npt.ArrayLike) -> FloatArray:
        """R at frequencies (m,) [Hz], (m, patterns, patterns) [ohm/m]."""
        return self._parts(frequency)[0]

    def inductance(self, frequency: npt.ArrayLike) -> FloatArray:
        """L at frequencies (m,) [Hz], 0 included, (m, patterns, patterns) [H/m]."""
        return self._parts(frequency)[1]

    def impedance(self, frequency: npt.ArrayLike) -> ComplexArray:
        """Voltage along pattern i per current in pattern j, (m, patterns, patterns) [ohm/m]."""
        resistance, inductance = self._parts(frequency)
        return np.asarray(resistance + 1j * angular(frequency)[:, None, None] * inductance)

    def _parts(self, frequency: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
        """R and L."""
        linked, (resistance, inductance) = self._linked(frequency), map(self._by_pattern, self.excess(frequency))
        turned = -angular(frequency)[:, None, None] * linked.imag
        return np.asarray(self.resting_resistance + turned + resistance), np.asarray(linked.real + inductance)

    def _linked(self, frequency: npt.ArrayLike) -> ComplexArray:
        """Mean potential of every pattern per current in each, symmetric, (m, patterns, patterns) [H/m]."""
        found = self.pattern.T @ self.mean_potential(frequency)
        return np.asarray(0.5 * (found + found.transpose(0, 2, 1)))

    def driven_field(self, frequency: npt.ArrayLike) -> ComplexArray:
        """What a current drives in the field of every group beyond what it does at rest, (m, groups) [ohm/m]."""
        at = np.atleast_1d(np.asarray(frequency, dtype=float))
        found = np.zeros((len(at), len(self.conductance)), dtype=complex)
        for bundle in self.followed:
            found[:, bundle.group] += bundle.medium.driven(at)
        return found

    def with_conductivity(self, factor: float) -> FollowedForm:
        """The same section with all conductivities multiplied by a factor: Z_k(w) = Z(k w) / k, exactly."""
        plain = FosterForm(**_fields(self)).with_conductivity(factor)
        followed = tuple(
            replace(f, medium=f.medium.with_conductivity(factor), stiffness=f.stiffness / factor) for f in self.followed
        )
        return FollowedForm(**_fields(plain), followed=followed)


def _fields(foster: FosterForm) -> dict[str, Any]:
    return {own.name: getattr(foster, own.name) for own in fields(FosterForm)}
