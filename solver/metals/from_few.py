"""Values at many frequencies from those at few, of what a network does: a polynomial in the logarithm of frequency.

Passive networks answer smoothly: over log s = log w + j pi/2 the nearest poles of resistances and inductances lie pi/2
away, on the negative real s. A Chebyshev series over a band of log-width 2 h then falls by rho = b + sqrt(1 + b^2) a
term, b = pi/(2 h) (L. N. Trefethen, Approximation Theory and Approximation Practice, ch. 8, from memory). That it did
is looked at, in its last terms and at some of the frequencies.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache

import numpy as np
from numpy.polynomial import chebyshev
from scipy import fft

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

ROUNDING = 1e-14  # what the series is to fall to
LEFT = 1e-12  # of its largest value, that the last terms of an entry and what is looked at may be off, if not told
FAINT = 1e-4  # of the largest of all, below which an entry counts as that: what nothing drives is rounding
WORTH = 2  # times as many frequencies as terms, from which on a series pays
LAST, SEEN = 3, 3  # terms, and frequencies that are looked at


def from_few(
    answered: Callable[[FloatArray], ComplexArray], frequency: FloatArray, left: float = LEFT
) -> ComplexArray:
    """Values of a passive network at frequencies, (m, ...).

    Parameters
    ----------
    answered : callable
        Frequencies (k,) [Hz] -> values (k, ...), smooth over the logarithm of frequency and of one size over a band.
    frequency : (m,) float
        [Hz], positive or 0.
    left : float
        Part of its largest value that an entry may be off.

    Examples
    --------
    >>> frequency = np.geomspace(1e3, 1e6, 500)
    >>> found = from_few(lambda f: 1 / (1 + 1j * f / 3e4), frequency)
    >>> bool(np.abs(found * (1 + 1j * frequency / 3e4) - 1).max() < 1e-11)
    True
    """
    positive = frequency > 0
    at = np.log(frequency[positive])
    middle, half = (0.5 * (at.max() + at.min()), 0.5 * float(np.ptp(at))) if len(at) else (0.0, 0.0)
    terms = math.ceil(-math.log(ROUNDING) / math.asinh(math.pi / (2 * half))) + LAST if half else len(at)
    if len(at) <= WORTH * terms:
        return answered(frequency)
    nodes = np.cos(np.pi * np.arange(terms) / (terms - 1))
    known = answered(np.exp(middle + half * nodes))
    series = _series(known.reshape(terms, -1))
    # real times real: numpy would make the polynomials complex first
    flat = (_polynomials(((at - middle) / half).tobytes(), terms) @ series.view(float)).view(complex)
    found = np.empty((len(frequency), *known.shape[1:]), dtype=complex)
    found[positive] = flat.reshape(-1, *known.shape[1:])
    size = np.abs(known).reshape(terms, -1).max(axis=0)
    size = np.maximum(size, FAINT * size.max())
    seen = np.flatnonzero(positive)[np.linspace(0, len(at) - 1, SEEN + 2).astype(int)[1:-1]]
    off = (found[seen] - answered(frequency[seen])).reshape(SEEN, -1)
    if (np.abs(np.concatenate((series[-LAST:], off))) > left * size).any():
        return answered(frequency)
    if not positive.all():
        found[~positive] = answered(frequency[~positive])
    return found


@lru_cache(maxsize=2)  # every answer of a sweep asks for the same frequencies
def _polynomials(at: bytes, terms: int) -> FloatArray:
    """Chebyshev's, at places (m,) from -1 to 1, (m, terms)."""
    return np.asarray(chebyshev.chebvander(np.frombuffer(at), terms - 1))


def _series(values: ComplexArray) -> ComplexArray:
    """Chebyshev's coefficients of columns of values at cos(pi k / n), (n + 1, k)."""
    found = fft.dct(values.view(float), type=1, axis=0) / (len(values) - 1)
    found[[0, -1]] *= 0.5
    return found.view(complex)
