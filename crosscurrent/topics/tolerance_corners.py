"""What slopes at the worst corners say: how figures bend along their causes, without a solve for each of their ends."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .tolerance_figures import FigureKey
from .tolerance_response import Polynomial
from .tolerance_trials import Trials

NEARLY = 0.01  # of half a band, by which a figure is missed or bends at another's corners: it then gets its own
ALIKE = 0.9  # of half a band: figures that reach so much of it at the corners of another have those corners
PAIRS = 3  # of corners at most
Corners = Sequence[FloatArray]


@dataclass(frozen=True, eq=False)
class AtCorners:
    """Figures bent as their slopes at the corners say.

    Attributes
    ----------
    bent : mapping of FigureKey to Polynomial
    corners : mapping of FigureKey to sequence of (causes,) float
        The two at which each was looked at.
    """

    bent: Mapping[FigureKey, Polynomial]
    corners: Mapping[FigureKey, Corners]


def at_corners(
    found: Mapping[FigureKey, Polynomial], checked: FigureKey, by_ends: Collection[int], trials: Trials
) -> AtCorners:
    """Solve the worst corners of one figure, and those of figures that have others and are not straight.

    Parameters
    ----------
    found : mapping of FigureKey to Polynomial
        Straight along all causes but those `by_ends`.
    checked : FigureKey
        Whose corners are solved in any case.
    by_ends : collection of int
        Causes that keep the bend that they have.
    trials : Trials
    """
    pairs: list[Corners] = []
    corners, bent = {}, {}
    for key in (checked, *(k for k in found if k != checked)):
        one = found[key]
        near = max(pairs, key=lambda pair: _reach(one, pair), default=None)
        if near is None or (len(pairs) < PAIRS and _has_others(one, key, near, trials)):
            near = [one.extreme(sign) for sign in (-1, 1)]
            pairs.append(near)
            for corner in near:
                trials.at(corner, sloped=True)
        corners[key], bent[key] = near, _bent(one, key, near, by_ends, trials)
    return AtCorners(bent, corners)


def _has_others(one: Polynomial, key: FigureKey, near: Corners, trials: Trials) -> bool:
    """Whether a figure has its worst corners elsewhere, and is not straight where it was looked at."""
    half = one.half()
    if not half or _reach(one, near) >= ALIKE * half:
        return False
    off = [abs(at[key] - float(one.at(u))) for u in near if (at := trials.at(u)) is not None and key in at]
    return max(_bent(one, key, near, (), trials).bend(), *off, 0.0) > NEARLY * half


def _reach(one: Polynomial, pair: Corners) -> float:
    """By how much the slopes change a figure at two corners, in the mean."""
    return float(np.mean([abs(one.slope @ corner) for corner in pair]))


def _bent(one: Polynomial, key: FigureKey, near: Corners, by_ends: Collection[int], trials: Trials) -> Polynomial:
    """So that its slopes at the corners are those of the fields there.

    What causes bend together counts as what each bends by itself: 95 % limits belong to places near the corners.
    """
    sloped = [(u, at[key]) for u in near if key in (at := trials.slopes.get(tuple(u.tolist()), {}))]
    if not sloped:
        return one
    own = np.diag(one.curvature).copy()
    free = [k for k in range(len(own)) if k not in by_ends]
    own[free] = np.mean([(slope - one.slope)[free] / (2 * u[free]) for u, slope in sloped], axis=0)
    return Polynomial(one.value, one.slope, np.diag(own))
