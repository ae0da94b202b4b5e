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

import cmath
import math
from dataclasses import dataclass

from .depth import MU0

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
    permeability: complex, resistivity: complex, spacing: float, frequency: complex
) -> tuple[complex, complex]:
    """What multiplies the permeability and the resistivity of the medium of strands that lie in rows.

    Parameters
    ----------
    permeability : complex
        Of the medium, relative.
    resistivity : complex
        E over J of the medium [ohm m].
    spacing : float
        From row to row [m].
    frequency : float or complex
        [Hz]; see `strands.strand_cell`.

    Examples
    --------
    Rows much thinner than a skin are smooth:

    >>> smooth_rows(1.0, 1.7e-8, 1e-5, 0.0)
    (1.0, 1.0)
    >>> [round(abs(factor - 1), 6) for factor in smooth_rows(1.0, 1.7e-8, 1e-5, 1e4)]
    [3.9e-05, 0.0]
    """
    q = 2j * math.pi * frequency * MU0 * permeability * spacing**2 / resistivity
    if not q:
        return 1.0, 1.0
    x = cmath.asinh(cmath.sqrt(q / (1 - q / 6)) / 2)
    return x / cmath.tanh(x), q / (4 * x * cmath.tanh(x))
