"""The checks of a section: every fault is named with its culprits, its place and its distance.

All sides of the section are compared with one another at once; each kind of fault then looks at its own pairs.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from crosscurrent.geometries.arrays import BoolArray, FloatArray
from crosscurrent.geometries.errors import GeometryError, GeometryFault

from .contacts import TOUCH, Look, Pairs, across, least_text, length, place_text
from .overlap import overlap_place, separation
from .part import RESOLVABLE, Part
from .plating import coats_in_gaps, coats_on_parts
from .sides import cross, dot, nearest, turned_left, unit

STRETCH = 2e-3  # how far touching sides of pieces must go on together, as a fraction of the smaller piece
SHARPEST = 1e-3  # corners with a smaller angle [rad] are folds
MOST_NAMED = 20  # faults named in one message
_UNNAMED = GeometryFault("one of those that are only counted")  # to find what is wrong with it takes long
MOST_COUNTED = 1000  # of conductors inside one another
MOST_SIDES = 20_000  # of all conductors together
_CLAD = "or make them one conductor with `clad` if they are meant to touch"
_WIDEN = f"widen the gap, {_CLAD}"


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
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> rail = bar(0.1, 0.006)
    >>> check_section([Part("outgoing", rail), Part("return", rail.placed((0, 0.0055)))])  # doctest: +ELLIPSIS
    Traceback (most recent call last):
    crosscurrent.geometries.errors.GeometryError: conductors "outgoing" and "return" overlap by 0.5 mm near ...
    """
    look = Look.at(parts)
    if (sides := int(look.first[-1])) > MOST_SIDES:
        found = f"the section has {sides} lines and arcs, more than {MOST_SIDES}"
        raise GeometryError(GeometryFault(found, "draw fewer conductors, and arcs as arcs"))
    for check in (_direction, _folds, _self_contacts, _holes, _neighbours, _pieces, coats_on_parts, coats_in_gaps):
        faults = check(look)
        if faults:
            raise GeometryError(*faults[:MOST_NAMED], more=max(len(faults) - MOST_NAMED, 0))


# --- one part for itself -------------------------------------------------------------------------


def _direction(look: Look) -> list[GeometryFault]:
    return [
        look.fault(k, "runs clockwise", "give its points counter-clockwise (Outline.counter_clockwise)")
        for k, outline in enumerate(look.outlines)
        if outline.area < 0
    ]


def _folds(look: Look) -> list[GeometryFault]:
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
        sides = look.numbers(int(here[k]), int(there[k]))
        if sharp[k]:
            found = f"folds back on itself: {sides} leave no angle at {place_text(a.end[k])}"
            faults.append(look.fault(outline, found, "open the corner or take one of the sides away"))
        else:
            faults.append(_crossing_itself(look, outline, sides, again[k]))
    return faults


def _self_contacts(look: Look) -> list[GeometryFault]:
    pairs = look.pairs.take(look.owner[look.pairs.i] == look.owner[look.pairs.j])
    gap, slot = across(look, pairs)
    gap = np.where(pairs.distance <= TOUCH * look.size, 0.0, gap)
    least = np.array([look.least(p, p) for p in range(len(look.parts))])[look.part_of[look.owner[pairs.i]]]
    least = np.where(slot, least, RESOLVABLE * look.size)
    faults = []
    narrow: set[int] = set()
    for k in sorted(np.flatnonzero(gap < least), key=lambda k: float(gap[k])):
        outline = int(look.owner[pairs.i[k]])
        if gap[k] > 0 and outline in narrow:
            continue
        narrow.add(outline)
        sides = look.numbers(int(pairs.i[k]), int(pairs.j[k]))
        if gap[k] == 0:
            faults.append(_crossing_itself(look, outline, sides, pairs.on_i[k]))
        else:
            found = f"nearly touches itself: {sides} are {length(gap[k])} apart near {place_text(pairs.on_i[k])}"
            faults.append(look.fault(outline, found, least_text(float(least[k]))))
    return faults


def _crossing_itself(look: Look, outline: int, sides: str, place: FloatArray) -> GeometryFault:
    found = f"crosses or touches itself: {sides} meet at {place_text(place)}"
    return look.fault(outline, found, "give its points in order around the part, each once")


