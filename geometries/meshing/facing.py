"""Which segments of boundary face each other across thin metal or a narrow gap.

Facing segments get the same number of nodes at matching places, so that the mesher can join them with
long elements instead of filling the space between with small ones.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.plane.sides import Sides, dot, unit

PARALLEL = np.cos(np.radians(10))
NEAR = 1.0  # a gap wider than this many overlaps is not narrow


@dataclass(frozen=True)
class Segment:
    """A piece of a side between two break points, as fractions of the side's length."""

    side: int
    begin: float
    end: float


@dataclass(frozen=True, eq=False)
class Facing:
    """Segments of all sides, the pairs that face each other, and their groups.

    Attributes
    ----------
    segments : list of Segment
        In order along every side.
    pairs : list of (int, int)
        Indices of segments that face each other; they run in opposite directions.
    group, flipped : (n,) int, bool
        Segments of one group share their nodes; a flipped one counts them from its end.
    parallel : (sides, sides) bool
        Sides too parallel or concentric for the space between them to limit element length.
    """

    segments: list[Segment]
    pairs: list[tuple[int, int]]
    group: IntArray
    flipped: IntArray
    parallel: FloatArray


def find_facing(sides: Sides, apart: BoolArray | None = None) -> Facing:
    """Break all sides where corners of facing sides project onto them, and pair the pieces.

    Sides face each other where they run antiparallel within 10 degrees, or about one centre, across metal or a gap no
    wider than they overlap, with no third side between their middles (an arc counts there as its chord). Those in
    `apart` (sides,) face none: mirror images beyond an axis.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> sides = Sides.of(bar(4.0, 1.0).outer, bar(2.0, 1.0).outer.moved((0.0, 1.1)))
    >>> [segment.begin for segment in find_facing(sides).segments if segment.side == 2]
    [0.0, 0.25, 0.75]
    """
    maps, parallel = _facing_maps(sides)
    if apart is not None:
        maps = [m for m in maps if not apart[m.i] and not apart[m.j]]
    breaks = _project_breaks(sides, maps)
    segments: list[Segment] = []
    first: list[int] = []
    for k, cuts in enumerate(breaks):
        first.append(len(segments))
        segments += [Segment(k, a, b) for a, b in pairwise(cuts)]
    pairs = _visible(sides, segments, _matches(sides, maps, breaks, first))
    group, flipped, kept = _groups(len(segments), pairs)
    return Facing(segments, kept, group, flipped, parallel)


@dataclass(frozen=True)
class _Map:
    """Coordinates common to two facing sides: fraction u of side i or j lies at a + b u."""

    i: int
    j: int
    ai: float
    bi: float
    aj: float
    bj: float
    gap: float
    tolerance: float


def _facing_maps(sides: Sides) -> tuple[list[_Map], FloatArray]:
    n = len(sides.length)
    tangent = sides.middle_direction
    straight = ~sides.curved
    along = tangent @ tangent.T
    both = straight[:, None] & straight
    parallel = both & (np.abs(along) > PARALLEL)
    arcs = np.flatnonzero(sides.curved)
    (x, y), radius = sides.centre[arcs].T, sides.radius[arcs]
    gaps = np.abs(radius[:, None] - radius)
    about_one = np.hypot(x[:, None] - x, y[:, None] - y) <= 0.02 * gaps + 1e-9 * radius[:, None]
    maps = _straight_maps(sides, *np.nonzero(np.triu(both & (along < -PARALLEL), 1)))
    for m, k in np.argwhere(np.triu(about_one, 1)):
        i, j = int(arcs[m]), int(arcs[k])
        parallel[i, j] = parallel[j, i] = True
        if sides.sweep[i] * sides.sweep[j] < 0:
            maps += _concentric(sides, i, j, gaps[m, k])
    parallel[np.arange(n), np.arange(n)] = True
    return maps, parallel


def _straight_maps(sides: Sides, i: IntArray, j: IntArray) -> list[_Map]:
    """Of straight sides i and j that run antiparallel, by the way along both, where they overlap."""
    axis = unit(sides.middle_direction[i] - sides.middle_direction[j])
    across = np.column_stack((-axis[:, 1], axis[:, 0]))
    at = [dot(way, axis) for k in (i, j) for way in (sides.start[k], sides.end[k] - sides.start[k])]
    middle = [0.5 * (sides.start[k] + sides.end[k]) for k in (i, j)]
    gap = np.abs(dot(middle[1] - middle[0], across))
    ends = [np.sort((begin, begin + span), axis=0) for begin, span in (at[:2], at[2:])]
    overlap = np.minimum(ends[0][1], ends[1][1]) - np.maximum(ends[0][0], ends[1][0])
    tolerance = np.maximum(0.3 * np.minimum(gap, 0.1 * overlap), 1e-9 * overlap)
    near = ((overlap > 0) & (gap <= NEAR * overlap)).nonzero()[0]
    rows = zip(*(column[near].tolist() for column in (i, j, *at, gap, tolerance)), strict=True)
    return [_Map(*row) for row in rows]


