"""How figures spread with their causes: by slopes, checked at the worst corners; by more solves where needed."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from contextlib import suppress
from dataclasses import dataclass
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.postprocess.answers.limits import Verdict

from .tolerance_corners import Corners, at_corners
from .tolerance_figures import FigureKey
from .tolerance_response import FEW, Polynomial, along_each, fill, with_products
from .tolerance_slopes import EXACT
from .tolerance_trials import Trials

# shares of half a band's width. More is solved where corners are missed by the first, by the second where slopes at
# corners were made use of; these count where they bend a figure by the third: 95 % limits stay within 3 % of the width
MISSED, MISSED_BY_SLOPES, BENT = 0.05, 0.03, 0.025
Order = Literal["first", "second by slopes", "second", "second with products"]
Polynomials = Mapping[FigureKey, Polynomial]


class NoSpread(CrosscurrentError):
    """A cause at one end of its tolerance makes no sound case."""


@dataclass(frozen=True, eq=False)
class Spread:
    """What was found.

    Attributes
    ----------
    responses : mapping of FigureKey to Polynomial
        Of the figures that have a band.
    order : str
        Of the responses.
    checked : FigureKey or None
        The figure whose worst corners were solved; None where nothing varies.
    missed : float or None
        By how much the responses missed the figures there, the computing bars left out, over half of the band's width;
        None where no corner has a sound case.
    """

    responses: Polynomials
    order: Order
    checked: FigureKey | None
    missed: float | None


def spread(
    nominal: Mapping[FigureKey, Measured], verdicts: Mapping[FigureKey, Verdict], first: Mapping[FigureKey, FloatArray],
    by_ends: Collection[int], trials: Trials,
) -> Spread:  # fmt: skip
    """How every figure goes with the causes.

    Parameters
    ----------
    nominal, verdicts : mapping
        The figures with every cause at its nominal value.
    first : mapping of FigureKey to (causes,) float
        What each cause at its upper end adds, to first order.
    by_ends : collection of int
        Causes whose both ends are solved at once, because some figure has no slope over them.
    trials : Trials

    Raises
    ------
    NoSpread
    """
    count = len(trials.causes)
    order: Order = "second" if len(by_ends) == count else "first"
    found = _along(nominal, first, by_ends, trials)
    checked = _most_important(found, verdicts)
    if checked is None:
        return Spread(found, order, None, None)
    worst: Corners = [found[checked].extreme(sign) for sign in (-1, 1)]
    corners: Mapping[FigureKey, Corners] = dict.fromkeys(found, worst)
    if order == "first":
        seen = {key: one for key, one in found.items() if key == checked or one.half() > nominal[key].error}
        looked = at_corners(seen, checked, by_ends, trials)
        corners = {**corners, **looked.corners}
        if any(one.bend() > BENT * one.half() for one in looked.bent.values()):
            found, order = {**found, **looked.bent}, "second by slopes"
    allowed = MISSED_BY_SLOPES if order == "second by slopes" else MISSED
    missed = _missed(found, nominal, corners, trials)
    if missed is not None and missed > allowed and order != "second":
        with suppress(NoSpread):  # what slopes say is then all there is
            found, order = _along(nominal, first, range(count), trials), "second"
            corners = dict.fromkeys(found, worst)
            missed = _missed(found, nominal, corners, trials)
    if missed is not None and missed > MISSED and order == "second" and 1 < count <= FEW:
        found, order = _filled(found, trials), "second with products"
        missed = _missed(found, nominal, corners, trials)
    return Spread(found, order, checked, missed)


def _along(
    nominal: Mapping[FigureKey, Measured], first: Mapping[FigureKey, FloatArray], by_ends: Collection[int],
    trials: Trials,
) -> Polynomials:  # fmt: skip
    """Along each cause by itself, by its slope or through both of its ends."""
    causes = len(trials.causes)
    units = np.eye(causes)
    solved = {k: [_end(trials, way * units[k], k) for way in (-1, 1)] for k in by_ends}
    found = {}
    for key, m in nominal.items():
        by_slope = first.get(key, np.zeros(causes))
        ends = m.value + np.outer(by_slope, (-1, 1))
        for k, both in solved.items():
            ends[k] = [end.get(key, np.inf) for end in both]
        if m.known and np.isfinite(ends).all():
            found[key] = along_each(m.value, ends)
    return found


def _end(trials: Trials, place: FloatArray, cause: int) -> dict[FigureKey, float]:
    found = trials.at(place)
    if found is None:
        which = "upper" if place[cause] > 0 else "lower"
        why = trials.refused[tuple(place.tolist())]
        end = f"{trials.causes[cause].key} at the {which} end of its tolerance"
        raise NoSpread(f"{end} makes no sound case ({why}): state a smaller one")
    return found


def _filled(found: Polynomials, trials: Trials) -> Polynomials:
    """With products of causes, from places between."""
    solved = [(u, one) for u in fill(len(trials.causes)) if (one := trials.at(u)) is not None]
    places = np.array([u for u, _ in solved])
    better = {}
    for key, response in found.items():
        values = np.array([one.get(key, np.inf) for _, one in solved])
        better[key] = with_products(response, places, values) if np.isfinite(values).all() else response
    return better


def _most_important(found: Polynomials, verdicts: Mapping[FigureKey, Verdict]) -> FigureKey | None:
    """The figure that comes closest to its limit, or goes furthest beyond; without limits the widest for its size."""
    varying = {key: half for key, one in found.items() if (half := one.half()) > 0}
    limited = {k: found[k].largest() / (v.allowed or np.inf) for k, v in verdicts.items() if k in varying}
    wide = {k: half / abs(found[k].value) for k, half in varying.items() if k.what in EXACT and found[k].value}
    return max(limited or wide, key=lambda k: (limited or wide)[k], default=None)


def _missed(
    found: Polynomials, nominal: Mapping[FigureKey, Measured], corners: Mapping[FigureKey, Corners], trials: Trials
) -> float | None:
    """The largest over all figures; the bars of both solves left out."""
    solved = [(key, u, one) for key, pair in corners.items() for u in pair if (one := trials.at(u)) is not None]
    off = [
        max(abs(one[key] - float(found[key].at(u))) - 2 * nominal[key].error, 0.0) / half
        for key, u, one in solved
        if key in one and (half := found[key].half()) > 0
    ]
    return max(off, default=0.0) if solved else None
