"""The reduced model of a band: impedance as a chain, fields as sums of a few dozen modes, and what bounds its error.

The modes come from a rational Krylov space with real poles spread over the band (Ruhe 1984, from memory). In such a
space the residual is always K chi times the flux, less its part in the space: one dual norm per pole certifies all.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from ..geometries.outline import FloatArray
from .chain import Chain, angular
from .field import ComplexArray, Discretisation
from .materials import MU0
from .ports import Ports


@dataclass(frozen=True, eq=False)
class Certificate:
    """What bounds the error of the reduced model: dual norms of its residual at real shifts.

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
        each = [chain.amplitudes(frequency, unit[None]) for unit in np.eye(chain.pattern.shape[1], dtype=complex)]
        flux = chain.flux(frequency) + self.drift @ np.stack(each, axis=-1)
        return np.asarray(self.directions.T @ flux)

    def at(self, omega: FloatArray) -> FloatArray:
        """Norms at angular frequencies (m,) [rad/s], from above, (m, groups, groups).

        They fall with w and their inverses are concave in it, so the chord of the inverses lies below.
        """
        k = np.clip(np.searchsorted(self.shifts, omega, side="right") - 1, 0, len(self.shifts) - 1)
        after = np.minimum(k + 1, len(self.shifts) - 1)
        step = self.shifts[after] - self.shifts[k]
        t = np.where(step > 0, (omega - self.shifts[k]) / np.where(step > 0, step, 1), 0.0)[:, None, None]
        size = np.trace(self.norms, axis1=1, axis2=2)[:, None, None] * np.eye(self.norms.shape[1])
        inverse = np.linalg.inv(self.norms + (1e-12 * size + 1e-300 * np.eye(size.shape[1])))
        return np.asarray(np.linalg.inv((1 - t) * inverse[k] + t * inverse[after]))


@dataclass(frozen=True, eq=False)
class Reduced:
    """Impedance and fields of a section over a band of frequencies.

    Attributes
    ----------
    discretisation : Discretisation
    ports : Ports
    chain : Chain
    chi : (unknowns, groups) float
        1 on a group, 0 on the others, harmonic in the air.
    modes : (unknowns, r) float
        [1/sqrt(S m)], zero mean over every group, harmonic in the air.
    certificate : Certificate
    """

    discretisation: Discretisation
    ports: Ports
    chain: Chain
    chi: FloatArray
    modes: FloatArray
    certificate: Certificate

    def bound(self, frequency: npt.ArrayLike) -> ComplexArray:
        """W with |i* dZ i| <= i* W i for all currents i: of the error dZ against the mesh's own Z [ohm/m].

        For s on the imaginary axis |f' (K + s M)^-1 f| <= sqrt(2) f* (K + |s| M)^-1 f.
        """
        omega, flux = angular(frequency), self.certificate.residual(self.chain, frequency)
        norms = self.certificate.at(omega) * (np.sqrt(2) * omega / MU0)[:, None, None]
        return np.asarray(flux.conj().transpose(0, 2, 1) @ norms @ flux)

    def relative_bounds(self, frequency: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Largest |i* dZ i| over i* R i and over i* w L i, for any currents, both (m,)."""
        frequency = np.atleast_1d(np.asarray(frequency, dtype=float))
        bound, inductance = self.bound(frequency), self.chain.inductance(frequency)
        omega = np.where(frequency > 0, angular(frequency), 1.0)
        return _largest(bound, self.chain.resistance(frequency)), _largest(bound, inductance) / omega


def _largest(bound: npt.NDArray[Any], scale: FloatArray) -> FloatArray:
    """Largest generalised eigenvalue of (bound, scale), (m,)."""
    left = np.linalg.inv(np.linalg.cholesky(scale))
    return np.asarray(np.linalg.eigvalsh(left @ bound @ left.transpose(0, 2, 1))[:, -1])
