"""Bounds on the error of a reduced model, from the residual of its fields.

For s on the imaginary axis |f' (K + s M)^-1 f| <= sqrt(2) f* (K + |s| M)^-1 f: the error of an impedance is bounded by
the residual f in a norm that a factor at a real shift gives. The norm falls with the shift and its inverse is concave
in it, so that between two shifts the chord of the inverses lies below.

In a rational Krylov space with real poles (Ruhe 1984, from memory) the residual is always K chi times the mean
potential, less its part in the space: one norm per pole, computed beforehand, certifies the whole band. In a merged
space, for conductivities it was not made with, the residual is formed on the fly.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.metals.depth import MU0

from .band_matrices import BandMatrices
from .basis import ReducedBasis, scaled
from .foster import FosterForm, angular
from .pencil import Pencil


@dataclass(frozen=True, eq=False)
class PrecomputedBound:
    """Norms of the residual at real shifts, known beforehand.

    Attributes
    ----------
    shifts : (k,) float
        Angular frequencies, the first 0 [rad/s].
    norms : (k, d, d) float
        f' (K + mu0 w M~)^-1 f of what K chi leaves outside the space, f, in the directions.
    mode_residual : (groups, r) float
        What K x of every mode leaves there, in terms of the former.
    directions : (groups, d) float
        Orthonormal; all weights of the residual terms lie in them.
    """

    shifts: FloatArray
    norms: FloatArray
    mode_residual: FloatArray
    directions: FloatArray

    def residual(self, foster: FosterForm, frequency: npt.ArrayLike) -> ComplexArray:
        """Weights of the residual terms per current in a pattern, (m, d, patterns) [H/m]."""
        weight = foster.mean_potential(frequency) + self.mode_residual @ _per_pattern(foster, frequency)
        return np.asarray(self.directions.T @ weight)

    def bound(self, foster: FosterForm, frequency: npt.ArrayLike) -> ComplexArray:
        """W with |i* dZ i| <= i* W i, (m, patterns, patterns) [ohm/m]."""
        omega, residual = angular(frequency), self.residual(foster, frequency)
        before, after, t = _between(self.shifts, omega)
        norms = _chord(self.norms[before], self.norms[after], t) * (np.sqrt(2) * omega / MU0)[:, None, None]
        return np.asarray(residual.conj().transpose(0, 2, 1) @ norms @ residual)

    def with_conductivity(self, factor: float) -> PrecomputedBound:
        """For all conductivities multiplied by a factor: w M stays where w falls as sigma rises."""
        return replace(self, shifts=self.shifts / factor, mode_residual=self.mode_residual / np.sqrt(factor))


@dataclass(frozen=True, eq=False)
class OnTheFlyBound:
    """The residual of a model with other conductivities than its shifts were solved with, formed when asked for.

    Attributes
    ----------
    pencil : Pencil
        Of the conductivities the shifts were solved with.
    shifts : (k,) float
        Angular frequencies, the first 0 [rad/s].
    basis : ReducedBasis
    factors : (regions,) float
    modal_matrix : (r, modes) float
    mean_correction : (groups, r) float
    """

    pencil: Pencil
    shifts: FloatArray
    basis: ReducedBasis
    factors: FloatArray
    modal_matrix: FloatArray
    mean_correction: FloatArray

    def bound(self, foster: FosterForm, frequency: npt.ArrayLike) -> ComplexArray:
        """W with |i* dZ i| <= i* W i, (m, patterns, patterns) [ohm/m]; two solves for each frequency."""
        omega = angular(frequency)
        # M of these conductivities is at least the smallest ratio times M of the shifts, and the norm falls with M
        metals = zip(self._scaled.metals, self.pencil.discretisation.metals, strict=True)
        before, after, t = _between(self.shifts, omega * min(own.conductivity / of.conductivity for own, of in metals))
        found = []
        for number, residual in enumerate(self._residuals(foster, frequency)):
            parts = np.concatenate((residual.real, residual.imag), axis=1)
            low, high = (parts.T @ self._solved(k[number], parts) for k in (before, after))
            norm = _chord(low[None], high[None], t[number : number + 1])[0]
            q = residual.shape[1]
            own = norm[:q, :q] + norm[q:, q:] + 1j * (norm[:q, q:] - norm[q:, :q])
            found.append(np.sqrt(2) * omega[number] / MU0 * own)
        return np.array(found)

    def with_conductivity(self, factor: float) -> OnTheFlyBound:
        """For all conductivities multiplied by a factor."""
        return replace(self, factors=self.factors * factor, modal_matrix=self.modal_matrix / np.sqrt(factor))

    @cached_property
    def _scaled(self) -> Discretisation:
        return scaled(self.basis.discretisation, self.factors)

    def _solved(self, shift: int, right: FloatArray) -> FloatArray:
        if not shift:
            return self.pencil.resting(right)
        return self.pencil.shifted(float(self.shifts[shift]))(right)

    def _residuals(self, foster: FosterForm, frequency: npt.ArrayLike) -> list[ComplexArray]:
        """K a + j w mu0 M~ a less its drive, per current in a pattern, each (unknowns, patterns) [H/m]."""
        basis, d, matrices = self.basis, self._scaled, BandMatrices(self._scaled)
        driven = basis.ports.member @ (foster.pattern / foster.conductance[:, None])
        drive = d.mass @ (d.lift @ driven)
        if d.given.any():
            drive = matrices.tall(drive + d.lift_mass[:, d.given] @ driven[d.given])
        tall = basis.tall
        modes, found = self.modal_matrix @ _per_pattern(foster, frequency), []
        for omega, potential, mode in zip(angular(frequency), foster.mean_potential(frequency), modes, strict=True):
            modal = _times(tall, mode) - matrices.tall(_times(basis.chi, self.mean_correction @ mode))
            field = modal + matrices.tall(_times(basis.chi, potential))
            pushed = 1j * omega * MU0 * _split(matrices.weighed, modal)
            found.append(_split(matrices.stiffened, field) + pushed - MU0 * drive)
        return found


def _times(matrix: FloatArray, field: ComplexArray) -> ComplexArray:
    """A real matrix times complex columns, without a complex copy of the matrix."""
    return _split(lambda columns: matrix @ columns, field)


def _split(times: Callable[[FloatArray], FloatArray], field: ComplexArray) -> ComplexArray:
    """What is real of complex columns: their parts side by side."""
    both = times(np.concatenate((field.real, field.imag), axis=1))
    return np.asarray(both[:, : field.shape[1]] + 1j * both[:, field.shape[1] :])


def _per_pattern(foster: FosterForm, frequency: npt.ArrayLike) -> ComplexArray:
    """Amplitudes of the modes per current in a pattern, (m, r, patterns)."""
    each = [foster.amplitudes(frequency, unit[None]) for unit in np.eye(foster.pattern.shape[1], dtype=complex)]
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