def _holes(look: Look) -> list[GeometryFault]:
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
            found = f"crosses or touches {other}: {sides} meet at {place_text(place)}"
            faults.append(look.fault(hole, found, "move the hole or make it smaller"))
        else:
            found = f"nearly touches {other}: {sides} are {length(gap)} apart near {place_text(place)}"
            faults.append(look.fault(hole, found, least_text(RESOLVABLE * look.size)))
    for hole in np.flatnonzero(look.hole_of).tolist():
        outer = int(hole - look.hole_of[hole])
        if (outer, hole) not in met and not _inside(look, hole, outer):
            where = place_text(look.outlines[hole].points[0])
            faults.append(look.fault(hole, f"lies outside its outline, at {where}", "move it inside or leave it out"))
    for inner, around in look.nested_boxes:
        if look.hole_of[inner] and look.hole_of[around] and look.part_of[inner] == look.part_of[around]:
            pair = (min(inner, around), max(inner, around))
            if pair not in met and _inside(look, inner, around):
                faults.append(look.fault(inner, f"lies inside hole {look.hole_of[around]}", "leave one of them out"))
    return faults


# --- part against part ---------------------------------------------------------------------------


def _neighbours(look: Look) -> list[GeometryFault]:
    faults: list[GeometryFault] = []
    met = set()
    between = look.part_of[look.owner[look.pairs.i]] != look.part_of[look.owner[look.pairs.j]]
    for i, j, gap, place in look.closest(look.pairs.take(between), look.part_of):
        one, other = (int(look.part_of[look.owner[s]]) for s in (i, j))
        if gap >= look.least(one, other):
            continue
        met.add((one, other))
        if len(faults) >= MOST_NAMED and look.body[one] != look.body[other]:
            faults.append(_UNNAMED)
            continue
        names = f'conductors "{look.parts[one].name}" and "{look.parts[other].name}"'
        culprits = look.culprits(one, other)
        inside = None
        if gap <= TOUCH * look.size:
            inside = overlap_place(look.parts[one].shape, look.parts[other].shape, TOUCH * look.size)
        if inside is not None:
            faults.append(_overlap(look, one, other, inside))
        elif look.body[one] == look.body[other]:
            if gap > TOUCH * look.size:
                found = f"{names} are {length(gap)} apart near {place_text(place)}"
                faults.append(GeometryFault(found, "press them together", culprits))
        elif gap <= TOUCH * look.size:
            faults.append(GeometryFault(f"{names} touch at {place_text(place)}", f"leave a gap, {_CLAD}", culprits))
        else:
            least = least_text(look.least(one, other))
            found = f"{names} are only {length(gap)} apart near {place_text(place)}"
            faults.append(GeometryFault(found, f"{least}: {_WIDEN}", culprits))
    for inner, outer in look.nested_boxes:
        one, other = int(look.part_of[inner]), int(look.part_of[outer])
        if one == other or look.hole_of[inner] or look.hole_of[outer] or (min(one, other), max(one, other)) in met:
            continue
        in_bore = any(_inside(look, inner, outer + k) for k in range(1, len(look.parts[other].outlines)))
        if _inside(look, inner, outer) and not in_bore:
            if len(faults) >= MOST_COUNTED:
                break
            if len(faults) >= MOST_NAMED:
                faults.append(_UNNAMED)
                continue
            how = f' ("{look.parts[one].name}" lies wholly inside the other)'
            faults.append(_overlap(look, one, other, look.outlines[inner].points[0], how))
    return faults


