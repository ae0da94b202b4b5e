"""One period of a current, and its harmonics.

Between its samples the current is taken as straight. Then its harmonics have a closed form, and its rms value and that
of its slope are exact, so that by Parseval's theorem the rest beyond any harmonic is known, not guessed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

MOST = 500  # harmonics


@dataclass(frozen=True, eq=False)
class Spectrum:
    """A periodic current as direct current and sines.

    Attributes
    ----------
    frequency : (m,) float
        [Hz], rising; 0 for direct current.
    phasors : (m,) complex
        [A rms]; i(t) = Re sum sqrt(2) phasor exp(j w t), but the phasor itself at 0 Hz.
    rest : float
        Rms value of what is left out [A].
    steepness : float
        Rms value of its slope [A/s].
    repeats : float
        Frequency with which it repeats [Hz]; 0: that of the lowest sine.
    """

    frequency: FloatArray
    phasors: ComplexArray
    rest: float = 0.0
    steepness: float = 0.0
    repeats: float = 0.0

    @property
    def rms(self) -> float:
        """Of the whole current [A]."""
        return float(np.sqrt((np.abs(self.phasors) ** 2).sum() + self.rest**2))

    def current(self, times: FloatArray) -> FloatArray:
        """At times (m,) [s], without what is left out [A]."""
        turning = np.exp(2j * np.pi * np.outer(times, self.frequency))
        return np.asarray((turning @ (np.where(self.frequency > 0, math.sqrt(2), 1.0) * self.phasors)).real)

    def delayed(self, phase: float) -> ComplexArray:
        """Phasors when the sine it repeats with is turned by a phase [rad] and the harmonics with it, (m,).

        Examples
        --------
        The third harmonics of three phases are alike:

        >>> third = Spectrum(np.array([150.0]), np.array([60.0 + 0j]), repeats=50.0)
        >>> round(float(abs(sum(third.delayed(k * 2 * np.pi / 3)[0] for k in range(3)))), 9)
        180.0
        """
        first = self.repeats or self.frequency[self.frequency > 0].min(initial=math.inf)
        return np.asarray(self.phasors * np.exp(1j * phase * self.frequency / first))


@dataclass(frozen=True, eq=False)
class Samples:
    """One period of a current, straight between samples and from the last to the first of the next period.

    Attributes
    ----------
    times, currents : (k,) float
        [s] rising, less than one period from first to last; [A].
    period : float
        [s]

    Examples
    --------
    >>> triangle = Samples(np.array([0.0, 0.25, 0.75]), np.array([0.0, 1.0, -1.0]), 1.0)
    >>> [round(float(abs(p)), 6) for p in triangle.spectrum(1e-3).phasors[:4]]  # 8 / (pi n)^2 / sqrt(2)
    [0.0, 0.573159, 0.0, 0.063684]
    """

    times: FloatArray
    currents: FloatArray
    period: float

    @cached_property
    def _closed(self) -> tuple[FloatArray, FloatArray]:
        """Times and currents with the first sample of the next period."""
        return np.append(self.times, self.times[0] + self.period), np.append(self.currents, self.currents[0])

    @property
    def rms(self) -> float:
        """[A]"""
        times, i = self._closed
        return float(np.sqrt((np.diff(times) * (i[:-1] ** 2 + i[:-1] * i[1:] + i[1:] ** 2)).sum() / 3 / self.period))

    @property
    def steepness(self) -> float:
        """Rms value of its slope [A/s]."""
        times, i = self._closed
        return float(np.sqrt((np.diff(i) ** 2 / np.diff(times)).sum() / self.period))

    def harmonic(self, order: int) -> complex:
        """Phasor of a harmonic [A rms]; of order 0 the mean [A]."""
        times, i = self._closed
        if order == 0:
            return complex(0.5 * (np.diff(times) * (i[:-1] + i[1:])).sum() / self.period)
        turning = 2j * np.pi * order / self.period
        corners = np.exp(-turning * times)
        slopes = np.diff(i) / np.diff(times)
        return complex(-math.sqrt(2) * (slopes * np.diff(corners)).sum() / (turning**2 * self.period))

    def spectrum(self, wanted: float) -> Spectrum:
        """As many harmonics as it takes for the rest to cost less than a share `wanted` of the loss, about.

        The loss of the rest is taken as if resistance rose with the root of the frequency; the bound that goes with
        the answers assumes no such thing.
        """
        omega, phasors = 2 * np.pi / self.period, [self.harmonic(0)]
        whole, left, slope = self.rms**2, self.rms**2 - abs(phasors[0]) ** 2, self.steepness**2
        for order in range(1, MOST + 1):
            phasors.append(self.harmonic(order))
            power = abs(phasors[-1]) ** 2
            left, slope = left - power, slope - (order * omega) ** 2 * power
            if math.sqrt(order) * slope <= wanted * whole * (order * omega) ** 2:
                break
        return Spectrum(
            np.arange(len(phasors)) / self.period, np.array(phasors), math.sqrt(max(left, 0)), math.sqrt(max(slope, 0))
        )
