"""Straight strands lie in rows: the smooth medium that answers as rows do, also where the current crowds within a few.

A row of strands has one density across its spacing h, whatever the field does within it. With E = zeta J of the medium,
zeta its resistivity and mu its permeability, Ampere's and Faraday's laws from row to row are

    K(n+1) - 2 K(n) + K(n-1) = q (K(n+1) + 4 K(n) + K(n-1)) / 6,    q = j w mu0 mu h^2 / zeta,

which cosh and sinh of 2 x n solve, 4 sinh^2 x = q / (1 - q / 6). In fields along the rows a smooth medium of the
permeability mu x coth x and the conductivity (4 x tanh x / q) / zeta has the same E and H at the edges of all rows and
of the whole, however thick, whatever the fields on both sides are. That permeability by itself may seem to give power:
what the medium takes as a whole is what the rows take.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray

from .depth import MU0
from .one_strand import Numbers

# spacing squared over the area of a cell: of the densest rows, of rings
FLAT = {"hexagonal": math.sqrt(3) / 2, "square": 1.0, "rings": 3 / math.pi}


@dataclass(frozen=True)
class Rows:
    """What strands are by themselves, for which a medium stands that answers as rows of them do.

    Attributes
    ----------
    permeability : complex
        Of the mean field in them, relative.
    impedance : complex
        Of all in parallel, beyond that field [ohm/m].
    """

    permeability: complex
    impedance: complex


def smooth_rows(
    permeability: ComplexArray, resistivity: ComplexArray, spacing: float, frequency: Numbers
) -> tuple[ComplexArray, ComplexArray]:
    """What multiplies the permeability and the resistivity of the medium of strands that lie in rows.

    Parameters
    ----------
    permeability : (m,) complex
        Of the medium, relative.
    resistivity : (m,) complex
        E over J of the medium [ohm m].
    spacing : float
        From row to row [m].
    frequency : (m,) float or complex
        [Hz]; s / (2 pi j) for a field that changes as exp(s t).

    Returns
    -------
    softer, thicker : (m,) complex

    Examples
    --------
    Rows much thinner than a skin are smooth:

    >>> softer, thicker = smooth_rows(np.ones(2), np.array([1.7e-8, 1.7e-8]), 1e-5, np.array([0.0, 1e4]))
    >>> abs(softer - 1).round(6).tolist(), abs(thicker - 1).round(6).tolist()
    ([0.0, 3.9e-05], [0.0, 0.0])
    """
    q = row_steps(permeability, resistivity, spacing, frequency)
    softer, thicker = np.ones((2, len(q)), dtype=complex)
    on = q != 0
    x = np.arcsinh(np.sqrt(q[on] / (1 - q[on] / 6)) / 2)
    softer[on], thicker[on] = x / np.tanh(x), q[on] / (4 * x * np.tanh(x))
    return softer, thicker


def row_steps(
    permeability: ComplexArray, resistivity: ComplexArray, spacing: float, frequency: Numbers
) -> ComplexArray:
    """q, (m,): what a row adds to the field, over the field; see `smooth_rows`."""
    return np.asarray(2j * math.pi * frequency * MU0 * permeability * spacing**2 / resistivity)
