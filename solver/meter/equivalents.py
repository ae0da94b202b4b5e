"""What meters show of an impedance, and the series impedance it stands for.

An impedance Z = R + j X, X = w L, has the quality Q = X / R = 1 / D. In parallel, 1 / Z = 1 / Rp + 1 / (j w Lp).
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

Quantity = Literal["Rs", "Xs", "Ls", "Rp", "Xp", "Lp", "Z", "phase", "Q", "D"]
# Pairs that fix an impedance, the one that loses least in its digits first.
PAIRS: tuple[tuple[Quantity, Quantity], ...] = (
    ("Rs", "Xs"), ("Rs", "Ls"), ("Rp", "Xp"), ("Rp", "Lp"), ("Z", "phase"), ("Ls", "Q"), ("Ls", "D"), ("Rs", "Q"),
    ("Rs", "D"), ("Xs", "Q"), ("Xs", "D"), ("Lp", "Q"), ("Lp", "D"), ("Rp", "Q"), ("Rp", "D"), ("Z", "Q"), ("Z", "D"),
)  # fmt: skip


def impedance(first: Quantity, second: Quantity, one: FloatArray, other: FloatArray, omega: FloatArray) -> ComplexArray:
    """The series impedance of a pair of `PAIRS`.

    Parameters
    ----------
    first, second : Quantity
        What both are.
    one, other : (n,) float
        [ohm], [H], [rad] or pure numbers.
    omega : (n,) float
        [rad/s], above 0.

    Returns
    -------
    (n,) complex
        [ohm]

    Examples
    --------
    >>> [complex(z) for z in impedance("Z", "phase", np.array([2.0]), np.array([np.pi / 2]), np.array([1.0])).round(9)]
    [2j]
    """
    found = np.empty(len(omega), dtype=complex)
    if second == "phase":
        found[:] = one * np.exp(1j * other)
    elif second in ("Q", "D"):
        found[:] = _of_quality(first, omega * one if first[0] == "L" else one, other if second == "Q" else 1 / other)
    else:
        reactance = other if second[0] == "X" else omega * other
        found[:] = one + 1j * reactance if first == "Rs" else 1 / (1 / one - 1j / reactance)
    return found


def _of_quality(first: Quantity, size: FloatArray, quality: FloatArray) -> ComplexArray:
    """From R, X or |Z| [ohm] and Q."""
    if first == "Z":
        return np.asarray(size / np.sqrt(1 + quality**2) * (1 + 1j * quality), dtype=complex)
    if first in ("Rs", "Rp"):
        return size * (1 + 1j * quality) if first == "Rs" else size / (1 - 1j * quality)
    return size * (1 / quality + 1j) if first in ("Xs", "Ls") else size / (1 / quality - 1j)
