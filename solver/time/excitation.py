"""Currents in time as sums of exponentials: a short-circuit current, a half-wave of a sine, a step."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

ROOT2 = math.sqrt(2)


@dataclass(frozen=True)
class Term:
    """Re amplitude exp(rate (t - start)) from `start` on, nothing before [A, 1/s, s]."""

    amplitude: complex
    rate: complex
    start: float = 0.0


@dataclass(frozen=True)
class Excitation:
    """A current that is nothing before t = 0 and a sum of exponentials after it.

    Attributes
    ----------
    terms : tuple of Term
    duration : float
        For which it is followed [s].

    Examples
    --------
    >>> full = offset(1000.0, 50.0, 0.045, 0.2)
    >>> round(float(full.current(np.linspace(0, 0.02, 401)).max()))  # 1.8 x 1.414 x rms at 10 ms
    2549
    """

    terms: tuple[Term, ...]
    duration: float

    def current(self, times: FloatArray) -> FloatArray:
        """At times (m,) [s], (m,) [A]."""
        return self._summed(times, 0)

    def slope(self, times: FloatArray) -> FloatArray:
        """Its derivative where it has one, (m,) [A/s]."""
        return self._summed(times, 1)

    def _summed(self, times: FloatArray, derivative: int) -> FloatArray:
        total = np.zeros(len(times))
        for term in self.terms:
            since = np.maximum(times - term.start, 0)
            factor = term.amplitude * term.rate**derivative
            total += np.where(times >= term.start, (factor * np.exp(term.rate * since)).real, 0.0)
        return total

    @property
    def period(self) -> float:
        """Of its fastest oscillation; infinite for none, or where it is gone before it turns [s]."""
        fastest = max((abs(t.rate.imag) for t in self.terms if abs(t.rate.imag) > -t.rate.real), default=0.0)
        return 2 * math.pi / fastest if fastest else math.inf


def offset(
    rms: float, frequency: float, time_constant: float, duration: float, *, angle: float = -math.pi / 2
) -> Excitation:
    """A short-circuit current: a sine of a steady rms value and the direct current that lets it begin at zero.

    Parameters
    ----------
    rms, frequency : float
        Of the steady part [A], [Hz].
    time_constant : float
        With which the direct current decays [s].
    duration : float
        [s]
    angle : float
        Phase of the sine at t = 0 [rad]; at -90 degrees the direct current is largest.

    Examples
    --------
    Half a period after its beginning:

    >>> round(float(offset(1000.0, 50.0, 0.045, 0.2).current(np.array([0.01]))[0]), 1)
    2546.6
    """
    amplitude = ROOT2 * rms
    steady = Term(-1j * amplitude * complex(math.cos(angle), math.sin(angle)), 2j * math.pi * frequency)
    return Excitation((steady, Term(-amplitude * math.sin(angle), -1 / time_constant)), duration)


def half_sine(rms: float, frequency: float, duration: float) -> Excitation:
    """One half-wave of a sine of an rms value [A] and frequency [Hz], then nothing while the eddies die away.

    Examples
    --------
    >>> [round(float(i), 4) for i in half_sine(100.0, 50.0, 0.02).current(np.array([0.005, 0.015]))]
    [141.4214, 0.0]
    """
    amplitude, turning = -1j * ROOT2 * rms, 2j * math.pi * frequency
    return Excitation((Term(amplitude, turning), Term(amplitude, turning, 0.5 / frequency)), duration)


def step(current: float, duration: float) -> Excitation:
    """A direct current [A] that is there at once.

    Examples
    --------
    >>> step(5.0, 1.0).current(np.array([-1.0, 0.5])).tolist()
    [0.0, 5.0]
    """
    return Excitation((Term(current, 0.0),), duration)
