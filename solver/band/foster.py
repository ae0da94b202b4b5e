"""The Foster form, a chain of resistors in parallel with inductors: impedance over all frequencies in closed form.

With the eigenpairs K x_i = mu0 w_i M~ x_i of a section driven by currents, and c_i their coupling to them,

    Z = R_0 + j w L_oo + sum c_i c_i' j w / (w_i + j w),

R and L are sums without cancellation, positive semidefinite and symmetric at every frequency; R_0 and L_oo, with all
current on the surfaces, are the exact limits (Foster 1924 for one port, Cauer 1929 for several: from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

import numpy as np
import numpy.typing as npt
from scipy import linalg

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.metals.band_medium import BandMedium
from crosscurrent.solver.metals.depth import MU0

ALIKE = 1e-12  # part of a vector's square beside the others that is rounding


class Impedance(Protocol):
    """R and L of circuits over frequency, as a ladder is fitted to."""

    @property
    def resting_resistance(self) -> FloatArray:
        """R at 0 Hz, (circuits, circuits) [ohm/m]."""
        ...

    def resistance(self, frequency: npt.ArrayLike) -> FloatArray:
        """R at frequencies (m,) [Hz], (m, circuits, circuits) [ohm/m]."""
        ...

    def inductance(self, frequency: npt.ArrayLike) -> FloatArray:
        """L at frequencies (m,) [Hz], 0 included, (m, circuits, circuits) [H/m]."""
        ...


@dataclass(frozen=True, eq=False)
class FosterForm:
    """Impedance of groups of conductors driven in patterns.

    Attributes
    ----------
    pattern : (groups, patterns) float
        Current in every group per unit of each pattern.
    conductance : (groups,) float
        [S m]
    surface_inductance : (groups, groups) float
        L_oo [H/m].
    rates : (r,) float
        w_i [rad/s], ascending.
    coupling : (r, groups) float
        c_i [sqrt(ohm/m)].
    within : (groups,) of BandMedium or None
        Strands, whose own impedance comes on top of that of their field; none: solid metal.

    Examples
    --------
    >>> one = np.eye(1)
    >>> foster = FosterForm(one, np.array([1e3]), 1e-6 * one, np.array([1e4]), np.array([[0.1]]))
    >>> round(float(foster.resistance(1e4 / (2 * np.pi))[0, 0, 0]), 9)  # 1/1000 + 0.01 / 2
    0.006
    """

    pattern: FloatArray
    conductance: FloatArray
    surface_inductance: FloatArray
    rates: FloatArray
    coupling: FloatArray
    within: tuple[BandMedium | None, ...] = ()

    @cached_property
    def _driven(self) -> FloatArray:
        """Coupling of the modes to the patterns, (r, patterns)."""
        return self.coupling @ self.pattern

    @cached_property
    def resting_resistance(self) -> FloatArray:
        """R_0, (patterns, patterns) [ohm/m]."""
        pattern = self.pattern
        return np.asarray(pattern.T @ (pattern / self.conductance[:, None]))

    def resistance(self, frequency: npt.ArrayLike) -> FloatArray:
        """R at frequencies (m,) [Hz], (m, patterns, patterns) [ohm/m]."""
        omega = angular(frequency)[:, None]
        ratio = omega / self.rates
        found = self.resting_resistance + self._summed(ratio**2 / (1 + ratio**2))
        return found + self._by_pattern(self.excess(frequency)[0]) if self.stranded else found

    def inductance(self, frequency: npt.ArrayLike) -> FloatArray:
        """L at frequencies (m,) [Hz], 0 included, (m, patterns, patterns) [H/m]."""
        ratio = angular(frequency)[:, None] / self.rates
        surface = self.pattern.T @ self.surface_inductance @ self.pattern
        found = surface + self._summed(1 / (self.rates * (1 + ratio**2)))
        return found + self._by_pattern(self.excess(frequency)[1]) if self.stranded else found

    def impedance(self, frequency: npt.ArrayLike) -> ComplexArray:
        """Voltage along pattern i per current in pattern j, (m, patterns, patterns) [ohm/m]."""
        omega = angular(frequency)[:, None, None]
        return np.asarray(self.resistance(frequency) + 1j * omega * self.inductance(frequency))

    @property
    def stranded(self) -> bool:
        """Whether some of it is strands, whose own impedance no modes hold."""
        return any(self.within)

    def excess(self, frequency: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
        """R beyond that at rest and L that strands add to every group, each (m, groups) [ohm/m], [H/m]."""
        at = np.atleast_1d(np.asarray(frequency, dtype=float))
        resistance, inductance = np.zeros((2, len(at), len(self.conductance)))
        for group, strands in enumerate(self.within):
            if strands is not None:
                impedance, resting = strands.over(at)[1] + strands.edge(at), strands.at(0.0)
                resistance[:, group] = impedance.real - resting.resistance
                turned = impedance.imag / np.where(at > 0, angular(at), 1.0)
                inductance[:, group] = np.where(at > 0, turned, resting.inductance)
        return resistance, inductance

    def driven_field(self, frequency: npt.ArrayLike) -> ComplexArray:
        """What a current drives in the field of every group beyond what it does at rest, (m, groups) [ohm/m]: none."""
        return np.zeros((len(angular(frequency)), len(self.conductance)), dtype=complex)

    def _by_pattern(self, each: FloatArray) -> FloatArray:
        return np.asarray(self.pattern.T @ (each[:, :, None] * self.pattern))

    def mean_potential(self, frequency: npt.ArrayLike) -> ComplexArray:
        """Mean potential of every group per current in a pattern, (m, groups, patterns) [H/m]."""
        weight = 1 / (self.rates + 1j * angular(frequency)[:, None])
        surface = self.surface_inductance @ self.pattern
        return np.asarray(surface + np.einsum("mr,rg,rq->mgq", weight, self.coupling, self._driven, optimize=True))

    def amplitudes(self, frequency: npt.ArrayLike, drive: ComplexArray) -> ComplexArray:
        """Amplitude of every mode in A for currents (m, patterns), (m, r)."""
        return np.asarray(-(drive @ self._driven.T) / (self.rates + 1j * angular(frequency)[:, None]))

    def with_conductivity(self, factor: float) -> FosterForm:
        """The same section with all conductivities multiplied by a factor: Z_k(w) = Z(k w) / k, exactly."""
        conductance, rates, coupling = self.conductance * factor, self.rates / factor, self.coupling / np.sqrt(factor)
        within = tuple(strands and strands.with_conductivity(factor) for strands in self.within)
        return replace(self, conductance=conductance, rates=rates, coupling=coupling, within=within)

    def _summed(self, weight: FloatArray) -> FloatArray:
        """sum weight_i c_i c_i' over the modes, (m, patterns, patterns)."""
        q = self._driven.shape[1]
        products = (self._driven[:, :, None] * self._driven[:, None, :]).reshape(-1, q * q)
        return np.asarray((weight @ products).reshape(-1, q, q))


