"""The checks of a section: every fault is named with its culprits, its place and its distance.

All sides of the section are compared with one another at once; each kind of fault then looks at its own pairs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from .distance import near_pairs
from .errors import GeometryError
from .inscribed import largest_inscribed_circle
from .lines_arcs import BoolArray, IntArray, Sides, cross, dot, nearest, side_distances, turned_left, unit
from .outline import FloatArray, Outline
from .overlap import overlap_place, separation
from .section import RESOLVABLE, Part

TOUCH = 1e-11  # distances below this fraction of the size are rounding errors
SHARPEST = 1e-3  # corners with a smaller angle [rad] are folds
MOST_NAMED = 20  # faults named in one message


def check_section(parts: Sequence[Part]) -> None:
    """Check the parts of a section for themselves and against one another.

    Raises
    ------
    GeometryError
        An outline that crosses, touches or folds onto itself; a hole that leaves its outline or meets another
        hole; parts that overlap, touch or lie closer than the mesh can resolve; plating thicker than the part or
        than half of a gap. The message names all culprits of the first kind found.

    Examples
    --------
    >>> from .section import Part
    >>> from .shapes import bar
    >>> rail = bar(0.1, 0.006)
    >>> check_section([Part("outgoing", rail), Part("return", rail.placed((0.0, 0.0055)))])
    Traceback (most recent call last):
    ...
    crosscurrent.geometries.errors.GeometryError: conductors "outgoing" and "return" overlap by 0.5 mm near ...
    """
    look = _Look(tuple(parts))
    for check in (_direction, _folds, _self_contacts, _holes, _neighbours, _coats_on_parts, _coats_in_gaps):
        faults = check(look)
        if faults:
            more = [f"and {len(faults) - MOST_NAMED} more"] if len(faults) > MOST_NAMED else []
            raise GeometryError("\n".join(faults[:MOST_NAMED] + more))


@dataclass(frozen=True, eq=False)
class _Pairs:
    """Pairs of sides i < j that are near each other, with their distance and where it is."""

    i: IntArray
    j: IntArray
    distance: FloatArray
    on_i: FloatArray
    on_j: FloatArray

    def take(self, rows: IntArray | BoolArray) -> _Pairs:
        return _Pairs(self.i[rows], self.j[rows], self.distance[rows], self.on_i[rows], self.on_j[rows])


@dataclass(frozen=True, eq=False)
class _Look:
    """The parts with all their sides in one table; outline 0 of a part is its outer one, then come its holes."""

    parts: tuple[Part, ...]

    @cached_property
    def outlines(self) -> list[Outline]:
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
        return Sides.of(*self.outlines)

    @cached_property
    def size(self) -> float:
        boxes = np.array([p.shape.outer.bounds for p in self.parts])
        return float(np.hypot(*(boxes[:, 1].max(axis=0) - boxes[:, 0].min(axis=0))))

    @cached_property
    def coat(self) -> FloatArray:
        """Thickness of all coats on every outline [m]; holes have none."""
        coats = np.array([sum(p.coats) for p in self.parts], dtype=float)
        return np.where(self.hole_of == 0, coats[self.part_of], 0.0)

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
    def pairs(self) -> _Pairs:
        """All pairs of sides near enough to matter, neighbours on one outline left out."""
        reach = max(2 * RESOLVABLE * self.size, 2.001 * float(self.coat.max(initial=0.0)))
        found = []
        for i, j in near_pairs(self.sides, self.sides, reach):
            keep = (i < j) & (self.following[i] != j) & (self.following[j] != i)
            i, j = i[keep], j[keep]
            distance, on_i, on_j = side_distances(self.sides.take(i), self.sides.take(j))
            found.append(_Pairs(i, j, distance, on_i, on_j).take(distance <= reach))
        names = ("i", "j", "distance", "on_i", "on_j")
        return _Pairs(*(np.concatenate([getattr(p, name) for p in found]) for name in names))

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

    def number(self, side: int) -> int:
        """Number of a side on its outline, from 1."""
        return int(side - self.first[self.owner[side]]) + 1

    def closest(self, pairs: _Pairs, key: IntArray) -> list[tuple[int, int, float, FloatArray]]:
        """For every pair of owners (`key` per outline): closest sides, their distance, and the place between."""
        first, second = key[self.owner[pairs.i]], key[self.owner[pairs.j]]
        order = np.lexsort((pairs.distance, second, first))
        _, kept = np.unique(np.column_stack((first, second))[order], axis=0, return_index=True)
        rows = order[kept]
        place = (pairs.on_i + pairs.on_j) / 2
        return [(int(pairs.i[r]), int(pairs.j[r]), float(pairs.distance[r]), place[r]) for r in rows]


# --- one part for itself -------------------------------------------------------------------------


def _direction(look: _Look) -> list[str]:
    return [
        f"{look.name(k)} runs clockwise; give its points counter-clockwise (Outline.counter_clockwise)"
        for k, outline in enumerate(look.outlines)
        if outline.area < 0
    ]


def _folds(look: _Look) -> list[str]:
    """Sides that follow each other but turn back, or meet again away from their common corner."""
    here = np.arange(len(look.sides))
    there = look.following
    a, b = look.sides, look.sides.take(there)
    back, ahead = -a.tangent(a.end), b.tangent(b.start)
    sharp = np.abs(np.arctan2(cross(back, ahead), dot(back, ahead))) < SHARPEST
    # two circles, or a circle and a line, that meet at the corner meet again at its mirror image
    with np.errstate(invalid="ignore"):
        axis = np.where((a.curved & b.curved)[:, None], turned_left(unit(b.centre - a.centre)), 0.0)
    axis = np.where((~a.curved)[:, None], unit(a.chord), np.where((~b.curved)[:, None], unit(b.chord), axis))
    centre = np.where(a.curved[:, None], a.centre, b.centre)
    again = a.end + 2 * dot(centre - a.end, axis)[:, None] * axis
    apart = np.hypot(*(again - a.end).T) > TOUCH * look.size
    more_than_two = np.diff(look.first)[look.owner] > 2
    with np.errstate(invalid="ignore"):
        crossed = apart & more_than_two & a.covers(again) & b.covers(again)
    faults = []
    for k in np.flatnonzero(sharp | crossed):
        outline = int(look.owner[k])
        sides = f"sides {look.number(int(here[k]))} and {look.number(int(there[k]))}"
        if sharp[k]:
            faults.append(
                f"{look.name(outline)} folds back on itself: {sides} leave no angle at {_place(a.end[k])}; "
                "open the corner or take one of the sides away"
            )
        else:
            faults.append(_crossing_itself(look, outline, sides, again[k]))
    return faults


def _self_contacts(look: _Look) -> list[str]:
    pairs = look.pairs.take(look.owner[look.pairs.i] == look.owner[look.pairs.j])
    gap, _ = _across(look, pairs)
    gap = np.where(pairs.distance <= TOUCH * look.size, 0.0, gap)
    faults = []
    narrow: set[int] = set()
    for k in np.argsort(gap, kind="stable")[: int((gap < RESOLVABLE * look.size).sum())]:
        outline = int(look.owner[pairs.i[k]])
        if gap[k] > 0 and outline in narrow:
            continue
        narrow.add(outline)
        sides = f"sides {look.number(int(pairs.i[k]))} and {look.number(int(pairs.j[k]))}"
        if gap[k] == 0:
            faults.append(_crossing_itself(look, outline, sides, pairs.on_i[k]))
        else:
            faults.append(
                f"{look.name(outline)} nearly touches itself: {sides} are {length(gap[k])} apart near "
                f"{_place(pairs.on_i[k])}; {_least(look)}"
            )
    return faults


def _crossing_itself(look: _Look, outline: int, sides: str, place: FloatArray) -> str:
    return (
        f"{look.name(outline)} crosses or touches itself: {sides} meet at {_place(place)}; "
        "give its points in order around the part, each once"
    )


def _across(look: _Look, pairs: _Pairs) -> tuple[FloatArray, BoolArray]:
    """Width of the slot or web between two sides of one outline, infinite where they do not face each other.

    The width is the diameter of the circle that touches one side and reaches the other: where the sides are
    closest, and in the middle of each. The second array tells slots (air between) from webs (metal between).
    """
    width, slot = np.full(len(pairs.i), np.inf), np.zeros(len(pairs.i), dtype=bool)
    for near in (pairs, *_from_middles(look, pairs)):
        ahead = _ahead(look, near)
        air, metal = (ahead > 0).all(axis=0), (ahead < 0).all(axis=0)
        rise = np.where(air | metal, np.abs(ahead).max(axis=0), 1.0)
        found = np.where(air | metal, near.distance**2 / rise, np.inf)
        slot = np.where(found < width, air, slot)
        width = np.minimum(width, found)
    return width, slot


def _from_middles(look: _Look, pairs: _Pairs) -> tuple[_Pairs, _Pairs]:
    """The same pairs, from the middle of one side to the nearest point of the other."""
    one, other = look.sides.take(pairs.i), look.sides.take(pairs.j)
    to_other, foot = nearest(other, one.middle)
    to_one, back = nearest(one, other.middle)
    return (
        _Pairs(pairs.i, pairs.j, to_other, one.middle, foot),
        _Pairs(pairs.i, pairs.j, to_one, back, other.middle),
    )


def _ahead(look: _Look, pairs: _Pairs) -> FloatArray:
    """How far the other side lies ahead along the outward normal at sides i and j, (2, m) [m]."""
    way = pairs.on_j - pairs.on_i
    return np.stack((dot(_normal(look, pairs.i, pairs.on_i), way), -dot(_normal(look, pairs.j, pairs.on_j), way)))


def _normal(look: _Look, side: IntArray, place: FloatArray) -> FloatArray:
    """Outward normal at a place on a side; the mean of both sides at a corner."""
    here = look.sides.take(side)
    total = here.tangent(place)
    for corner, neighbour in ((here.start, look.preceding[side]), (here.end, look.following[side])):
        at_corner = np.hypot(*(place - corner).T) <= TOUCH * look.size
        total = total + at_corner[:, None] * look.sides.take(neighbour).tangent(corner)
    return -turned_left(unit(total))


def _holes(look: _Look) -> list[str]:
    faults, met = [], set()
    one_part = look.part_of[look.owner[look.pairs.i]] == look.part_of[look.owner[look.pairs.j]]
    pairs = look.pairs.take(one_part & (look.owner[look.pairs.i] != look.owner[look.pairs.j]))
    for i, j, gap, place in look.closest(pairs, np.arange(len(look.outlines))):
        outer, hole = int(look.owner[i]), int(look.owner[j])
        if gap >= RESOLVABLE * look.size:
            continue
        met.add((outer, hole))
        other = "its outline" if look.hole_of[outer] == 0 else f"hole {look.hole_of[outer]}"
        sides = f"side {look.number(j)} of the hole and side {look.number(i)} of {other}"
        if gap <= TOUCH * look.size:
            faults.append(
                f"{look.name(hole)} crosses or touches {other}: {sides} meet at {_place(place)}; "
                "move the hole or make it smaller"
            )
        else:
            faults.append(
                f"{look.name(hole)} nearly touches {other}: {sides} are {length(gap)} apart near {_place(place)}; "
                f"{_least(look)}"
            )
    for hole in np.flatnonzero(look.hole_of).tolist():
        outer = int(hole - look.hole_of[hole])
        if (outer, hole) not in met and not _inside(look, hole, outer):
            where = _place(look.outlines[hole].points[0])
            faults.append(f"{look.name(hole)} lies outside its outline, at {where}; move it inside or leave it out")
    for inner, around in look.nested_boxes:
        if look.hole_of[inner] and look.hole_of[around] and look.part_of[inner] == look.part_of[around]:
            pair = (min(inner, around), max(inner, around))
            if pair not in met and _inside(look, inner, around):
                faults.append(f"{look.name(inner)} lies inside hole {look.hole_of[around]}; leave one of them out")
    return faults


# --- part against part ---------------------------------------------------------------------------


def _neighbours(look: _Look) -> list[str]:
    faults, met = [], set()
    between = look.part_of[look.owner[look.pairs.i]] != look.part_of[look.owner[look.pairs.j]]
    for i, j, gap, place in look.closest(look.pairs.take(between), look.part_of):
        one, other = (int(look.part_of[look.owner[s]]) for s in (i, j))
        if gap >= RESOLVABLE * look.size:
            continue
        met.add((one, other))
        names = f'conductors "{look.parts[one].name}" and "{look.parts[other].name}"'
        inside = None
        if gap <= TOUCH * look.size:
            inside = overlap_place(look.parts[one].shape, look.parts[other].shape, TOUCH * look.size)
        if inside is not None:
            faults.append(_overlap(look, one, other, inside))
        elif gap <= TOUCH * look.size:
            faults.append(f"{names} touch at {_place(place)}; leave a gap, or make them one conductor")
        else:
            faults.append(f"{names} are only {length(gap)} apart near {_place(place)}; {_least(look)}")
    for inner, outer in look.nested_boxes:
        one, other = int(look.part_of[inner]), int(look.part_of[outer])
        if one == other or look.hole_of[inner] or look.hole_of[outer] or (min(one, other), max(one, other)) in met:
            continue
        in_bore = any(_inside(look, inner, outer + k) for k in range(1, len(look.parts[other].outlines)))
        if _inside(look, inner, outer) and not in_bore:
            faults.append(_overlap(look, one, other, look.outlines[inner].points[0]))
    return faults


def _overlap(look: _Look, one: int, other: int, place: FloatArray) -> str:
    first, second = min(one, other), max(one, other)
    names = f'conductors "{look.parts[first].name}" and "{look.parts[second].name}"'
    depth = separation(look.parts[first].shape, look.parts[second].shape)
    by = "" if depth is None else f" by {length(depth)}"
    return f"{names} overlap{by} near {_place(place)}; move them apart or make one of them smaller"


def _inside(look: _Look, inner: int, outer: int) -> bool:
    """Whether an outline that does not meet another one lies inside it."""
    return bool(look.outlines[outer].contains(look.outlines[inner].points[:1])[0])


# --- plating -------------------------------------------------------------------------------------


def _coats_on_parts(look: _Look) -> list[str]:
    faults = []
    for k in np.flatnonzero(look.hole_of == 0).tolist():
        part = look.parts[look.part_of[k]]
        if any(not coat > 0 or not np.isfinite(coat) for coat in part.coats):
            thickness = ", ".join(length(coat) for coat in part.coats)
            faults.append(f"{look.name(k)} has a layer of plating without thickness ({thickness}); make it positive")
        elif part.coats:
            faults += _coat_on_part(look, k, float(look.coat[k]))
    return faults


def _coat_on_part(look: _Look, k: int, coat: float) -> list[str]:
    part, outline = look.parts[look.part_of[k]], look.outlines[k]
    plating = f"the plating of {look.name(k)}, {length(coat)},"
    radius = largest_inscribed_circle(outline, part.shape.holes)[1]
    if coat > radius * (1 + 1e-9):
        return [f"{plating} is thicker than half of the part's thickness of {length(2 * radius)}; make it thinner"]
    tight = outline.curved & (outline.bulges < 0) & (outline.radii <= coat * (1 + 1e-9))
    if tight.any():
        side = int(np.flatnonzero(tight)[0])
        return [
            f"{plating} does not fit into its hollow side {side + 1} of radius {length(outline.radii[side])} near "
            f"{_place(look.sides.middle[look.first[k] + side])}; make it thinner"
        ]
    pairs = look.pairs.take((look.owner[look.pairs.i] == k) & (look.owner[look.pairs.j] == k))
    gap, slot = _across(look, pairs)
    gap = np.where(slot, gap, np.inf)
    if not len(gap) or gap.min() >= 2 * coat + RESOLVABLE * look.size:
        return []
    worst = int(gap.argmin())
    sides = f"sides {look.number(int(pairs.i[worst]))} and {look.number(int(pairs.j[worst]))}"
    return [
        f"{plating} is thicker than half of the {length(gap[worst])} between its own {sides} near "
        f"{_place(pairs.on_i[worst])}; make it thinner or the slot wider"
    ]


def _coats_in_gaps(look: _Look) -> list[str]:
    faults: dict[tuple[int, int], str] = {}
    pairs = look.pairs.take(look.part_of[look.owner[look.pairs.i]] != look.part_of[look.owner[look.pairs.j]])
    coated = look.coat[look.owner[np.stack((pairs.i, pairs.j))]] > 0
    outward = np.asarray((~coated | (_ahead(look, pairs) > 0)).all(axis=0))  # the way plating grows
    pairs = pairs.take(outward)
    for i, j, gap, place in look.closest(pairs, np.arange(len(look.outlines))):
        one, other = int(look.owner[i]), int(look.owner[j])
        where = f"the gap of {length(gap)} between {look.name(one)} and {look.name(other)} near {_place(place)}"
        key = (int(look.part_of[one]), int(look.part_of[other]))
        for plated in (one, other):
            if look.coat[plated] > gap / 2 * (1 + 1e-9):
                faults.setdefault(
                    key,
                    f"the plating of {look.name(plated)}, {length(float(look.coat[plated]))}, is thicker than half of "
                    f"{where}; make it thinner or the gap wider",
                )
        left = gap - look.coat[one] - look.coat[other]
        if look.coat[one] + look.coat[other] > 0 and left < RESOLVABLE * look.size:
            faults.setdefault(key, f"their plating leaves {length(max(left, 0.0))} of {where}; {_least(look)}")
    return list(faults.values())


# --- words ---------------------------------------------------------------------------------------


def length(value: float) -> str:
    """A length [m] as text in mm, small ones in um."""
    if 0 < abs(value) < 0.99995e-4:
        return f"{value * 1e6:.4g} um"
    return f"{value * 1e3:.6g} mm"


def _place(point: FloatArray) -> str:
    x, y = (round(float(v) * 1e3, 6) + 0.0 for v in point)
    return f"({x:.6g} mm, {y:.6g} mm)"


def _least(look: _Look) -> str:
    return f"the mesh needs at least {length(RESOLVABLE * look.size)} in a section of {length(look.size)}"
