"""What strands and their rings add to the impedance of a bundle, as cells that a current in time can be followed in.

Resistors beside inductors in a row, c s / (s + w), and one inductor: rates spread over all that strands and bundle
have, amplitudes fitted. Some are below zero where the medium's field already counts what a strand has of its own; the
whole takes energy.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.metals.band_medium import SLOWEST, BandMedium
from crosscurrent.solver.metals.depth import MU0

PER_DECADE, BELOW, ABOVE = 8, 0.3, 30.0  # rates; how far they reach beyond those of bundle, strands and band
WATCHED, KEPT = 12, 1e-11  # frequencies per decade; part of the largest singular value that is more than rounding


@dataclass(frozen=True, eq=False)
class StrandExcess:
    """Cells of one bundle.

    Attributes
    ----------
    resistance : (k,) float
        c [ohm/m].
    rates : (k,) float
        w [1/s].
    inductance : float
        Of the rest [H/m].
    error : float
        What they miss of the whole impedance of the strands at most, relative.
    """

    resistance: FloatArray
    rates: FloatArray
    inductance: float
    error: float

    @classmethod
    def of(cls, medium: BandMedium, high: float) -> StrandExcess:
        """Of strands up to a frequency [Hz].

        Examples
        --------
        >>> from crosscurrent.solver.metals.band_medium import band_medium
        >>> from crosscurrent.solver.metals.strands import Strands
        >>> found = StrandExcess.of(band_medium(Strands(420, 1e-4, lay="concentric"), 6e-6, 58e6, 1e5), 1e5)
        >>> found.error < 1e-6
        True
        """
        sigma, whole = medium.conductivity, math.sqrt(medium.area / math.pi)
        slowest = [(SLOWEST / size) ** 2 / (MU0 * sigma) for size in (whole, medium.strands.diameter / 2)]
        ends = math.log10(BELOW * slowest[0]), math.log10(ABOVE * max(slowest[1], 2 * math.pi * high))
        rates = np.logspace(*ends, math.ceil(PER_DECADE * (ends[1] - ends[0])) + 1)
        last = math.log10(2 * math.pi * high)
        omega = np.logspace(min(ends[0], last - 3), last, math.ceil(WATCHED * max(last - ends[0], 3)))
        impedance = medium.over(omega / (2 * math.pi))[1]
        turning = 1j * omega[:, None]
        columns = np.column_stack((turning / (turning + rates), turning / omega[-1])) / np.abs(impedance)[:, None]
        wanted = (impedance - medium.at(0.0).resistance) / np.abs(impedance)
        system, right = np.concatenate((columns.real, columns.imag)), np.concatenate((wanted.real, wanted.imag))
        found = np.asarray(np.linalg.lstsq(system, right, rcond=KEPT)[0], dtype=float)
        error = float(np.abs(columns @ found - wanted).max())
        return cls(found[:-1], np.asarray(rates, dtype=float), float(found[-1] / omega[-1]), error)