def angular(frequency: npt.ArrayLike) -> FloatArray:
    """2 pi f of one or more frequencies, (m,) [rad/s]."""
    return 2 * np.pi * np.atleast_1d(np.asarray(frequency, dtype=float))


def split(
    lift_coupling: FloatArray, residual_coupling: FloatArray, stiffness: FloatArray, mass: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """Surface inductance, rates, coupling and the modal matrix of (K, M~) projected on chi and a basis.

    Parameters
    ----------
    lift_coupling : (groups, groups) float
        chi' K chi.
    residual_coupling : (groups, r) float
        (K chi)' x.
    stiffness, mass : (r, r) float
        x' K x and x' M x.
    """
    released = np.linalg.inv(lift_coupling)
    released = 0.5 * (released + released.T)
    inner = stiffness - residual_coupling.T @ released @ residual_coupling
    eigenvalues, modal_matrix = eigenpairs(0.5 * (inner + inner.T), 0.5 * (mass + mass.T))
    return MU0 * released, eigenvalues / MU0, modal_matrix.T @ (released @ residual_coupling).T, modal_matrix


def eigenpairs(stiffness: FloatArray, mass: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Eigenvalues (k,), ascending, and eigenvectors (r, k) of positive semidefinite matrices, k the rank of the mass.

    The rates of a band span ten decades, and each needs its own digits: Jacobi's rotations on the factors keep them
    (Drmac and Veselic 2008, from memory), where the usual way leaves the slowest with the rounding of the fastest.
    """
    try:
        across, own = linalg.cholesky(mass), linalg.cholesky(stiffness)
    except linalg.LinAlgError:  # a vector that is all but a sum of the others: what they span counts
        size, axes = linalg.eigh(mass)
        kept = size > ALIKE * size[-1]
        within = axes[:, kept] / np.sqrt(size[kept])
        values, modal_matrix = linalg.eigh(within.T @ stiffness @ within)
        return np.maximum(values, np.finfo(float).tiny), within @ modal_matrix
    graded = linalg.solve_triangular(across, own.T, trans="T").T
    values, _, modal_matrix, scale, _, _ = linalg.lapack.dgejsv(graded, joba=1, jobu=3, jobv=0)
    values = (values * (scale[0] / scale[1]))[::-1] ** 2
    return values, np.asarray(linalg.solve_triangular(across, modal_matrix[:, ::-1]))