def _pieces(look: Look) -> list[GeometryFault]:
    """Pieces of one conductor that hang together nowhere, or are plated."""
    count = len(look.parts)
    touching = look.pairs.take(look.pairs.distance <= TOUCH * look.size)
    touching = touching.take(_share_a_stretch(look, touching))
    i, j = (look.part_of[look.owner[k]] for k in (touching.i, touching.j))
    joined = coo_array((np.ones(len(i)), (i, j)), shape=(count, count))
    _, group = connected_components(joined, directed=False)
    faults = []
    for k, body in enumerate(look.body):
        main = look.body.index(body)
        if group[k] != group[main]:
            found = f'"{look.parts[k].name}" does not touch the rest of its conductor along a stretch'
            hint = "move it against it, give it a flat, or make it a conductor of its own"
            faults.append(GeometryFault(found, hint, look.culprits(k)))
        if k != main and look.parts[main].layers:
            found = f'"{look.parts[main].name}" has pieces and cannot be plated as well'
            faults.append(GeometryFault(found, "leave one of them out", look.culprits(main)))
    return faults or _cusps(look)


def _cusps(look: Look) -> list[GeometryFault]:
    """Pieces that part along a common tangent: the gap between them tapers to nothing, and no mesh fills it."""
    touching = look.pairs.take(look.pairs.distance <= TOUCH * look.size)
    touching = touching.take(look.sides.curved[touching.i] | look.sides.curved[touching.j])
    one, other = look.sides.take(touching.i), look.sides.take(touching.j)
    first, second = one.tangent(touching.on_i), other.tangent(touching.on_j)
    smaller = np.minimum(*(look.spans[look.part_of[look.owner[k]]] for k in (touching.i, touching.j)))
    step = STRETCH * smaller[:, None]
    tapering = np.zeros(len(touching.i), dtype=bool)
    for way in (1.0, -1.0):
        along = way * first, way * np.sign(dot(first, second))[:, None] * second
        ends = [
            nearest(one, touching.on_i + step * along[0])[1],
            nearest(other, touching.on_j + step * along[1])[1],
        ]
        gone = [np.hypot(*(end - touching.on_i).T) > 0.5 * step[:, 0] for end in ends]
        apart = np.hypot(*(ends[0] - ends[1]).T)
        tapering |= gone[0] & gone[1] & (np.abs(cross(first, second)) < SHARPEST) & (apart > 100 * TOUCH * look.size)
    faults: dict[tuple[int, ...], GeometryFault] = {}
    for i, j, place in zip(touching.i[tapering], touching.j[tapering], touching.on_i[tapering], strict=True):
        parts = tuple(sorted(int(look.part_of[look.owner[k]]) for k in (i, j)))
        names = " and ".join(f'"{look.parts[k].name}"' for k in parts)
        found = f"{names} part near {place_text(place)} along a tangent: the gap between them tapers to nothing"
        hint = "let the contact end at a corner: sharp edges there, or one piece no wider than the flat of the other"
        faults.setdefault(parts, GeometryFault(found, hint, look.culprits(*parts)))
    return list(faults.values())


def _share_a_stretch(look: Look, pairs: Pairs) -> BoolArray:
    """Whether touching sides go on together from where they touch, and do not meet in one point only."""
    one, other = look.sides.take(pairs.i), look.sides.take(pairs.j)
    spans = look.spans[look.part_of[look.owner[pairs.i]]], look.spans[look.part_of[look.owner[pairs.j]]]
    step = STRETCH * np.minimum(*spans)[:, None]
    together = np.zeros(len(pairs.i), dtype=bool)
    for way in (1.0, -1.0):
        _, further = nearest(one, pairs.on_i + way * step * one.tangent(pairs.on_i))
        gone = np.hypot(*(further - pairs.on_i).T) > 0.5 * step[:, 0]
        together |= gone & (nearest(other, further)[0] <= 100 * TOUCH * look.size)
    return together


def _overlap(look: Look, one: int, other: int, place: FloatArray, how: str = "") -> GeometryFault:
    first, second = min(one, other), max(one, other)
    names = f'conductors "{look.parts[first].name}" and "{look.parts[second].name}"'
    depth = separation(look.parts[first].shape, look.parts[second].shape)
    by = "" if depth is None else f" by {length(depth)}"
    found = f"{names} overlap{by} near {place_text(place)}{how}"
    return GeometryFault(found, "move them apart or make one of them smaller", look.culprits(first, second))


def _inside(look: Look, inner: int, outer: int) -> bool:
    """Whether an outline that does not meet another one lies inside it."""
    return bool(look.outlines[outer].contains(look.outlines[inner].points[:1])[0])
