"""Nodes on the boundaries: close together at corners, far apart on quiet faces, alike on facing segments."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.plane.sides import Sides

from .boundary import Boundary
from .facing import Facing, find_facing
from .options import MeshOptions
from .sizes import SizeLaw


@dataclass(frozen=True, eq=False)
class Nodes:
    """The nodes of one boundary, in order; edge k runs from node k to node k + 1.

    Attributes
    ----------
    position, normal : (n, 2) float
        [m]; the unit normal of the edge that starts here, pointing into the metal.
    side : (n,) int
        Side the edge k follows.
    fraction : (n,) float
        Where node k lies on that side, 0..1.
    segment : (n,) int
        Segment the edge k belongs to.
    """

    position: FloatArray
    normal: FloatArray
    side: IntArray
    fraction: FloatArray
    segment: IntArray


def place_nodes(boundaries: Sequence[Boundary], options: MeshOptions) -> tuple[list[Nodes], Facing, Sides]:
    """Put nodes on every boundary; facing segments get matching ones.

    Parameters
    ----------
    boundaries : sequence of Boundary
    options : MeshOptions

    Returns
    -------
    nodes : list of Nodes
        One for each boundary.
    facing : Facing
    sides : Sides
        Those of all boundaries, in order.
    """
    sides = Sides.of(*(b.outline for b in boundaries))
    left = [np.full(len(b.outline.points), b.axial) & (b.outline.at(_sides(b), 0.5)[0][:, 0] < 0) for b in boundaries]
    facing = find_facing(sides, np.concatenate(left))
    law = SizeLaw(boundaries, sides, facing.parallel, options)
    fractions = _group_fractions(facing, sides, law)
    nodes = []
    per_side: list[list[int]] = [[] for _ in sides.length]
    for k, segment in enumerate(facing.segments):
        per_side[segment.side].append(k)
    first = np.cumsum([0, *(len(b.outline.points) for b in boundaries)])
    for w in range(len(boundaries)):
        side, fraction, owner = [], [], []
        for s in range(first[w], first[w + 1]):
            for k in per_side[s]:
                segment = facing.segments[k]
                u = segment.begin + (segment.end - segment.begin) * fractions[k][:-1]
                fraction.append(u)
                side.append(np.full(len(u), s))
                owner.append(np.full(len(u), k))
        all_sides, u = np.concatenate(side), np.concatenate(fraction)
        position, tangent = sides.at(all_sides, u)
        normal = np.column_stack((-tangent[:, 1], tangent[:, 0]))
        nodes.append(Nodes(position, normal, all_sides, u, np.concatenate(owner)))
    return nodes, facing, sides


def _sides(boundary: Boundary) -> IntArray:
    return np.arange(len(boundary.outline.points))


def _group_fractions(facing: Facing, sides: Sides, law: SizeLaw) -> list[FloatArray]:
    """Node places 0..1 along every segment, the same for all segments of a group."""
    side = np.array([s.side for s in facing.segments])
    begin = np.array([s.begin for s in facing.segments])
    span = np.array([s.end - s.begin for s in facing.segments])
    length = sides.length[side] * span

    # samples (group, u) refined by halving until each cell is shorter than the wanted length
    members: dict[int, list[int]] = {}
    for k, g in enumerate(facing.group):
        members.setdefault(int(g), []).append(k)
    groups = list(members)
    table = {g: ([0.0], [np.inf]) for g in groups}

    def wanted(cells: list[tuple[int, float]]) -> FloatArray:
        """Smallest wanted length over segment length among the members of a group, at u."""
        which, segment, u = [], [], []
        for c, (g, x) in enumerate(cells):
            for k in members[g]:
                which.append(c)
                segment.append(k)
                u.append(1 - x if facing.flipped[k] else x)
        rows = np.array(segment)
        h = law(side[rows], begin[rows] + span[rows] * np.array(u)) / length[rows]
        lowest = np.full(len(cells), np.inf)
        np.minimum.at(lowest, np.array(which), h)
        return lowest

    near = _places_near(facing, sides)
    ends = [(g, x) for g in groups for x in sorted({0.0, 0.5, 1.0, *near.get(g, ())})]
    for (g, x), h in zip(ends, wanted(ends), strict=True):
        table[g][0].append(x)
        table[g][1].append(float(h))
    cells = [
        (g, a, b - a, ha, hb)
        for g in groups
        for (a, b), (ha, hb) in zip(pairwise(table[g][0][1:]), pairwise(table[g][1][1:]), strict=True)
    ]
    for _ in range(40):
        rows = [(g, a + 0.5 * d) for g, a, d, _, _ in cells]
        if not rows:
            break
        low = wanted(rows)
        after = []
        for (g, a, d, ha, hb), (_, x), hx in zip(cells, rows, low, strict=True):
            h = float(hx)
            table[g][0].append(x)
            table[g][1].append(h)
            if d > min(h, 2 * ha, 2 * hb):
                after += [(g, a, 0.5 * d, ha, h), (g, x, 0.5 * d, h, hb)]
        cells = after
    placed = {}
    for g in groups:
        u, h = (np.array(v[1:]) for v in table[g])
        order = np.argsort(u)
        placed[g] = even_places(u[order], h[order])
    return [
        1 - placed[int(g)][::-1] if flip else placed[int(g)]
        for g, flip in zip(facing.group, facing.flipped, strict=True)
    ]


def _places_near(facing: Facing, sides: Sides) -> dict[int, list[float]]:
    """Where on the segments of every group, 0..1, some small detail lies so near that samples could miss it."""
    arcs = np.flatnonzero(sides.curved)
    details = np.concatenate([sides.start, *(sides.at(arcs, np.full(len(arcs), u))[0] for u in (0.25, 0.5, 0.75))])
    first = np.searchsorted([s.side for s in facing.segments], np.arange(len(sides)))
    places: dict[int, list[float]] = {}
    block = max(1, 500_000 // len(sides))
    for k in range(0, len(details), block):
        feet = sides.feet(details[k : k + block])
        clear = np.hypot(*np.moveaxis(details[k : k + block, None] - feet, -1, 0)) / sides.length
        along = sides.fraction(feet)
        hit = (clear > 0) & (clear < 0.1) & (along > clear) & (along < 1 - clear)
        for d, side in np.argwhere(hit):
            u, room = float(along[d, side]), clear[d, side]
            for s in range(first[side], len(facing.segments)):
                begin, end = facing.segments[s].begin, facing.segments[s].end
                if facing.segments[s].side != side or u < begin + room:
                    break
                if u < end - room:
                    x = (u - begin) / (end - begin)
                    places.setdefault(int(facing.group[s]), []).append(1 - x if facing.flipped[s] else x)
    return places


def even_places(u: FloatArray, h: FloatArray) -> FloatArray:
    """Places 0..1 at equal steps of the integral of du / h(u), from samples of it in order.

    Examples
    --------
    >>> even_places(np.array([0.0, 1.0]), np.array([0.26, 0.26])).round(12).tolist()
    [0.0, 0.25, 0.5, 0.75, 1.0]
    """
    steps = np.diff(u) * 0.5 * (1 / h[1:] + 1 / h[:-1])
    total = np.concatenate(([0.0], np.cumsum(steps)))
    count = max(1, int(np.ceil(total[-1] - 0.05)))
    places = np.interp(np.linspace(0, total[-1], count + 1), total, u)
    places[0], places[-1] = 0.0, 1.0
    return places
