"""The reduced model of a band: impedance as a chain, fields as sums of a few dozen modes, and what bounds its error."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Protocol

import numpy as np
import numpy.typing as npt

from ..geometries.outline import FloatArray
from .chain import Chain, angular
from .field import ComplexArray, Discretisation
from .ports import Ports
from .space import Space, scaled


class Certificate(Protocol):
    """What bounds the error of a chain against its mesh's own impedance."""

    def bound(self, chain: Chain, frequency: npt.ArrayLike) -> ComplexArray:
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
    space : Space
    factors : (regions,) float
        What multiplies the conductivities that the space was made with.
    chain : Chain
    turn : (r, modes) float
    slip : (groups, r) float
        The modes are (basis - chi slip) turn.
    certificate : Certificate or None
        None: the error is not known.
    """

    space: Space
    factors: FloatArray
    chain: Chain
    turn: FloatArray
    slip: FloatArray
    certificate: Certificate | None = None

    @classmethod
    def of(cls, space: Space, factors: FloatArray | None = None) -> Reduced:
        """The solution in a space, for conductivities multiplied by factors (regions,)."""
        given = np.ones(len(space.discretisation.metals)) if factors is None else factors
        return cls(space, given, *space.galerkin(given))

    @cached_property
    def discretisation(self) -> Discretisation:
        """Mesh, metals and order of the fields."""
        d = self.space.discretisation
        return d if (self.factors == 1).all() else scaled(d, self.factors)

    @property
    def ports(self) -> Ports:
        """Where the current enters."""
        return self.space.ports

    @property
    def chi(self) -> FloatArray:
        """1 on a group, 0 on the others, harmonic in the air, (unknowns, groups)."""
        return self.space.chi

    @cached_property
    def modes(self) -> FloatArray:
        """(unknowns, r) [1/sqrt(S m)], zero mean over every group, harmonic in the air."""
        return np.asarray(self.space.basis @ self.turn - self.chi @ (self.slip @ self.turn))

    def region_losses(self, frequency: npt.ArrayLike, drive: FloatArray) -> FloatArray:
        """Loss of every region of metal at frequencies (m,) for currents (patterns,), (m, regions) [W/m]."""
        turning = 1j * angular(frequency)[:, None]
        basis = self.chain.amplitudes(frequency, drive.astype(complex)[None]) @ self.turn.T
        even = self.ports.pattern @ drive / self.chain.conductance + turning * (basis @ self.slip.T)
        losses = []
        for region, factor in zip(self.space.regions, self.factors, strict=True):
            e = np.column_stack((even[:, region.group], -turning * basis))
            losses.append(factor * ((e.conj() @ region.mass) * e).sum(axis=1).real)
        return np.column_stack(losses)

    def with_conductivity(self, factor: float) -> Reduced:
        """The same section with all conductivities multiplied by a factor, exactly."""
        known = self.certificate and self.certificate.with_conductivity(factor)
        chain, turn = self.chain.with_conductivity(factor), self.turn / np.sqrt(factor)
        return replace(self, factors=self.factors * factor, chain=chain, turn=turn, certificate=known)

    def bound(self, frequency: npt.ArrayLike) -> ComplexArray:
        """W with |i* dZ i| <= i* W i for all currents i: of the error dZ against the mesh's own Z [ohm/m]."""
        if self.certificate is None:
            q = self.chain.pattern.shape[1]
            return np.zeros((len(angular(frequency)), q, q), dtype=complex)
        return self.certificate.bound(self.chain, frequency)

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
