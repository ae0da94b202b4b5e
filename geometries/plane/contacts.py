"""Where the sides of a section come near each other: one table for all checks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.errors import GeometryFault

from .distance import near_pairs
from .outline import Outline
from .part import NARROWEST, RESOLVABLE, Part
from .sides import Sides, dot, nearest, side_distances, turned_left, unit

TOUCH = 1e-11  # distances below this fraction of the section's size are rounding errors


@dataclass(frozen=True, eq=False)
class Pairs:
    """Pairs of sides i < j that are near each other, with their distance and where it is."""

    i: IntArray
    j: IntArray
    distance: FloatArray
    on_i: FloatArray
    on_j: FloatArray

    def take(self, rows: IntArray | BoolArray) -> Pairs:
        """Some of the pairs, by index or mask."""
        return Pairs(self.i[rows], self.j[rows], self.distance[rows], self.on_i[rows], self.on_j[rows])


@dataclass(frozen=True, eq=False)
class Look:
    """The parts with all their sides in one table; outline 0 of a part is its outer one, then come its holes.

    Pieces pressed together count as parts of their own with one number in `body`.
    """

    parts: tuple[Part, ...]
    body: tuple[int, ...]

    @classmethod
    def at(cls, parts: Sequence[Part]) -> Look:
        """Take conductors apart into their pieces."""
        apart = [
            [replace(part, pieces=()), *(Part(f"{part.name}, piece {k}", p) for k, p in enumerate(part.pieces, 1))]
            for part in parts
        ]
        return cls(tuple(p for row in apart for p in row), tuple(n for n, row in enumerate(apart) for _ in row))

    @cached_property
    def outlines(self) -> list[Outline]:
        """All outlines, part after part."""
        return [o for part in self.parts for o in part.outlines]

    @cached_property
    def part_of(self) -> IntArray:
        """Part of every outline."""
        return np.repeat(np.arange(len(self.parts)), [len(p.outlines) for p in self.parts])

    @cached_property
    def hole_of(self) -> IntArray:
        """Number of every outline as a hole of its part, from 1; 0 for the outer outline."""
        return np.concatenate([np.arange(len(p.outlines)) for p in self.parts])

    @cached_property
    def first(self) -> IntArray:
        """First side of every outline, and the number of all sides."""
        return np.concatenate(([0], np.cumsum([len(o.points) for o in self.outlines])))

    @cached_property
    def owner(self) -> IntArray:
        """Outline of every side."""
        return np.repeat(np.arange(len(self.outlines)), np.diff(self.first))

    @cached_property
    def sides(self) -> Sides:
        """All sides, outline after outline."""
        return Sides.of(*self.outlines)

    @cached_property
    def size(self) -> float:
        """Diagonal of the box around everything [m]."""
        boxes = np.array([p.shape.outer.bounds for p in self.parts])
        return float(np.hypot(*(boxes[:, 1].max(axis=0) - boxes[:, 0].min(axis=0))))

    @cached_property
    def spans(self) -> FloatArray:
        """Diagonal of the box around every part [m]."""
        return np.array([o.size for o in (p.shape.outer for p in self.parts)])

    @cached_property
    def coat(self) -> FloatArray:
        """Thickness of all coats on every outline [m]."""
        outside, inside = (
            np.array([sum(c) for c in coats], dtype=float)
            for coats in ([p.coats for p in self.parts], [p.bore_coats for p in self.parts])
        )
        return np.where(self.hole_of == 0, outside[self.part_of], inside[self.part_of])

    @cached_property
    def following(self) -> IntArray:
        """The side that follows every side on its outline."""
        after = np.arange(len(self.sides)) + 1
        last = after == self.first[self.owner + 1]
        return np.where(last, self.first[self.owner], after)

    @cached_property
    def preceding(self) -> IntArray:
        """The side before every side on its outline."""
        return np.asarray(np.argsort(self.following))

    @cached_property
    def pairs(self) -> Pairs:
        """All pairs of sides near enough to matter, neighbours on one outline left out."""
        reach = max(2 * NARROWEST * self.size, 2.001 * float(self.coat.max(initial=0.0)))
        found = []
        for i, j in near_pairs(self.sides, self.sides, reach):
            keep = (i < j) & (self.following[i] != j) & (self.following[j] != i)
            i, j = i[keep], j[keep]
            distance, on_i, on_j = side_distances(self.sides.take(i), self.sides.take(j))
            found.append(Pairs(i, j, distance, on_i, on_j).take(distance <= reach))
        names = ("i", "j", "distance", "on_i", "on_j")
        return Pairs(*(np.concatenate([getattr(p, name) for p in found]) for name in names))

    @cached_property
    def nested_boxes(self) -> list[tuple[int, int]]:
        """Pairs of outlines (inner, outer) of which the inner one's box lies within the outer one's."""
        boxes = np.array([o.bounds for o in self.outlines])
        low, high = boxes[:, 0], boxes[:, 1]
        within = ((low[:, None] >= low) & (high[:, None] <= high)).all(axis=2)
        return [(int(i), int(o)) for i, o in np.argwhere(within) if i != o]

    def name(self, outline: int) -> str:
        """What an outline is called in a message."""
        conductor = f'conductor "{self.parts[self.part_of[outline]].name}"'
        return f"hole {self.hole_of[outline]} of {conductor}" if self.hole_of[outline] else conductor

    def culprits(self, *parts: int) -> tuple[tuple[str, int], ...]:
        """Parts as a fault names them: conductor and number of the piece, 0 for its base metal."""
        mains = [self.body.index(self.body[k]) for k in parts]
        return tuple((self.parts[main].name, int(k - main)) for k, main in zip(parts, mains, strict=True))

    def fault(self, outline: int, found: str, hint: str) -> GeometryFault:
        """Something that is wrong with one outline."""
        return GeometryFault(f"{self.name(outline)} {found}", hint, self.culprits(int(self.part_of[outline])))

    def number(self, side: int) -> int:
        """Number of a side on its outline as given, from 1."""
        outline: Outline = self.outlines[self.owner[side]]
        return outline.number(int(side - self.first[self.owner[side]]))

    def numbers(self, one: int, other: int) -> str:
        """Two sides of one outline by their numbers: "sides 1 and 3"."""
        return "sides {} and {}".format(*sorted((self.number(one), self.number(other))))

    def least(self, one: int, other: int) -> float:
        """Smallest gap the mesh serves between two parts, or between two sides of one [m].

        Facing sides share their nodes, so their number grows with length over gap: at 0.5 um between bars of 100 mm
        a pair of conductors takes half of the unknowns a solve is allowed.
        """
        return max(RESOLVABLE * self.size, NARROWEST * min(float(self.spans[one]), float(self.spans[other])))

    def closest(self, pairs: Pairs, key: IntArray) -> list[tuple[int, int, float, FloatArray]]:
        """For every pair of owners (`key` per outline): closest sides, their distance, and the place between."""
        first, second = key[self.owner[pairs.i]], key[self.owner[pairs.j]]
        order = np.lexsort((pairs.distance, second, first))
        _, kept = np.unique(np.column_stack((first, second))[order], axis=0, return_index=True)
        rows = order[kept]
        place = (pairs.on_i + pairs.on_j) / 2
        return [(int(pairs.i[r]), int(pairs.j[r]), float(pairs.distance[r]), place[r]) for r in rows]


def across(look: Look, pairs: Pairs) -> tuple[FloatArray, BoolArray]:
    """Width of the slot or web between two sides of one outline, infinite where they do not face each other.

    The width is the diameter of the circle that touches one side and reaches the other: where the sides are
    closest, and in the middle of each. The second array tells slots (air between) from webs (metal between).
    """
    width, slot = np.full(len(pairs.i), np.inf), np.zeros(len(pairs.i), dtype=bool)
    for near in (pairs, *_from_middles(look, pairs)):
        ahead = ahead_of(look, near)
        air, metal = (ahead > 0).all(axis=0), (ahead < 0).all(axis=0)
        rise = np.where(air | metal, np.abs(ahead).max(axis=0), 1.0)
        found = np.where(air | metal, near.distance**2 / rise, np.inf)
        slot = np.where(found < width, air, slot)
        width = np.minimum(width, found)
    return width, slot


def _from_middles(look: Look, pairs: Pairs) -> tuple[Pairs, Pairs]:
    """The same pairs, from the middle of one side to the nearest point of the other."""
    one, other = look.sides.take(pairs.i), look.sides.take(pairs.j)
    to_other, foot = nearest(other, one.middle)
    to_one, back = nearest(one, other.middle)
    return (
        Pairs(pairs.i, pairs.j, to_other, one.middle, foot),
        Pairs(pairs.i, pairs.j, to_one, back, other.middle),
    )


def ahead_of(look: Look, pairs: Pairs) -> FloatArray:
    """How far the other side lies ahead along the outward normal at sides i and j, (2, m) [m]."""
    way = pairs.on_j - pairs.on_i
    return np.stack((dot(_normal(look, pairs.i, pairs.on_i), way), -dot(_normal(look, pairs.j, pairs.on_j), way)))


def _normal(look: Look, side: IntArray, place: FloatArray) -> FloatArray:
    """Outward normal at a place on a side; the mean of both sides at a corner."""
    here = look.sides.take(side)
    total = here.tangent(place)
    for corner, neighbour in ((here.start, look.preceding[side]), (here.end, look.following[side])):
        at_corner = np.hypot(*(place - corner).T) <= TOUCH * look.size
        total = total + at_corner[:, None] * look.sides.take(neighbour).tangent(corner)
    return -turned_left(unit(total))


# --- words ---------------------------------------------------------------------------------------


def length(value: float) -> str:
    """A length [m] as text in mm, small ones in um.

    Examples
    --------
    >>> length(0.0015), length(2.5e-05)
    ('1.5 mm', '25 um')
    """
    if 0 < abs(value) < 0.99995e-4:
        return f"{value * 1e6:.4g} um"
    return f"{value * 1e3:.6g} mm"


def place_text(point: FloatArray) -> str:
    """A point [m] as text in mm."""
    x, y = (round(float(v) * 1e3, 6) + 0.0 for v in point)
    return f"({x:.6g} mm, {y:.6g} mm)"


def least_text(least: float) -> str:
    """The smallest distance that would do, as text."""
    return f"the mesh needs at least {length(least)} here"
