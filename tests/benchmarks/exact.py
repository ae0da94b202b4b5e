"""Exact resistances per metre of round conductors: Bessel functions (Kelvin 1889; Schelkunoff 1934), by mpmath."""

from __future__ import annotations

import math

import mpmath as mp

MU0 = 4e-7 * math.pi
mp.mp.dps = 40


def _p(sigma: float, frequency: float) -> mp.mpc:
    return mp.sqrt(1j * 2 * mp.pi * frequency * MU0 * sigma)


def wire_resistance(a: float, sigma: float, frequency: float) -> float:
    """Solid wire of radius a [m]."""
    p = _p(sigma, frequency)
    return float((p / (2 * mp.pi * a * sigma) * mp.besseli(0, p * a) / mp.besseli(1, p * a)).real)


def tube_resistance(a: float, b: float, sigma: float, frequency: float, *, inside: bool = False) -> float:
    """Tube of outer radius a and bore b [m], its return outside or inside."""
    p = _p(sigma, frequency)
    i, k = mp.besseli, mp.besselk
    near, far = (b, a) if inside else (a, b)
    across = i(1, p * a) * k(1, p * b) - i(1, p * b) * k(1, p * a)
    return float(
        (
            p / (2 * mp.pi * near * sigma) * (i(0, p * near) * k(1, p * far) + k(0, p * near) * i(1, p * far)) / across
        ).real
    )


def coax_resistance(a: float, b: float, c: float, sigma: float, frequency: float) -> float:
    """Core of radius a, shield from b to c [m]: the loop."""
    return wire_resistance(a, sigma, frequency) + tube_resistance(c, b, sigma, frequency, inside=True)
