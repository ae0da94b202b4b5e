"""A border of many short sides -> as few as draw the same line."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.outline import Outline

SAME = 1e-9  # turn between lines, or difference of centres as a fraction of the radius, that is none
WIDEST = np.pi / 2 * (1 + 1e-9)  # arc that is kept in one piece [rad]


def tidied(loop: tuple[FloatArray, FloatArray]) -> Outline:
    """An outline without corners on straight lines; arcs of one circle that follow each other become one.

    Parameters
    ----------
    loop : (n, 2) float, (n,) float
        Corners and bulges.

    Examples
    --------
    >>> square = np.array([(0.0, 0), (1, 0), (2, 0), (2, 2), (0, 2), (0, 1)])
    >>> len(tidied((square, np.zeros(6))).points)
    4
    """
    outline = Outline(*loop)
    n = len(outline.points)
    turn, limit = _turns(outline)
    straight, curved = ~outline.curved, outline.curved
    before = np.arange(n) - 1
    smooth = np.abs(turn) < np.maximum(SAME, limit)
    alike = straight & straight[before]
    with np.errstate(invalid="ignore"):
        apart = np.hypot(*(outline.centres - outline.centres[before]).T)
        one_circle = (apart < 1e-7 * outline.radii) & (outline.bulges * outline.bulges[before] > 0)
    needless = smooth & (alike | (curved & curved[before] & one_circle))
    if needless.all():
        needless[0] = False
    keep: list[int] = []
    sweeps: list[float] = []
    first = int(np.flatnonzero(~needless)[0])
    for k in (np.arange(n) + first) % n:
        if needless[k] and keep and abs(sweeps[-1] + outline.sweeps[k]) <= WIDEST:
            sweeps[-1] += float(outline.sweeps[k])
        else:
            keep.append(int(k))
            sweeps.append(float(outline.sweeps[k]))
    return Outline(outline.points[keep], np.tan(np.array(sweeps) / 4))


def _turns(outline: Outline) -> tuple[FloatArray, FloatArray]:
    """Turn of direction at each corner [rad], and what rounding of the coordinates makes of it."""
    n = len(outline.points)
    leaving = outline.at(np.arange(n), 0.0)[1]
    arriving = np.roll(outline.at(np.arange(n), 1.0)[1], 1, axis=0)
    cross = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    shorter = np.minimum(outline.chords, np.roll(outline.chords, 1))
    rounding = 1e-15 * np.abs(outline.points).max() / shorter
    return np.arctan2(cross, (arriving * leaving).sum(axis=1)), 1e2 * rounding + 1e-7 * outline.curved
