"""Where the strands of a bundle lie: places of a layout, and rings."""

from __future__ import annotations

import math
from functools import cache
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .strand_rings import ring_counts, ring_radii

Layout = Literal["hexagonal", "square", "rings"]
# share of round strands that touch, which rings have in places
DENSEST = {layout: math.pi / (2 * math.sqrt(3)) for layout in ("hexagonal", "rings")} | {"square": math.pi / 4}
# steps of the lattices at pitch 1
BASES: dict[Layout, FloatArray] = {
    "hexagonal": np.array([[1.0, 0.0], [0.5, math.sqrt(3) / 2]]),
    "square": np.array([[1.0, 0.0], [0.0, 1.0]]),
}
RESOLVED = 37  # up to so many strands of one level each is solved for
TURNED = 0.37  # how far each ring is turned on from the one within, in its own steps: no two in line
_SAME = 9  # decimals of the pitch to which distances are told apart
# what shells may lie round: a strand, the middle between two, that of a cell, in steps of the lattice
_MIDDLES: dict[Layout, FloatArray] = {
    "hexagonal": np.array([[0.0, 0.0], [0.5, 0.0], [1 / 3, 1 / 3]]),
    "square": np.array([[0.0, 0.0], [0.5, 0.0], [0.5, 0.5]]),
}


@cache
def strand_places(count: int, layout: Layout) -> FloatArray:
    """Places of strands about the middle of all of them at pitch 1, (count, 2).

    Parameters
    ----------
    count : int
    layout : "hexagonal", "square" or "rings"
        Rings: see `strand_rings.ring_counts`. Hexagonal: full shells round a middle strand, the first neighbour on the
        x axis. Square: k x k where that is the count. Else the places nearest a strand, the middle between two or that
        of a cell, equal ones by angle: whichever needs the smallest circle.

    Examples
    --------
    >>> [float(x) for x in strand_places(7, "hexagonal")[1]]
    [1.0, 0.0]
    >>> strand_places(4, "square").tolist()
    [[-0.5, -0.5], [0.5, -0.5], [-0.5, 0.5], [0.5, 0.5]]
    """
    if layout == "rings":
        return np.concatenate([
            radius * np.column_stack((np.cos(angle), np.sin(angle)))
            for ring, (number, radius) in enumerate(zip(ring_counts(count), ring_radii(count), strict=True))
            for angle in [2 * math.pi * (np.arange(number) + TURNED * ring) / number]
        ])  # fmt: skip
    side = math.isqrt(count)
    if layout == "square" and side * side == count:
        line = np.arange(side) - (side - 1) / 2
        return np.stack(np.meshgrid(line, line), axis=-1).reshape(-1, 2)
    reach = np.arange(-side - 2, side + 3)
    steps = np.stack(np.meshgrid(reach, reach), axis=-1).reshape(-1, 2).astype(float)
    across = BASES[layout]
    if layout == "hexagonal" and math.isqrt(12 * count - 3) ** 2 == 12 * count - 3:  # 1 + 3 k (k + 1) in k shells
        shell = np.abs(np.column_stack((steps, steps.sum(axis=1)))).max(axis=1)
        return _nearest(steps[3 * shell * (shell + 1) < count] @ across, count)
    found = [_nearest(steps @ across - middle @ across, count) for middle in _MIDDLES[layout]]
    return min(found, key=lambda places: float(np.hypot(*places.T).max().round(_SAME)))


def _nearest(places: FloatArray, count: int) -> FloatArray:
    """Those nearest the origin, moved to the middle of all of them."""
    angles = np.arctan2(places[:, 1], places[:, 0]) % (2 * math.pi)
    order = np.lexsort((angles.round(_SAME), np.hypot(*places.T).round(_SAME)))
    nearest = places[order[:count]]
    return np.asarray(nearest - nearest.mean(axis=0)) + 0.0


def rings(count: int, layout: Layout) -> tuple[int, ...]:
    """Number of the ring of every strand from 0 on: those at the same distance from the middle, the innermost first.

    Examples
    --------
    >>> rings(7, "hexagonal")
    (0, 1, 1, 1, 1, 1, 1)
    """
    if layout == "rings":
        return tuple(ring for ring, number in enumerate(ring_counts(count)) for _ in range(number))
    distances = np.hypot(*strand_places(count, layout).T).round(_SAME)
    return tuple(np.unique(distances, return_inverse=True)[1].tolist())


def reach(count: int, layout: Layout) -> float:
    """Distance of the outermost strand from the middle, in pitches.

    Examples
    --------
    >>> reach(19, "hexagonal")
    2.0
    """
    if layout == "rings":
        return float(ring_radii(count)[-1])
    return float(np.hypot(*strand_places(count, layout).T).max())


def cell_area(pitch: float, layout: Layout) -> float:
    """What a strand takes of the area, its share of the gaps included [m2].

    Examples
    --------
    >>> cell_area(2.0, "square")
    4.0
    """
    return pitch**2 * {"square": 1.0, "hexagonal": math.sqrt(3) / 2, "rings": math.pi / 3}[layout]
