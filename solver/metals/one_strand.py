"""One round strand: its skin, its answer to the fields of others, the Bessel functions of both."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import ComplexArray

from .depth import MU0

Numbers = npt.NDArray[Any]  # real or complex


def skin_factor(diameter: float, conductivity: float, frequency: float) -> float:
    """Resistance of a round strand alone over that to direct current: Bessel's solution, any textbook.

    Examples
    --------
    >>> skin_factor(1e-3, 58e6, 0.0), round(skin_factor(1e-3, 58e6, 1e6), 3)
    (1.0, 4.045)
    """
    z = _in_skins(diameter, conductivity, frequency)
    return float((z / 2 / bessel_ratio(z)).real) if z else 1.0


def surface_densities(diameter: float, conductivity: float, frequency: float) -> tuple[complex, complex]:
    """Density at the surface of a round strand: for 1 A of its own [A/m2], and the largest for 1 T across it.

    Bessel's solutions for a wire and for a cylinder across an even alternating field (any textbook).

    Examples
    --------
    At low frequency the current fills the strand, and the field induces w sigma B times the radius:

    >>> own, across = surface_densities(1e-4, 58e6, 1e3)
    >>> round(own.real * 1e-6), round(abs(across) / (2 * math.pi * 1e3 * 58e6 * 0.5e-4), 3)
    (127, 1.0)
    """
    z, radius = _in_skins(diameter, conductivity, frequency), diameter / 2
    if not z:
        return 1 / (math.pi * radius**2) + 0j, 0j
    ratio = bessel_ratio(z)
    turning = 2j * math.pi * frequency * conductivity
    return complex(z / ratio / (2 * math.pi * radius**2)), complex(2 * radius * turning * ratio / z)


def _in_skins(diameter: float, conductivity: float, frequency: float) -> complex:
    """Radius of a strand in skin depths, times 1 + j."""
    return complex((1 + 1j) * diameter / 2 * math.sqrt(math.pi * frequency * MU0 * conductivity))


def strained(diameter: float, conductivity: float, frequency: Numbers) -> ComplexArray:
    """What a strand answers to a field that changes across it: -I3(z) / I1(z)."""
    found = np.zeros(len(frequency), dtype=complex)
    on = frequency != 0
    if on.any():
        ratio = ratios(diameter / 2 * np.sqrt(2j * math.pi * frequency[on] * MU0 * conductivity), 2)
        found[on] = -ratio[2] * ratio[1]
    return found


def bessel_ratio(z: complex) -> complex:
    """I1(z) / I0(z)."""
    return complex(ratios(np.array([z]), 0)[0, 0])


def ratios(z: ComplexArray, highest: int) -> ComplexArray:
    """I(n+1) / I(n) at z (m,), (highest + 1, m), by the recurrence downwards, which no small or large z upsets."""
    start = highest + 30 + int(2 * np.abs(z).max())
    found = np.zeros((start + 1, len(z)), dtype=complex)
    for n in range(start, 0, -1):
        found[n - 1] = 1 / (2 * n / z + found[n])
    return found[: highest + 1]
