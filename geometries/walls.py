"""Walls: the outlines as chains of mesh nodes, close together at corners and far apart on quiet faces."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from .facing import Facing, find_facing
from .outline import FloatArray, Outline
from .recipe import Recipe
from .sides import IntArray, Sides

SOFT = np.radians(10)  # corners that turn less are taken as smooth
CONE = 0.3  # cosine to the normal above which a side counts as lying ahead


@dataclass(frozen=True, eq=False)
class Wall:
    """One outline of a part, run with the metal on its left.

    Attributes
    ----------
    outline : Outline
        Counter-clockwise for an outer outline, clockwise for a hole [m].
    part : int
        Number of the part.
    skin : float
        Skin depth of the base metal [m]; infinite for direct current.
    coats, coat_skins : tuple of float
        Thickness and skin depth of every deposited layer, the one next to the base metal first [m].
    first_coat : int
        Number of the first of them among the part's layers.
    layer : int
        Number of the metal on its left among the part's layers: 0, or that of a piece.
    """

    outline: Outline
    part: int
    skin: float
    coats: tuple[float, ...] = ()
    coat_skins: tuple[float, ...] = ()
    first_coat: int = 1
    layer: int = 0

    def lit(self, reach: float) -> tuple[bool, ...]:
        """Whether the base metal and each coat have less than `reach` skin depths of coats over them."""
        over, lit = 0.0, []
        for thickness, skin in zip(self.coats[::-1], self.coat_skins[::-1], strict=True):
            lit.append(over < reach)
            over += thickness / skin
        return (over < reach, *lit[::-1])


@dataclass(frozen=True, eq=False)
class Nodes:
    """The nodes of one wall, in order; edge k runs from node k to node k + 1.

    Attributes
    ----------
    position, normal : (n, 2) float
        [m]; the unit normal of the edge that starts here, pointing into the metal.
    side : (n,) int
        Side the edge k follows.
    fraction : (n,) float
        Where node k lies on that side, 0..1.
    stretch : (n,) int
        Stretch the edge k belongs to.
    """

    position: FloatArray
    normal: FloatArray
    side: IntArray
    fraction: FloatArray
    stretch: IntArray


def turning(outline: Outline) -> FloatArray:
    """Angle by which the outline turns left at each corner point, (n,) [rad], -pi..pi."""
    n = np.arange(len(outline.points))
    _, leaving = outline.at(n, np.zeros(len(n)))
    _, arriving = outline.at(n, np.ones(len(n)))
    arriving = np.roll(arriving, 1, axis=0)
    cross = arriving[:, 0] * leaving[:, 1] - arriving[:, 1] * leaving[:, 0]
    return np.asarray(np.arctan2(cross, (arriving * leaving).sum(axis=1)))


def neighbours(outlines: Sequence[Outline]) -> tuple[IntArray, IntArray]:
    """The sides before and after every side of some outlines, both (n,)."""
    first = np.cumsum([0, *(len(o.points) for o in outlines)])
    every = [np.arange(a, b) for a, b in pairwise(first)]
    return np.concatenate([np.roll(k, 1) for k in every]), np.concatenate([np.roll(k, -1) for k in every])


class SizeLaw:
    """Wanted element length anywhere: small at corners and arcs, growing with the distance from them."""

    def __init__(self, walls: Sequence[Wall], sides: Sides, parallel: FloatArray, recipe: Recipe) -> None:
        self._sides, self._parallel, self._recipe = sides, parallel, recipe
        where: list[FloatArray] = []
        size: list[FloatArray] = []
        for wall in walls:
            outline = wall.outline
            turn = turning(outline)
            lit = wall.lit(recipe.reach)
            skin = min(skin for skin, seen in zip((wall.skin, *wall.coat_skins), lit, strict=True) if seen)
            shorter = np.minimum(outline.lengths, np.roll(outline.lengths, 1))
            blunt = np.clip(np.pi / 2 / np.maximum(np.abs(turn), SOFT), 1, 3)
            wanted = np.minimum(recipe.corner * skin * blunt, 0.35 * shorter)
            where.append(outline.points)
            inward = np.minimum(recipe.reentrant * skin * blunt, 0.35 * shorter)
            size.append(np.where(turn > SOFT, wanted, np.where(turn < -SOFT, inward, shorter)))
            arcs = np.flatnonzero(outline.curved)
            for u in (0.0, 0.5, 1.0):
                where.append(outline.at(arcs, np.full(len(arcs), u))[0].reshape(-1, 2))
                size.append(outline.radii[arcs] * recipe.arc)
        self._where, self._size = np.concatenate(where), np.concatenate(size)
        self._crooked = not bool(parallel.all())
        self._before, self._after = neighbours([w.outline for w in walls])

    def __call__(self, side: IntArray, fraction: FloatArray) -> FloatArray:
        """Wanted length of an element at a place on a side, (m,) [m]."""
        position, tangent = self._sides.at(side, fraction)
        wanted = np.full(len(side), np.inf)
        block = max(1, 2_000_000 // (len(self._size) + len(self._sides.length)))
        for first in range(0, len(side), block):
            s = slice(first, first + block)
            distance = np.hypot(*np.moveaxis(position[s, None] - self._where, -1, 0))
            wanted[s] = np.minimum(wanted[s], (self._size + self._recipe.slope * distance).min(axis=1, initial=np.inf))
            if self._crooked:
                wanted[s] = np.minimum(wanted[s], 1.2 * self._clearance(side[s], position[s], tangent[s]))
        arc = self._sides.radius[side] * self._recipe.arc
        return np.asarray(np.minimum(wanted, np.where(self._sides.curved[side], arc, np.inf)))

    def _clearance(self, side: IntArray, position: FloatArray, tangent: FloatArray) -> FloatArray:
        """Diameter of the ball on the wall that touches the next side, parallel and adjoining ones aside."""
        ball = ball_diameters(self._sides, position, tangent, both_ways=True)
        ball[self._parallel[side]] = np.inf
        rows = np.arange(len(side))
        ball[rows, self._before[side]] = ball[rows, self._after[side]] = np.inf
        return np.asarray(ball.min(axis=1, initial=np.inf))


def ball_diameters(sides: Sides, position: FloatArray, tangent: FloatArray, *, both_ways: bool) -> FloatArray:
    """Diameter of the circle tangent to a wall at a place that reaches each side's nearest point, (m, n) [m].

    Infinite for sides that do not lie ahead (to the left of the tangent, or on either hand).
    """
    ahead = sides.feet(position) - position[:, None]
    distance = np.hypot(ahead[..., 0], ahead[..., 1])
    rise = tangent[:, None, 0] * ahead[..., 1] - tangent[:, None, 1] * ahead[..., 0]
    rise = np.abs(rise) if both_ways else rise
    seen = (rise > CONE * distance) & (distance > 0)
    return np.asarray(np.where(seen, distance**2 / np.where(seen, rise, 1.0), np.inf))


def place_nodes(walls: Sequence[Wall], recipe: Recipe) -> tuple[list[Nodes], Facing, Sides]:
    """Put nodes on every wall; facing stretches get matching ones."""
    sides = Sides.of(*(w.outline for w in walls))
    facing = find_facing(sides)
    law = SizeLaw(walls, sides, facing.parallel, recipe)
    fractions = _group_fractions(facing, sides, law)
    nodes = []
    per_side: list[list[int]] = [[] for _ in sides.length]
    for k, stretch in enumerate(facing.stretches):
        per_side[stretch.side].append(k)
    first = np.cumsum([0, *(len(w.outline.points) for w in walls)])
    for w in range(len(walls)):
        side, fraction, owner = [], [], []
        for s in range(first[w], first[w + 1]):
            for k in per_side[s]:
                stretch = facing.stretches[k]
                u = stretch.begin + (stretch.end - stretch.begin) * fractions[k][:-1]
                fraction.append(u)
                side.append(np.full(len(u), s))
                owner.append(np.full(len(u), k))
        all_sides, u = np.concatenate(side), np.concatenate(fraction)
        position, tangent = sides.at(all_sides, u)
        normal = np.column_stack((-tangent[:, 1], tangent[:, 0]))
        nodes.append(Nodes(position, normal, all_sides, u, np.concatenate(owner)))
    return nodes, facing, sides


def _group_fractions(facing: Facing, sides: Sides, law: SizeLaw) -> list[FloatArray]:
    """Node places 0..1 along every stretch, the same for all stretches of a group."""
    side = np.array([s.side for s in facing.stretches])
    begin = np.array([s.begin for s in facing.stretches])
    span = np.array([s.end - s.begin for s in facing.stretches])
    length = sides.length[side] * span

    # samples (group, u) refined by halving until each cell is shorter than the wanted length
    members: dict[int, list[int]] = {}
    for k, g in enumerate(facing.group):
        members.setdefault(int(g), []).append(k)
    groups = list(members)
    table = {g: ([0.0], [np.inf]) for g in groups}

    def wanted(cells: list[tuple[int, float]]) -> FloatArray:
        """Smallest wanted length over stretch length among the members of a group, at u."""
        which, stretch, u = [], [], []
        for c, (g, x) in enumerate(cells):
            for k in members[g]:
                which.append(c)
                stretch.append(k)
                u.append(1 - x if facing.flipped[k] else x)
        rows = np.array(stretch)
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
        placed[g] = _even(u[order], h[order])
    return [
        1 - placed[int(g)][::-1] if flip else placed[int(g)]
        for g, flip in zip(facing.group, facing.flipped, strict=True)
    ]


def _places_near(facing: Facing, sides: Sides) -> dict[int, list[float]]:
    """Where on the stretches of every group, 0..1, some small detail lies so near that samples could miss it."""
    arcs = np.flatnonzero(sides.curved)
    details = np.concatenate([sides.start, *(sides.at(arcs, np.full(len(arcs), u))[0] for u in (0.25, 0.5, 0.75))])
    first = np.searchsorted([s.side for s in facing.stretches], np.arange(len(sides)))
    places: dict[int, list[float]] = {}
    block = max(1, 500_000 // len(sides))
    for k in range(0, len(details), block):
        feet = sides.feet(details[k : k + block])
        clear = np.hypot(*np.moveaxis(details[k : k + block, None] - feet, -1, 0)) / sides.length
        along = sides.fraction(feet)
        hit = (clear > 0) & (clear < 0.1) & (along > clear) & (along < 1 - clear)
        for d, side in np.argwhere(hit):
            u, room = float(along[d, side]), clear[d, side]
            for s in range(first[side], len(facing.stretches)):
                begin, end = facing.stretches[s].begin, facing.stretches[s].end
                if facing.stretches[s].side != side or u < begin + room:
                    break
                if u < end - room:
                    x = (u - begin) / (end - begin)
                    places.setdefault(int(facing.group[s]), []).append(1 - x if facing.flipped[s] else x)
    return places


def _even(u: FloatArray, h: FloatArray) -> FloatArray:
    """Places 0..1 at equal steps of the integral of du / h(u)."""
    steps = np.diff(u) * 0.5 * (1 / h[1:] + 1 / h[:-1])
    total = np.concatenate(([0.0], np.cumsum(steps)))
    count = max(1, int(np.ceil(total[-1] - 0.05)))
    places = np.interp(np.linspace(0, total[-1], count + 1), total, u)
    places[0], places[-1] = 0.0, 1.0
    return places
