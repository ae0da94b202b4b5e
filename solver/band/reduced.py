"""The reduced model of a band: impedance in Foster form, fields as sums of a few dozen modes, a bound on its error."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.field.discretisation import Discretisation

from .basis import ReducedBasis, scaled
from .foster import FosterForm, angular
from .ports import Ports


class Certificate(Protocol):
    """What bounds the error of a Foster form against its mesh's own impedance."""

    def bound(self, foster: FosterForm, frequency: npt.ArrayLike) -> ComplexArray:
        """W with |i* dZ i| <= i* W i for all currents i, (m, patterns, patterns) [ohm/m]."""
        ...

    def with_conductivity(self, factor: float) -> Certificate:
        """The same for all conductivities multiplied by a factor."""
        ...


@dataclass(frozen=True, eq=False)
class Reduced:
    """Impedance and fields of a section over a band of frequencies.

    Attributes
    ----------
    basis : ReducedBasis
    factors : (regions,) float
        What multiplies the conductivities that the basis was made with.
    foster : FosterForm
    modal_matrix : (r, modes) float
    mean_correction : (groups, r) float
        The modes are (basis - chi mean_correction) modal_matrix.
    certificate : Certificate or None
        None: the error is not known.
    """

    basis: ReducedBasis
    factors: FloatArray
    foster: FosterForm
    modal_matrix: FloatArray
    mean_correction: FloatArray
    certificate: Certificate | None = None

    @classmethod
    def of(cls, basis: ReducedBasis, factors: FloatArray | None = None) -> Reduced:
        """The solution in a basis, for conductivities multiplied by factors (regions,)."""
        given = np.ones(len(basis.discretisation.metals)) if factors is None else factors
        return cls(basis, given, *basis.galerkin(given))

    @cached_property
    def discretisation(self) -> Discretisation:
        """Mesh, metals and order of the fields."""
        d = self.basis.discretisation
        return d if (self.factors == 1).all() else scaled(d, self.factors)

    def at(self, frequency: FloatArray, number: int) -> Discretisation:
        """The same with what follows the frequency as it is at one of some (m,) [Hz]."""
        d = self.discretisation
        if not any(m.band for m in d.metals):
            return d
        found = replace(d, metals=tuple(m.at(frequency, number) for m in d.metals))
        vars(found)["elements"] = d.elements  # what it holds serves every frequency
        return found

    @property
    def ports(self) -> Ports:
        """Where the current enters."""
        return self.basis.ports

    @property
    def chi(self) -> FloatArray:
        """1 on a group, 0 on the others, harmonic in the air, (unknowns, groups)."""
        return self.basis.chi

    @cached_property
    def modes(self) -> FloatArray:
        """(unknowns, r) [1/sqrt(S m)], zero mean over every group, harmonic in the air."""
        means = self.chi @ (self.mean_correction @ self.modal_matrix)
        return np.asarray(self.basis.vectors @ self.modal_matrix - means)

    def region_losses(self, frequency: npt.ArrayLike, drive: FloatArray) -> FloatArray:
        """Loss of every region of metal at frequencies (m,) for currents (patterns,), (m, regions) [W/m]."""
        turning = 1j * angular(frequency)[:, None]
        modal = self.foster.amplitudes(frequency, drive.astype(complex)[None]) @ self.modal_matrix.T
        along = self.ports.pattern @ drive
        mean = along / self.foster.conductance + turning * (modal @ self.mean_correction.T)
        mean = mean + self.foster.driven_field(frequency) * along
        losses, at, metals = [], np.atleast_1d(np.asarray(frequency, dtype=float)), self.discretisation.metals
        for region, factor, metal in zip(self.basis.regions, self.factors, metals, strict=True):
            e = np.column_stack((mean[:, region.group], -turning * modal))
            loss = factor * ((e.conj() @ region.mass) * e).sum(axis=1).real
            if metal.band is not None and not metal.given:
                energy = ((modal.conj() @ region.energy) * modal).sum(axis=1).real
                stiff = (1 / metal.band.over(at)[0]).imag
                loss = loss * metal.band.conducting(at).real + turning[:, 0].imag * energy * stiff
                loss = loss + metal.band.edge(at).real * along[region.group] ** 2
            losses.append(loss)
        return np.column_stack(losses)

    def with_conductivity(self, factor: float) -> Reduced:
        """The same section with all conductivities multiplied by a factor, exactly."""
        known = self.certificate and self.certificate.with_conductivity(factor)
        foster, modal_matrix = self.foster.with_conductivity(factor), self.modal_matrix / np.sqrt(factor)
        return replace(self, factors=self.factors * factor, foster=foster, modal_matrix=modal_matrix, certificate=known)

    def bound(self, frequency: npt.ArrayLike) -> ComplexArray:
        """W with |i* dZ i| <= i* W i for all currents i: of the error dZ against the mesh's own Z [ohm/m]."""
        if self.certificate is None:
            q = self.foster.pattern.shape[1]
            return np.zeros((len(angular(frequency)), q, q), dtype=complex)
        return self.certificate.bound(self.foster, frequency)

    def relative_bounds(self, frequency: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Largest |i* dZ i| over i* R i and over i* w L i, for any currents, both (m,)."""
        frequency = np.atleast_1d(np.asarray(frequency, dtype=float))
        bound, inductance = self.bound(frequency), self.foster.inductance(frequency)
        omega = np.where(frequency > 0, angular(frequency), 1.0)
        return _largest(bound, self.foster.resistance(frequency)), _largest(bound, inductance) / omega


def _largest(bound: ComplexArray | FloatArray, scale: FloatArray) -> FloatArray:
    """Largest generalised eigenvalue of (bound, scale), (m,)."""
    left = np.linalg.inv(np.linalg.cholesky(scale))
    return np.asarray(np.linalg.eigvalsh(left @ bound @ left.transpose(0, 2, 1))[:, -1])
