"""Nodes on the boundaries: close together at corners, far apart on quiet faces, alike on facing segments."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.plane.sides import BLOCK, Sides, distances, nearest

from .boundary import Boundary
from .facing import Facing, find_facing
from .options import MeshOptions
from .sizes import SizeLaw

TOUCHING = 1e-12  # distance from a side over its length up to which a place lies on it


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
    axial = np.repeat([b.axial for b in boundaries], [len(b.outline.points) for b in boundaries])
    facing = find_facing(sides, axial & (sides.middle[:, 0] < 0))
    law = SizeLaw(boundaries, sides, facing.parallel, options)
    fractions = _group_fractions(facing, sides, law)
    owner = np.repeat(np.arange(len(fractions)), [len(u) - 1 for u in fractions])
    side, begin, span = _rows(facing)
    every, u = side[owner], begin[owner] + span[owner] * np.concatenate([u[:-1] for u in fractions])
    position, tangent = sides.at(every, u)
    normal = np.column_stack((-tangent[:, 1], tangent[:, 0]))
    first = every.searchsorted(np.cumsum([0, *(len(b.outline.points) for b in boundaries)]))
    cuts = [slice(*ends) for ends in pairwise(first)]
    return [Nodes(position[w], normal[w], every[w], u[w], owner[w]) for w in cuts], facing, sides


def _rows(facing: Facing) -> tuple[IntArray, FloatArray, FloatArray]:
    """Side of every segment, where it begins on it and how much of it it takes, all (n,)."""
    side, begin, end = zip(*((s.side, s.begin, s.end) for s in facing.segments), strict=True)
    return np.array(side), np.array(begin), np.array(end) - np.array(begin)


def _group_fractions(facing: Facing, sides: Sides, law: SizeLaw) -> list[FloatArray]:
    """Node places 0..1 along every segment, the same for all segments of a group."""
    side, begin, span = _rows(facing)
    length = sides.length[side] * span
    members = np.argsort(facing.group, kind="stable")
    names, first, many = np.unique(facing.group[members], return_index=True, return_counts=True)

    def wanted(group: IntArray, u: FloatArray) -> FloatArray:
        """Smallest wanted length over segment length among the members of groups, at u (m,)."""
        count = many[group]
        at = np.cumsum(count) - count
        rows = members[np.arange(int(count.sum())) + np.repeat(first[group] - at, count)]
        along = np.repeat(u, count)
        along = np.where(facing.flipped[rows], 1 - along, along)
        return np.asarray(np.minimum.reduceat(law(side[rows], begin[rows] + span[rows] * along) / length[rows], at))

    # samples refined by halving until each cell is shorter than the wanted length
    near = _places_near(facing, sides)
    ends = [(k, x) for k, g in enumerate(names.tolist()) for x in sorted({0.0, 0.5, 1.0, *near.get(g, ())})]
    group, u = (np.array(column) for column in zip(*ends, strict=True))
    inner = (group[1:] == group[:-1]).nonzero()[0]
    start, step = u[inner], u[inner + 1] - u[inner]
    group, u = np.append(group, group[inner]), np.append(u, start + 0.5 * step)
    samples = [(group, u, h := wanted(group, u))]
    group, h, cells = group[inner], h[len(ends) :], np.array((start, step, h[inner], h[inner + 1]))
    for _ in range(40):
        start, step, ha, hb = cells
        middle = start + 0.5 * step
        long = (step > np.minimum(h, 2 * np.minimum(ha, hb))).nonzero()[0]
        if not len(long):
            break
        start, half, ha, hb = start[long], 0.5 * step[long], ha[long], hb[long]
        cells = np.array(((start, half, ha, h[long]), (middle[long], half, h[long], hb))).swapaxes(0, 1).reshape(4, -1)
        group = np.tile(group[long], 2)
        h = wanted(group, middle := cells[0] + 0.5 * cells[1])
        samples.append((group, middle, h))
    group, u, h = map(np.concatenate, zip(*samples, strict=True))
    order = np.lexsort((u, group))
    each = np.split(order, np.cumsum(np.bincount(group))[:-1])
    placed = {g: even_places(u[k], h[k]) for g, k in zip(names.tolist(), each, strict=True)}
    return [
        1 - placed[g][::-1] if flip else placed[g]
        for g, flip in zip(facing.group.tolist(), facing.flipped.tolist(), strict=True)
    ]


def _places_near(facing: Facing, sides: Sides) -> dict[int, list[float]]:
    """Where on the segments of every group, 0..1, some small detail lies so near that samples could miss it."""
    arcs = np.flatnonzero(sides.curved)
    details = np.concatenate([sides.start, *(sides.at(arcs, np.full(len(arcs), u))[0] for u in (0.25, 0.5, 0.75))])
    first = np.searchsorted([s.side for s in facing.segments], np.arange(len(sides)))
    places: dict[int, list[float]] = {}
    block = max(1, BLOCK // len(sides))
    for k in range(0, len(details), block):
        clear = distances(sides, details[k : k + block]) / sides.length
        d, side = ((clear > TOUCHING) & (clear < 0.1)).nonzero()
        near = sides.take(side)
        along = near.fraction(nearest(near, details[k + d])[1])
        for n, u, room in zip(side.tolist(), along.tolist(), clear[d, side].tolist(), strict=True):
            if not room < u < 1 - room:
                continue
            for s in range(first[n], len(facing.segments)):
                begin, end = facing.segments[s].begin, facing.segments[s].end
                if facing.segments[s].side != n or u < begin + room:
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
    slow = 1 / h
    total = np.append(0.0, np.cumsum((u[1:] - u[:-1]) * 0.5 * (slow[1:] + slow[:-1])))
    count = max(1, math.ceil(float(total[-1]) - 0.05))
    places: FloatArray = np.interp(np.arange(count + 1) * (total[-1] / count), total, u)
    places[0], places[-1] = 0.0, 1.0
    return places
