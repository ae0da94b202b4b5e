"""What a meter's data sheet promises, as standard uncertainties at the frequencies of a reading.

A data sheet gives bounds; a bound says nothing of where inside them the error lies, so that it stands for a uniform
distribution, whose standard deviation is the bound over the root of 3 (JCGM 100:2008, GUM, 4.3.7).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray

UNIFORM = 1 / math.sqrt(3)


@dataclass(frozen=True)
class MeterRange:
    """The accuracy of a meter up to a frequency.

    Attributes
    ----------
    to : float
        Highest frequency it holds at [Hz]; infinite for the last.
    share : float
        Bound on the error over the magnitude of the impedance, in R and in X alike.
    floor : float
        Bound on what is wrong beside that [ohm], in R and in X.
    """

    to: float
    share: float
    floor: float = 0.0


@dataclass(frozen=True, eq=False)
class MeterErrors:
    """Standard uncertainties at every frequency.

    Attributes
    ----------
    gain : (n,) float
        Of the magnitude, relative; as much of the phase [rad].
    floor : (n,) float
        [ohm]
    ranges : (n,) int
        Number of the range that each frequency belongs to.
    """

    gain: FloatArray
    floor: FloatArray
    ranges: IntArray


def errors_at(frequencies: FloatArray, ranges: Sequence[MeterRange]) -> MeterErrors:
    """Of ranges with rising ends, the last of which reaches as far as the frequencies do.

    Examples
    --------
    >>> found = errors_at(np.array([1e3, 1e5]), [MeterRange(1e4, 0.001), MeterRange(np.inf, 0.01, 3e-6)])
    >>> (np.sqrt(3) * found.gain).round(6).tolist(), found.ranges.tolist()
    ([0.001, 0.01], [0, 1])
    """
    number = np.searchsorted([one.to for one in ranges], frequencies)
    share, floor = (np.array([getattr(one, key) for one in ranges]) for key in ("share", "floor"))
    return MeterErrors(UNIFORM * share[number], UNIFORM * floor[number], number)