def _concentric(sides: Sides, i: int, j: int, gap: float) -> list[_Map]:
    """Arcs round one centre, in units of length at the mean radius; three turns of j are tried."""
    mean = 0.5 * (sides.radius[i] + sides.radius[j])
    start = [float(np.arctan2(*(sides.start[k] - sides.centre[k])[::-1])) for k in (i, j)]
    maps = []
    for turn in (-2 * np.pi, 0.0, 2 * np.pi):
        ai, bi = start[0] * mean, sides.sweep[i] * mean
        aj, bj = (start[1] + turn) * mean, sides.sweep[j] * mean
        overlap = min(max(ai, ai + bi), max(aj, aj + bj)) - max(min(ai, ai + bi), min(aj, aj + bj))
        if overlap > 1e-6 * mean and gap < NEAR * overlap:
            maps.append(_Map(i, j, ai, bi, aj, bj, gap, max(0.3 * min(gap, 0.1 * overlap), 1e-9 * overlap)))
    return maps


def _project_breaks(sides: Sides, maps: list[_Map]) -> list[list[float]]:
    breaks = [[0.0, 1.0] for _ in sides.length]
    for _ in range(6):
        added = False
        for m in maps:
            for (src, a0, b0), (dst, a1, b1) in (
                ((m.i, m.ai, m.bi), (m.j, m.aj, m.bj)),
                ((m.j, m.aj, m.bj), (m.i, m.ai, m.bi)),
            ):
                for u in list(breaks[src]):
                    v = (a0 + b0 * u - a1) / b1
                    clear = m.tolerance / abs(b1)
                    if 0 < v < 1 and min(abs(w - v) for w in breaks[dst]) > clear:
                        breaks[dst].append(v)
                        added = True
        if not added:
            break
    return [sorted(b) for b in breaks]


def _matches(
    sides: Sides, maps: list[_Map], breaks: list[list[float]], first: list[int]
) -> list[tuple[int, int, float]]:
    found = []
    for m in maps:
        xi = m.ai + m.bi * np.array(breaks[m.i])
        xj = m.aj + m.bj * np.array(breaks[m.j])
        for a in range(len(xi) - 1):
            for b in range(len(xj) - 1):
                off = max(abs(xi[a] - xj[b + 1]), abs(xi[a + 1] - xj[b]))
                if off <= 1.01 * m.tolerance and off < 0.3 * abs(xi[a + 1] - xi[a]):
                    found.append((first[m.i] + a, first[m.j] + b, m.gap))
    return found


def _visible(
    sides: Sides, segments: list[Segment], found: list[tuple[int, int, float]]
) -> list[tuple[int, int, float]]:
    """Drop pairs with another side between their middles."""
    if not found:
        return []
    one, other = np.array([(a, b) for a, b, _ in found]).T
    owner = np.array([s.side for s in segments])
    position, _ = sides.at(owner, np.array([0.5 * (s.begin + s.end) for s in segments]))
    crossed = _crossed(position[one], position[other], sides.start, sides.end)
    rows = np.arange(len(found))
    crossed[rows, owner[one]] = crossed[rows, owner[other]] = False
    return [found[k] for k in np.flatnonzero(~crossed.any(axis=1))]


def _crossed(p: FloatArray, q: FloatArray, start: FloatArray, end: FloatArray) -> BoolArray:
    """Whether the ways from p to q (m, 2) cross chords (n, 2), (m, n)."""

    def side_of(a: FloatArray, b: FloatArray, c: FloatArray) -> FloatArray:
        return np.asarray((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))

    one, other, first, last = p.T[..., None], q.T[..., None], start.T, end.T
    apart = side_of(one, other, first) * side_of(one, other, last) < 0
    return np.asarray(apart & (side_of(first, last, one) * side_of(first, last, other) < 0))


def _groups(count: int, pairs: list[tuple[int, int, float]]) -> tuple[IntArray, IntArray, list[tuple[int, int]]]:
    """Union of paired segments with their sense; the narrowest pairs first, contradictory ones dropped."""
    parent, parity = list(range(count)), [0] * count

    def root(k: int) -> tuple[int, int]:
        sense = 0
        while parent[k] != k:
            sense ^= parity[k]
            k = parent[k]
        return k, sense

    kept = []
    for a, b, _ in sorted(pairs, key=lambda p: p[2]):
        (ra, sa), (rb, sb) = root(a), root(b)
        if ra != rb:
            parent[rb], parity[rb] = ra, sa ^ sb ^ 1
        elif sa ^ sb ^ 1:
            continue
        kept.append((a, b))
    roots = [root(k) for k in range(count)]
    return np.array([r for r, _ in roots]), np.array([s for _, s in roots]), kept
