"""The uncertainty of amounts, with the doubt which causes there are.

As few causes as explain a difference leave small ones out. What those would do to the amounts that are told is known
from fits with each of them: an amount is stated so that twice its uncertainty holds 95 % of what all of them say, each
as likely as it is (S. T. Buckland, K. P. Burnham, N. H. Augustin, Biometrics 53, 603-618, 1997, for the average over
models; D. Turek, D. Fletcher, Computational Statistics & Data Analysis 56, 2809-2815, 2012, for its interval; from
memory). Where more is left than uncertainties let expect, they grow by the root of that. The amounts are those of least
squares within bounds: what is usual serves to choose among causes, and would draw amounts to itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import erf, exp, sqrt

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .causes import PhysicalCause
from .fit import Differing, Fit, fitted
from .judge import Rated, apart

TWICE = 2.0  # standard uncertainties that are stated as an interval
HELD = erf(TWICE / sqrt(2))  # share of a normal distribution within it
FAR = 6.0  # standard deviations beyond which a normal distribution has nothing
HALVINGS = 50
HARDLY = 1e-4  # of the likeliest: fits below say nothing


@dataclass(frozen=True, eq=False)
class Doubted:
    """An explanation with its amounts as they are told.

    Attributes
    ----------
    rated : Rated
        Its amounts within their bounds, usual or not.
    spread : (k,) float
        One standard uncertainty of every parameter, in its own unit.
    """

    rated: Rated
    spread: FloatArray


def doubted(given: Differing, causes: Sequence[PhysicalCause], one: Rated) -> Doubted:
    """An explanation beside all that hold one cause more.

    Parameters
    ----------
    given : Differing
    causes : sequence of PhysicalCause
        All that may be there.
    one : Rated
        Of some of them.
    """
    base, own = replace(given, calculated=one.fit.base), one.fit.keys
    told = Rated.of(fitted(base, one.fit.causes, one.fit, own), given)
    further = [[*one.fit.causes, other] for other in causes if other.key not in own]
    rivals = [Rated.of(fitted(base, some, told.fit, own), given) for some in further if apart(some)]
    most = max(each.worth for each in (told, *rivals))
    weighted = [(each.fit, exp(each.worth - most)) for each in (told, *rivals)]
    return Doubted(told, _spread(told.fit, [(fit, weight) for fit, weight in weighted if weight > HARDLY]))


def stretched(one: Rated) -> Doubted:
    """One that does not hold: its amounts with what it leaves, and no further doubt."""
    return Doubted(one, one.fit.stretch * np.sqrt(np.diag(one.fit.covariance)))


def _spread(told: Fit, near: Sequence[tuple[Fit, float]]) -> FloatArray:
    found = np.empty(len(told.values))
    for cause in told.causes:
        for k, place in enumerate(range(*told.of(cause).indices(len(found)))):
            parts = []
            for fit, weight in near:
                same = fit.of(cause).start + k
                off = abs(float(fit.values[same] - told.values[place]))
                parts.append((weight, off, fit.stretch * sqrt(fit.covariance[same, same])))
            found[place] = half_width(parts) / TWICE
    return found


def half_width(parts: Sequence[tuple[float, float, float]]) -> float:
    """Half the width, about 0, that holds as much of a mixture of normal distributions as twice its deviation of one.

    Parameters
    ----------
    parts : sequence of (float, float, float)
        Weight, distance of its middle from 0, standard deviation above 0.

    Examples
    --------
    >>> round(half_width([(1.0, 0.0, 3.0)]), 9), half_width([(0.5, 0.0, 1.0), (0.5, 0.0, 2.0)]) > 3
    (6.0, True)
    """
    wanted = HELD * sum(weight for weight, _, _ in parts)
    low, high = 0.0, max(off + FAR * deviation for _, off, deviation in parts)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        held = sum(
            0.5 * weight * (erf((middle - off) / (deviation * sqrt(2))) + erf((middle + off) / (deviation * sqrt(2))))
            for weight, off, deviation in parts
        )
        low, high = (middle, high) if held < wanted else (low, middle)
    return high
