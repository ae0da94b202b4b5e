"""Impedance of parallel round wires by multipoles, each scattered by all others: a reference outside of the package.

Any textbook on the scattering of cylinders; held against the rows of references/bundle_values.csv, which were made by
others, in `tests/solver/metals/test_strand_rings.py`.
"""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import numpy.typing as npt
from scipy.special import ive

MU0, ORDERS = 4e-7 * math.pi, 5
Complex = npt.NDArray[np.complex128]


def impedance(
    places: npt.NDArray[Any], groups: list[list[int]], diameter: float, conductivity: float, frequency: float
) -> Complex:
    """Between groups of wires whose members share evenly, without the flux beyond 1 m, (groups, groups) [ohm/m].

    Parameters
    ----------
    places : (n,) complex
        Middles of the wires [m].
    groups : list of list of int
    diameter, conductivity, frequency : float
        [m], [S/m], [Hz]
    """
    count, radius, omega = len(places), diameter / 2, 2 * math.pi * frequency
    z = (1 + 1j) * radius * math.sqrt(math.pi * frequency * MU0 * conductivity)
    answer = np.repeat([-ive(n + 1, z) / ive(n - 1, z) for n in range(1, ORDERS + 1)], count)
    share = np.zeros((count, len(groups)))
    for number, members in enumerate(groups):
        share[members, number] = 1 / len(members)
    off = 1 - np.eye(count)
    away = places[:, None] - places + np.eye(count)
    near = [np.ones_like(away), *((radius / away) ** k * off for k in range(1, 2 * ORDERS + 1))]
    moved = np.block([
        [math.comb(n + m - 1, m) * (-1) ** m * near[n + m] for n in range(1, ORDERS + 1)]
        for m in range(1, ORDERS + 1)
    ])  # fmt: skip
    driven = np.concatenate([MU0 / (4 * math.pi) * (-1) ** m / m * near[m] @ share for m in range(1, ORDERS + 1)])
    onto, back = answer[:, None] * moved, answer[:, None] * moved.conj()
    source, mirrored = answer[:, None] * driven, answer[:, None] * driven.conj()
    right = np.linalg.solve(np.eye(len(onto)) - back @ onto, back @ source + mirrored)
    left = onto @ right + source
    potential = -MU0 / (2 * math.pi) * (np.log(np.abs(away)) * off @ share + math.log(radius) * share)
    for n in range(1, ORDERS + 1):
        rows = slice((n - 1) * count, n * count)
        potential = potential + near[n] @ right[rows] + near[n].conj() @ left[rows]
    own = z / 2 * ive(0, z) / ive(1, z) / (conductivity * math.pi * radius**2)
    return np.asarray(share.T @ (own * share + 1j * omega * potential))


def joined(matrix: Complex) -> complex:
    """Of all groups in parallel [ohm/m]."""
    return complex(1 / np.linalg.solve(matrix, np.ones(len(matrix))).sum())
