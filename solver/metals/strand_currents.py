"""What each of many straight strands carries in the field of others, over a band of frequencies.

At a sample of frequencies all strands are solved for, by iterations whose sums over a lattice are Fourier sums
(`strand_drive`). What currents and dipoles are made of there spans a small dense system, exact in frequency, for all.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray

from .depth import MU0
from .strand_drive import StrandAnswers, StrandDrive, strand_drive
from .strand_network import SOME, basis, plane
from .strands import Strands

SAMPLE = 12  # frequencies at which all strands are solved for
KEPT = 1e-6  # of the largest pattern of the sample


@dataclass(frozen=True, eq=False)
class StrandCurrents:
    """Of all strands at frequencies (m,).

    Attributes
    ----------
    each : (m, count) complex
        Current [A].
    alone : (m, count) complex
        What it would be with nothing beside the bundle [A].
    slope : (m, count, 2) complex
        Gradient of the potential that a strand is put into, what its next neighbours make of it included [T].
    """

    each: ComplexArray
    alone: ComplexArray
    slope: ComplexArray


@dataclass(frozen=True, eq=False)
class StrandPatterns:
    """Straight strands in a circle, by patterns of their currents and dipoles.

    Attributes
    ----------
    strands : Strands
    area : float
        Of the circle [m2].
    conductivity : float
        [S/m]
    patterns : (count, p) float
        Of currents.
    dipoles : (2 count, q) float
        Of them, x above y, each pattern answered by itself alone.
    poles : (q,) float
        How.
    """

    strands: Strands
    area: float
    conductivity: float
    patterns: FloatArray
    dipoles: FloatArray
    poles: FloatArray

    @classmethod
    def sampled(
        cls, strands: Strands, area: float, conductivity: float, frequency: FloatArray, trace: ComplexArray
    ) -> StrandPatterns:
        """From the frequencies (m,) above 0 [Hz] that they are to be read at; `trace` as there."""
        drive, at = strand_drive(strands.count, strands.layout), _spread(frequency)
        answers = StrandAnswers.of(strands, area, conductivity, frequency[at])
        foreign, own, answered = answers.foreign(trace[at], strands), [np.ones(strands.count)], []
        even = _by_themselves(replace(strands, turn=0.0, mirrored=False), area, conductivity, frequency[at].tobytes())
        for found in (*even, *(drive.solved(answers, number, driven) for number, driven in enumerate(foreign))):
            scaled = found / (np.abs(found[: strands.count]).max() or 1.0)
            own += [scaled.real[: strands.count], scaled.imag[: strands.count]]
            answered += [scaled.real[strands.count :], scaled.imag[strands.count :]]
        across = basis(np.column_stack(answered), KEPT)
        turned = -across.T @ plane(drive.maps.change(_vectors(across)).conj())
        poles, axes = np.linalg.eigh(0.5 * (turned + turned.T))
        return cls(strands, area, conductivity, basis(np.column_stack(own), KEPT), across @ axes, poles)

    @cached_property
    def _drive(self) -> StrandDrive:
        return strand_drive(self.strands.count, self.strands.layout)

    @cached_property
    def _fields(self) -> FloatArray:
        """Slopes that currents make, in dipoles, (q, p)."""
        return np.asarray(self.dipoles.T @ -plane(self._drive.maps.field(self.patterns).conj()))

    def read(self, frequency: FloatArray, trace: ComplexArray, total: ComplexArray) -> StrandCurrents:
        """The currents.

        Parameters
        ----------
        frequency : (m,) float
            Above 0 [Hz].
        trace : (m, 2 HARMONICS + 1) complex
            Of E of the medium along the outline, by exp(j n angle) from n = -HARMONICS on [V/m].
        total : (m,) complex
            Of all strands [A].
        """
        answers = StrandAnswers.of(self.strands, self.area, self.conductivity, frequency)
        each, alone, dipoles = self._amplitudes(answers, trace, total)
        scale = MU0 / (2 * math.pi) * answers.excited / answers.dipole / math.sqrt(self.area / math.pi)
        slope = scale[:, None, None] * _times(dipoles, self.dipoles.T).reshape(len(total), 2, -1).swapaxes(1, 2)
        return StrandCurrents(_times(each, self.patterns.T), _times(alone, self.patterns.T), np.asarray(slope))

    def carried(self, frequency: FloatArray, trace: ComplexArray, total: ComplexArray) -> ComplexArray:
        """`read(...).each` by itself, (m, count) [A]."""
        answers = StrandAnswers.of(self.strands, self.area, self.conductivity, frequency)
        return _times(self._amplitudes(answers, trace, total)[0], self.patterns.T)

    def _amplitudes(
        self, answers: StrandAnswers, trace: ComplexArray, total: ComplexArray
    ) -> tuple[ComplexArray, ComplexArray, ComplexArray]:
        """Of the patterns of currents, (m, p), those with nothing beside the bundle, and of dipoles (m, q)."""
        foreign, even = answers.foreign(trace, self.strands), self.patterns.sum(axis=0)
        weight = answers.dipole[:, None] / (1 - answers.dipole[:, None] * self.poles)
        slopes = foreign @ (self.dipoles.T @ plane(self._drive.slopes)).T
        values = foreign @ (self.patterns.T @ self._drive.values).T
        values = values + answers.strain[:, None] * (foreign @ (self.patterns.T @ self._drive.strains).T)
        driven = np.stack((np.broadcast_to(even, values.shape), values + (weight * slopes) @ self._fields), axis=-1)
        found = self._answered(answers, weight, driven)
        sums = np.einsum("mpk,p->mk", found, even)
        alone = found[..., 0] * (total / sums[:, 0])[:, None]
        each = alone + found[..., 1] - found[..., 0] * (sums[:, 1] / sums[:, 0])[:, None]
        return each, alone, weight * (each @ self._fields.T - slopes)

    def _answered(self, answers: StrandAnswers, weight: ComplexArray, driven: ComplexArray) -> ComplexArray:
        """Amplitudes of the patterns of currents, (m, p, 2)."""
        u, maps = self.patterns, self._drive.maps
        strain = maps.change(u.astype(complex))
        rigid, bent = u.T @ maps.distances(u), 0.5 * (strain.conj().T @ strain).real
        products = (self._fields[:, :, None] * self._fields[:, None]).reshape(len(self.poles), -1)
        found, same = np.empty_like(driven), np.arange(len(rigid))
        step = max(1, SOME // rigid.size)
        for some in (slice(k, k + step) for k in range(0, len(driven), step)):
            system = (weight.real[some] @ products + 1j * (weight.imag[some] @ products)).reshape(-1, *rigid.shape)
            system += rigid + answers.strain[some, None, None] * bent
            system[:, same, same] += answers.level[some, None]
            found[some] = np.linalg.solve(system, driven[some])
        return found


def _spread(frequency: FloatArray) -> IntArray:
    """Numbers of a sample of frequencies, evenly in their logarithms."""
    wanted = np.geomspace(frequency.min(), frequency.max(), SAMPLE)
    return np.unique([int(np.abs(np.log(frequency / at)).argmin()) for at in wanted])


@lru_cache(maxsize=4)  # of bundles alike
def _by_themselves(strands: Strands, area: float, conductivity: float, frequency: bytes) -> list[ComplexArray]:
    """What strands with nothing beside them carry at some frequencies; see `StrandDrive.solved`."""
    at, drive = np.frombuffer(frequency), strand_drive(strands.count, strands.layout)
    answers = StrandAnswers.of(strands, area, conductivity, at)
    return [drive.solved(answers, number, None) for number in range(len(at))]


def _times(amplitudes: ComplexArray, patterns: FloatArray) -> ComplexArray:
    """Their product, by parts: real patterns need not be made complex."""
    found = np.empty((len(amplitudes), patterns.shape[1]), dtype=complex)
    found.real, found.imag = amplitudes.real @ patterns, amplitudes.imag @ patterns
    return found


def _vectors(columns: FloatArray) -> ComplexArray:
    """Plane vectors, x above y, as complex ones."""
    half = len(columns) // 2
    return np.asarray(columns[:half] + 1j * columns[half:])
