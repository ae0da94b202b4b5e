"""How many round strands lie in a circle, and where: the best place of a lattice, and the densest packings known.

All lengths over the diameter of a strand with its insulation. What holds a number holds every smaller one.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import cache, lru_cache
from itertools import takewhile
from pathlib import Path
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .strand_layout import BASES, RESOLVED, Layout, reach, strand_places
from .strand_rings import full_lays

Packing = Layout | Literal["any"]  # any: as densely as is known, in a lattice or in none
CLOSER = 1 + 1e-9  # than touching, as rounding may put strands
STEPS = 96  # of a lattice's step, to which a middle is looked for
_AROUND = 8  # steps of a lattice round the middle, among which few strands are
_PACKINGS = Path(__file__).with_name("strand_packings.csv")


@lru_cache(maxsize=1024)
def most_in_circle(ratio: float, packing: Packing) -> int:
    """How many strands fit into a circle of so many diameters of one.

    Parameters
    ----------
    ratio : float
        Diameter of the circle over that of a strand.
    packing : "hexagonal", "square", "rings" or "any"
        A lattice wherever its middle is; full rings; or whichever holds most, of up to 91 the densest packings known.

    Notes
    -----
    The packings were searched for anew (tests/benchmarks/strand_packings.py); their circles are those of R. L. Graham,
    B. D. Lubachevsky, K. J. Nurmela and P. R. J. Ostergard, Discrete Mathematics 181, 139-154, 1998, as far as known
    from memory.

    Examples
    --------
    >>> [most_in_circle(ratio, "any") for ratio in (0.9, 1.0, 2.0, 3.0, 4.864, 5.0)]
    [0, 1, 2, 7, 19, 19]
    >>> most_in_circle(4.864, "hexagonal"), most_in_circle(4.9, "rings"), most_in_circle(3.0, "square")
    (16, 16, 5)
    """
    if ratio * CLOSER < 1:
        return 0
    if packing == "rings":
        fitting = takewhile(lambda lay: 1 + 2 * reach(lay, "rings") <= ratio * CLOSER, full_lays())
        return max(fitting, default=1)
    if packing != "any":
        least = (n for n in range(RESOLVED, 0, -1) if 1 + 2 * _few_reach(n, packing) <= ratio * CLOSER)
        return max(next(least), int(_held((ratio * CLOSER - 1) / 2, packing).max()))
    known = np.array([size for size, _ in packings()])
    return max(int(np.searchsorted(known, ratio * CLOSER, side="right")), most_in_circle(ratio, "hexagonal"))


@lru_cache(maxsize=1024)
def least_circle(count: int, packing: Packing) -> float:
    """The smallest circle, in diameters of a strand, that `most_in_circle` says holds so many.

    Examples
    --------
    >>> [round(least_circle(count, "any"), 3) for count in (2, 3, 5, 7, 19, 37)]
    [2.0, 2.155, 2.701, 3.0, 4.864, 6.759]
    >>> round(least_circle(19, "hexagonal"), 9)
    5.0
    """
    if packing == "rings":
        return 1 + 2 * reach(count, "rings")
    if packing == "any":
        known = packings()
        lattice = least_circle(count, "hexagonal")
        return min(lattice, known[count - 1][0]) if count <= len(known) else lattice
    low, high = 0.0, math.sqrt(count) + 2
    while high - low > 1e-12 * high:
        middle = (low + high) / 2
        low, high = (low, middle) if int(_held(middle, packing).max()) >= count else (middle, high)
    return 1 + 2 * (min(high, _few_reach(count, packing)) if count <= RESOLVED else high)


@lru_cache(maxsize=256)
def places_in_circle(count: int, packing: Packing, ratio: float) -> tuple[FloatArray, bool]:
    """Places of few strands at pitch 1 about the middle of a circle, (count, 2), and whether they are `strand_places`.

    Those are taken wherever there is room for them; else the places that need the smallest circle.

    Parameters
    ----------
    count : int
        At most `RESOLVED`.
    packing : "hexagonal", "square", "rings" or "any"
    ratio : float
        Diameter of the circle over that of a strand.
    """
    usual = strand_places(count, "hexagonal" if packing == "any" else packing)
    if packing == "rings" or 1 + 2 * radius(usual) <= ratio * CLOSER:
        return usual, True
    return min(_closer(count, packing), key=lambda places: round(radius(places), 9)), False


def _touching(places: FloatArray) -> FloatArray:
    """The same with the nearest two at a distance of 1."""
    apart = np.hypot(*(places[:, None] - places).transpose(2, 0, 1))[np.triu_indices(len(places), 1)]
    return places / apart.min(initial=np.inf) if len(places) > 1 else places


def radius(places: FloatArray) -> float:
    """How far out the outermost is."""
    return float(np.hypot(*places.T).max())


def _closer(count: int, packing: Packing) -> Iterator[FloatArray]:
    """Places for so many: those of a lattice about its best middle, of more strands, and of known packings."""
    layout: Layout = "hexagonal" if packing == "any" else packing
    steps = np.arange(-_AROUND, _AROUND + 1.0)
    lattice = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2) @ BASES[layout]
    middles = _middles(layout)
    away = np.partition(np.hypot(*(lattice - middles[:, None]).transpose(2, 0, 1)), count - 1, axis=1)[:, count - 1]
    yield _innermost(lattice - middles[away.round(9).argmin()], count)
    for more in range(count + 1, RESOLVED + 1):
        yield _innermost(strand_places(more, layout), count)
    if packing == "any":
        for _, places in packings()[count - 1 :]:
            yield _innermost(places, count)


def _innermost(places: FloatArray, count: int) -> FloatArray:
    return places[np.argsort(np.hypot(*places.T).round(9), kind="stable")[:count]]


@cache
def _few_reach(count: int, layout: Layout) -> float:
    """Distance from the middle to the outermost of few strands, or of more of which they are a part."""
    return min(reach(more, layout) for more in range(count, RESOLVED + 1))


@cache
def _middles(layout: Layout) -> FloatArray:
    """Where the middle of a circle may be in a lattice, as far as they differ, (m, 2)."""
    if layout == "square":
        return np.array([(x, y) for x in range(STEPS // 2 + 1) for y in range(x + 1)]) / STEPS
    # the triangle between a strand, the middle between two and that of three
    return np.array([
        (x / STEPS, y / (STEPS * math.sqrt(3))) for x in range(STEPS // 2 + 1) for y in range(x + 1)
    ])  # fmt: skip


def _held(reached: float, layout: Layout) -> IntArray:
    """Strands of a lattice no further than that from each of its middles: counted row by row, (m,)."""
    middle, slack = _middles(layout), 1e-12
    height = BASES[layout][1, 1]
    rows = np.arange(-math.ceil(reached / height) - 1, math.ceil(reached / height) + 2)
    up = rows * height - middle[:, 1:]
    inside = np.abs(up) <= reached + slack
    half = np.sqrt(np.maximum(reached**2 - up**2, 0.0)) + slack
    start = middle[:, :1] - rows * BASES[layout][1, 0]
    held = np.floor(start + half) - np.ceil(start - half) + 1
    return np.asarray(np.where(inside, held, 0).sum(axis=1).astype(int))


@cache
def packings() -> tuple[tuple[float, FloatArray], ...]:
    """The densest packings known of 1, 2, 3 ... circles of diameter 1 in a circle: its diameter, and the places.

    Each is at most as large as that of one more.
    """
    rows = np.loadtxt(_PACKINGS, delimiter=",", skiprows=1)
    found: list[tuple[float, FloatArray]] = []
    for count in range(int(rows[-1, 0]), 0, -1):
        places = _touching(rows[rows[:, 0] == count, 1:])
        if not len(places) or (found and found[-1][0] < 1 + 2 * radius(places)):
            places = _innermost(found[-1][1], count)
        found.append((1 + 2 * radius(places), places))
    return tuple(reversed(found))
