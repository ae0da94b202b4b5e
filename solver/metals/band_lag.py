"""What lags behind the field alike at every frequency, ferrite above all, over a band of frequencies.

With a permeability that lags by a constant angle the reluctivity is (1 / mu) / lag at every sine and 1 / mu at rest. No
passive network has quite that, so that it is followed from frequency to frequency, as straight strands are.

What does not conduct has no mass, and fields that differ in it alone would count as equal. So it gets a mass of its own
while a basis is made, which is taken back at every frequency: c = 0 of s c M.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .band_medium import TERMS
from .depth import MU0


@dataclass(frozen=True)
class BandLag:
    """A permeability with loss, or none that conducts, over a band.

    Attributes
    ----------
    lag : complex
        The permeability at a sine over that at rest.
    conducts : bool
    """

    lag: complex
    conducts: bool
    error: ClassVar[float] = 0.0  # of what it is over the band

    def over(self, frequency: FloatArray) -> tuple[ComplexArray, ComplexArray]:
        """Permeability over that at rest and impedance [ohm] of its own at frequencies (m,) [Hz], both (m,): none."""
        return np.where(frequency > 0, self.lag, 1.0 + 0j), np.zeros(len(frequency), dtype=complex)

    def conducting(self, frequency: FloatArray) -> ComplexArray:
        """J over E, over what its mass is made with, at frequencies (m,) [Hz], (m,)."""
        return np.full(len(frequency), complex(self.conducts))

    def driven(self, frequency: FloatArray) -> ComplexArray:
        """What a current drives in it beyond what it does at rest, (m,) [ohm]: nothing."""
        return np.zeros(len(frequency), dtype=complex)

    def edge(self, frequency: FloatArray) -> ComplexArray:
        """What the places of strands would add, (m,) [ohm]: nothing."""
        return np.zeros(len(frequency), dtype=complex)

    def sharing(self, rate: ComplexArray) -> tuple[ComplexArray, ComplexArray]:
        """Reluctivity and J over E, over what they are at rest, at s = 0, j w or, without loss, any s (m,) [rad/s]."""
        return np.where(rate == 0, 1.0 + 0j, 1 / self.lag), np.full(len(rate), complex(self.conducts))

    def series(self, rate: complex) -> tuple[ComplexArray, ComplexArray]:
        """Taylor's coefficients of that reluctivity and of s times that conductivity, by (s - rate) / rate, (k,)."""
        constant = np.zeros((2, TERMS), dtype=complex)
        constant[0, 0] = 1 / self.lag
        constant[1, :2] = rate * self.conducts
        return constant[0], constant[1]

    def expands(self, rate: float) -> bool:
        """Whether that series is what it is at frequencies too where the rate is real: without loss."""
        return self.lag == 1

    def with_conductivity(self, factor: float) -> BandLag:
        """The same of a metal whose conductivity is multiplied by a factor."""
        return self


def mass_of_its_own(permeability: float, area: float, high: float) -> float:
    """Conductivity of what does not conduct while a basis is made: its depth is its size at the end of the band [S/m].

    Parameters
    ----------
    permeability : float
        Relative.
    area : float
        [m2]
    high : float
        [Hz]

    Examples
    --------
    >>> round(mass_of_its_own(2000.0, 1e-4, 1e5), 1)
    12.7
    """
    return 1 / (math.pi * max(high, 1.0) * MU0 * permeability * area)
