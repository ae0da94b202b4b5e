"""Bounds on the error of a reduced model, from the residual of its fields.

For s on the imaginary axis |f' (K + s M)^-1 f| <= sqrt(2) f* (K + |s| M)^-1 f: the error of an impedance is bounded by
the residual f in a norm that a factor at a real shift gives. The norm falls with the shift and its inverse is concave
in it, so that between two shifts the chord of the inverses lies below.

In a rational Krylov space with real poles (Ruhe 1984, from memory) the residual is always K chi times the flux, less
its part in the space: one norm per pole, known beforehand, certifies the whole band. In a merged space, for
conductivities it was not made with, the residual is formed where it is asked for.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from ..geometries.outline import FloatArray
from .chain import Chain, angular
from .field import ComplexArray, Discretisation
from .materials import MU0
from .pencil import Pencil
from .space import Space, scaled


@dataclass(frozen=True, eq=False)
class Known:
    """Norms of the residual at real shifts, known beforehand.

    Attributes
    ----------
    shifts : (k,) float
        Angular frequencies, the first 0 [rad/s].
    norms : (k, d, d) float
        f' (K + mu0 w M~)^-1 f of what K chi leaves outside the space, f, in the directions.
    drift : (groups, r) float
        What K x of every mode leaves there, in terms of the former.
    directions : (groups, d) float
        Orthonormal; all fluxes of the residual lie in them.
    """

    shifts: FloatArray
    norms: FloatArray
    drift: FloatArray
    directions: FloatArray

    def residual(self, chain: Chain, frequency: npt.ArrayLike) -> ComplexArray:
        """Flux of the residual per current in a pattern, (m, d, patterns) [H/m]."""
        flux = chain.flux(frequency) + self.drift @ _per_pattern(chain, frequency)
        return np.asarray(self.directions.T @ flux)

    def bound(self, chain: Chain, frequency: npt.ArrayLike) -> ComplexArray:
        """W with |i* dZ i| <= i* W i, (m, patterns, patterns) [ohm/m]."""
        omega, flux = angular(frequency), self.residual(chain, frequency)
        before, after, t = _between(self.shifts, omega)
        norms = _chord(self.norms[before], self.norms[after], t) * (np.sqrt(2) * omega / MU0)[:, None, None]
        return np.asarray(flux.conj().transpose(0, 2, 1) @ norms @ flux)

    def with_conductivity(self, factor: float) -> Known:
        """For all conductivities multiplied by a factor: w M stays where w falls as sigma rises."""
        return replace(self, shifts=self.shifts / factor, drift=self.drift / np.sqrt(factor))


@dataclass(frozen=True, eq=False)
class Formed:
    """The residual of a model with other conductivities than its shifts were solved with, formed when asked for.

    Attributes
    ----------
    pencil : Pencil
        Of the conductivities the shifts were solved with.
    shifts : (k,) float
        Angular frequencies, the first 0 [rad/s].
    space : Space
    factors : (regions,) float
    turn : (r, modes) float
    slip : (groups, r) float
    """

    pencil: Pencil
    shifts: FloatArray
    space: Space
    factors: FloatArray
    turn: FloatArray
    slip: FloatArray

    def bound(self, chain: Chain, frequency: npt.ArrayLike) -> ComplexArray:
        """W with |i* dZ i| <= i* W i, (m, patterns, patterns) [ohm/m]; two solves for each frequency."""
        omega = angular(frequency)
        # M of these conductivities is at least the smallest ratio times M of the shifts, and the norm falls with M
        metals = zip(self._scaled.metals, self.pencil.discretisation.metals, strict=True)
        before, after, t = _between(self.shifts, omega * min(own.conductivity / of.conductivity for own, of in metals))
        found = []
        for number, residual in enumerate(self._residuals(chain, frequency)):
            parts = np.concatenate((residual.real, residual.imag), axis=1)
            low, high = (parts.T @ self._solved(k[number], parts) for k in (before, after))
            norm = _chord(low[None], high[None], t[number : number + 1])[0]
            q = residual.shape[1]
            own = norm[:q, :q] + norm[q:, q:] + 1j * (norm[:q, q:] - norm[q:, :q])
            found.append(np.sqrt(2) * omega[number] / MU0 * own)
        return np.array(found)

    def with_conductivity(self, factor: float) -> Formed:
        """For all conductivities multiplied by a factor."""
        return replace(self, factors=self.factors * factor, turn=self.turn / np.sqrt(factor))

    @cached_property
    def _scaled(self) -> Discretisation:
        return scaled(self.space.discretisation, self.factors)

    def _solved(self, shift: int, right: FloatArray) -> FloatArray:
        if not shift:
            return self.pencil.resting(right)
        return self.pencil.shifted(float(self.shifts[shift]))(right)

    def _residuals(self, chain: Chain, frequency: npt.ArrayLike) -> list[ComplexArray]:
        """K a + j w mu0 M~ a less its drive, per current in a pattern, each (unknowns, patterns) [H/m]."""
        space, d = self.space, self._scaled
        stiffness, mass = self.pencil.discretisation.stiffness, d.mass
        drive = mass @ (d.lift @ (space.ports.member @ (chain.pattern / chain.conductance[:, None])))
        found = []
        for omega, flux, mode in zip(
            angular(frequency), chain.flux(frequency), self.turn @ _per_pattern(chain, frequency), strict=True
        ):
            eddy = _times(space.basis, mode) - _times(space.chi, self.slip @ mode)
            field = eddy + _times(space.chi, flux)
            found.append(_times(stiffness, field) + 1j * omega * MU0 * _times(mass, eddy) - MU0 * drive)
        return found


def _times(matrix: npt.NDArray[np.float64] | object, field: ComplexArray) -> ComplexArray:
    """A real matrix times complex columns, without a complex copy of the matrix."""
    both = matrix @ np.concatenate((field.real, field.imag), axis=1)  # type: ignore[operator]
    return np.asarray(both[:, : field.shape[1]] + 1j * both[:, field.shape[1] :])


def _per_pattern(chain: Chain, frequency: npt.ArrayLike) -> ComplexArray:
    """Amplitudes of the modes per current in a pattern, (m, r, patterns)."""
    each = [chain.amplitudes(frequency, unit[None]) for unit in np.eye(chain.pattern.shape[1], dtype=complex)]
    return np.stack(each, axis=-1)


def _between(shifts: FloatArray, omega: FloatArray) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp], FloatArray]:
    """Number of the shift before, of the one after, and the place between them (0 to 1), each (m,)."""
    before = np.clip(np.searchsorted(shifts, omega, side="right") - 1, 0, len(shifts) - 1)
    after = np.minimum(before + 1, len(shifts) - 1)
    step = shifts[after] - shifts[before]
    return before, after, np.where(step > 0, (omega - shifts[before]) / np.where(step > 0, step, 1), 0.0)


def _chord(before: FloatArray, after: FloatArray, t: FloatArray) -> FloatArray:
    """Norms between two shifts, from above, (m, d, d)."""
    size = np.trace(before, axis1=1, axis2=2)[:, None, None] * np.eye(before.shape[1])
    little = 1e-12 * size + 1e-300 * np.eye(before.shape[1])
    t = t[:, None, None]
    return np.asarray(np.linalg.inv((1 - t) * np.linalg.inv(before + little) + t * np.linalg.inv(after + little)))
