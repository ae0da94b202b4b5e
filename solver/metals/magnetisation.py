"""Magnetisation curves, and the permeability that a sine of field strength meets in them at its own frequency.

Sources: J = c H / (1 + c H / J_s) of O. Froelich, 1881, from memory. The effective permeability is that of the
fundamental: of B where H is a sine, or of H where B is one; without hysteresis both are in phase.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, Self

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .depth import MU0

Sine = Literal["H", "B"]  # which of both is a sine
Law = Literal["H", "B", "none"]  # or both at rest

CURIE = 770.0  # of iron, above which it counts as air [degC]; common practice, no source
WAY = 160  # instants of a quarter of a period
STRENGTHS = (1e-4, 1e4, 400)  # of the tabulated crests, over those of the curve's first and last point; and how many
KNEE = (1e-7, 1e5, 600)  # strengths of Froelich's curve over J_s / c, at which the magnetisation is half of J_s


@dataclass(frozen=True)
class Magnetisation:
    """Flux density over field strength, rising from 0; without hysteresis.

    Parameters
    ----------
    strength : tuple of float
        H, rising and positive [A/m].
    flux : tuple of float
        B there [T], rising by at least mu0 times the rise of H. Below the first point the permeability is that of the
        point, beyond the last B rises as in air.
    """

    strength: tuple[float, ...]
    flux: tuple[float, ...]

    @classmethod
    def froelich(cls, initial: float, saturation: float) -> Self:
        """By initial relative permeability, above 1, and saturation of the magnetisation J [T].

        Examples
        --------
        >>> curve = Magnetisation.froelich(1000.0, 2.0)
        >>> round(curve.initial, 1), round(float(curve.density(1e9)) - 1e9 * MU0, 3)
        (1000.0, 2.0)
        """
        c = MU0 * (initial - 1)
        h = np.geomspace(*KNEE) * saturation / c
        return cls(tuple(h.tolist()), tuple((MU0 * h + c * h / (1 + c * h / saturation)).tolist()))

    @property
    def initial(self) -> float:
        """Relative permeability of the weakest fields."""
        return self.flux[0] / self.strength[0] / MU0

    def density(self, strength: FloatArray | float) -> FloatArray:
        """B [T] of H [A/m], both at least 0."""
        h, curve = np.asarray(strength, dtype=float), _curve(self)
        inside = curve(np.clip(h, 0.0, self.strength[-1]))
        return np.asarray(inside + MU0 * np.maximum(h - self.strength[-1], 0.0))

    def permeability(self, crest: FloatArray, sine: Law) -> FloatArray:
        """Effective relative permeability for the crest of the fundamental of H [A/m].

        Examples
        --------
        A deep saturation is nearly a square wave, whose fundamental is 4 / pi of it:

        >>> curve = Magnetisation.froelich(1e5, 1.0)
        >>> round(float((curve.permeability(np.array([1e6]), "H")[0] - 1) * MU0 * 1e6), 2)
        1.27
        """
        strength, found = _effective(self, sine)
        return np.asarray(np.exp(np.interp(np.log(np.maximum(crest, strength[0])), np.log(strength), np.log(found))))


@lru_cache(maxsize=16)
def _curve(curve: Magnetisation) -> Callable[[FloatArray], FloatArray]:
    from scipy.interpolate import PchipInterpolator

    interpolated: Callable[[FloatArray], FloatArray] = PchipInterpolator((0.0, *curve.strength), (0.0, *curve.flux))
    return interpolated


@lru_cache(maxsize=48)
def _effective(curve: Magnetisation, sine: Law) -> tuple[FloatArray, FloatArray]:
    """Crests of the fundamental of H [A/m], rising, and the permeability there."""
    low, high, count = STRENGTHS
    h = np.geomspace(low * curve.strength[0], high * curve.strength[-1], count)
    b = curve.density(h)
    if sine == "none":
        return h, b / h / MU0
    way = np.sin((np.arange(WAY) + 0.5) / WAY * np.pi / 2)
    if sine == "H":
        return h, 2 * (curve.density(h[:, None] * way) * way).mean(axis=1) / h / MU0
    fine = np.geomspace(1e-3 * h[0], h[-1], 40 * count)
    of_flux = np.interp(np.log(b[:, None] * way), np.log(curve.density(fine)), np.log(fine))
    first = np.maximum.accumulate(2 * (np.exp(of_flux) * way).mean(axis=1))
    return first, b / first / MU0
