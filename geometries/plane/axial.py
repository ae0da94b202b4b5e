"""Sections round an axis: x is the radius, the axis is x = 0; what lies on it is given whole, its own mirror image."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.errors import GeometryError, GeometryFault

from .contacts import least_text, length, place_text
from .outline import Outline
from .part import RESOLVABLE, Part
from .shapes import Shape
from .sides import Sides

SNAP = 1e-9  # distance from the axis, or from the mirror image, of an outline's size, below which it is on it
_PLACE = "place it at r > 0, or centred on the axis if it lies on it"


def whole(shape: Shape) -> Shape:
    """The whole of a shape given as its half right of the axis, its sides on the axis taken away, with its breaks.

    Parameters
    ----------
    shape : Shape
        One that has sides on the axis and lies right of it is mirrored: what then goes round outermost is its outer
        outline, all others are holes; a hole across the axis counts as whole. Any other is taken as whole already.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> billet = whole(bar(0.03, 0.16).placed((0.015, 0.0)))
    >>> billet.outer.points.tolist()
    [[0.0, -0.08], [0.03, -0.08], [0.03, 0.08], [0.0, 0.08], [-0.03, 0.08], [-0.03, -0.08]]
    """
    outer = _snapped(shape.outer)
    if not _along_axis(outer).any() or outer.bounds[0, 0] < -SNAP * _size(outer):
        return with_breaks(shape)
    loops = sorted(_mirrored_chains(outer), key=lambda loop: -abs(loop.area))
    holes = loops[1:]
    for hole in map(_snapped, shape.holes):
        if _along_axis(hole).any():
            holes += _mirrored_chains(hole)
        elif hole.bounds[0, 0] < 0:
            holes.append(hole)
        else:
            holes += [hole, hole.mirrored(left_right=True)]
    every = [loop.counter_clockwise() for loop in (loops[0], *holes)]
    return with_breaks(Shape(every[0], tuple(every[1:])))


def whole_part(part: Part) -> Part:
    """A part whose outline and pieces may be halves that touch the axis, as its own mirror image where it lies there.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> whole_part(Part("billet", bar(0.03, 0.16).placed((0.015, 0.0)))).bounds[:, 0].tolist()
    [-0.03, 0.03]
    """
    return replace(part, shape=whole(part.shape), pieces=tuple(map(whole, part.pieces)))


def with_breaks(shape: Shape) -> Shape:
    """The same shape with corner points where its sides cross the axis, each at x = 0 exactly.

    An outline that is its own mirror image begins at the lower one and becomes so to the last digit; its
    right half comes first. One without anything on the axis stays what it is.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> with_breaks(bar(2.0, 1.0)).outer.points.tolist()
    [[0.0, -0.5], [1.0, -0.5], [1.0, 0.5], [0.0, 0.5], [-1.0, 0.5], [-1.0, -0.5]]
    """
    outlines = shape.outer, *shape.holes
    broken = [_broken(o) for o in outlines]
    if all(one is other for one, other in zip(outlines, broken, strict=True)):
        return shape
    return Shape(broken[0], tuple(broken[1:]))


def on_axis(shape: Shape) -> bool:
    """Whether a shape that has its breaks reaches the axis."""
    return bool(any((o.points[:, 0] == 0).any() for o in (shape.outer, *shape.holes)))


def crosses_axis(part: Part) -> bool:
    """Whether a part that has its breaks lies on the axis."""
    return any(map(on_axis, (part.shape, *part.pieces)))


def right_area(shape: Shape) -> float:
    """Area of a shape that has its breaks, right of the axis [m2].

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> right_area(with_breaks(bar(2.0, 1.0))), right_area(bar(2.0, 1.0).placed((3.0, 0.0)))
    (1.0, 2.0)
    """
    return 0.5 * shape.area if on_axis(shape) else shape.area


def mirror_image(part: Part) -> Part:
    """What is seen of a part left of the axis, without a name.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> mirror_image(Part("turn", round_bar(0.002).placed((0.02, 0.01)))).bounds.round(3).tolist()
    [[-0.021, 0.009], [-0.019, 0.011]]
    """
    shape, *pieces = (s.mirrored(left_right=True) for s in (part.shape, *part.pieces))
    return replace(part, name="", shape=shape, pieces=tuple(pieces))


def axial_parts(parts: Sequence[Part]) -> tuple[Part, ...]:
    """The parts of an axial section with their breaks; those that have them already stay what they are.

    Raises
    ------
    GeometryError
        One that lies left of the axis, crosses it and is not its own mirror image, touches it, or is so near that
        the mesh cannot resolve the gap.
    """
    found, faults = [], []
    boxes = np.array([p.bounds for p in parts])
    least = RESOLVABLE * float(np.hypot(*(boxes[:, 1].max(axis=0) - boxes[:, 0].min(axis=0))))
    for part in parts:
        whole = broken(part)
        coats_of = (part.coats, *(() for _ in part.pieces))
        for k, (shape, coats) in enumerate(zip((whole.shape, *whole.pieces), coats_of, strict=True)):
            name = f'"{part.name}, piece {k}"' if k else f'"{part.name}"'
            fault = _fault(name, shape, sum(coats), least)
            if fault:
                faults.append(replace(fault, parts=((part.name, k),)))
        found.append(whole)
    if faults:
        raise GeometryError(*faults)
    return tuple(found)


def broken(part: Part) -> Part:
    """A part with its breaks; itself if it needs none."""
    if all(_surely_off(outline) for outline in part.all_outlines) or part.bounds[0, 0] > 0:
        return part
    shapes = [with_breaks(s) for s in (part.shape, *part.pieces)]
    kept = all(one is other for one, other in zip(shapes, (part.shape, *part.pieces), strict=True))
    return part if kept else replace(part, shape=shapes[0], pieces=tuple(shapes[1:]))


def _surely_off(outline: Outline) -> bool:
    """Whether an outline lies right of the axis by its points and heights of arcs, told sooner than by its bounds."""
    return bool(outline.points[:, 0].min() > 0.5 * (outline.chords * np.abs(outline.bulges)).max())


def _fault(name: str, shape: Shape, coat: float, least: float) -> GeometryFault | None:
    """What is wrong with a shape's place beside the axis, if anything."""
    crossing = _is_mirror_image(shape.outer)
    for k, outline in enumerate((shape.outer, *shape.holes)):
        what = f"hole {k} of {name}" if k else f"conductor {name}"
        left, right = outline.bounds[:, 0]
        near = SNAP * _size(outline)
        if _is_mirror_image(outline):
            continue
        if k and crossing and right < -near and _mirrors(outline, shape.holes):
            continue
        if right <= near:
            return GeometryFault(f"{what} lies left of the axis, at r = {length(left)} to {length(right)}", _PLACE)
        if left < -near:
            found = f"{what} reaches across the axis to r = {length(left)} and is no mirror image of itself about it"
            return GeometryFault(found, _PLACE)
        touching = outline.points[np.abs(outline.points[:, 0]) <= near]
        if left <= near:
            where = f" at {place_text(touching[0])}" if len(touching) else ""
            found = f"{what} touches the axis{where} and does not go on beyond it"
            return GeometryFault(found, "move it off the axis, or give it whole, mirrored about the axis")
        if left - (0.0 if k else coat) < least:
            found = f"{what} is only {length(left)} from the axis"
            if coat and not k:
                found = f"{what} is {length(left)} from the axis: no room for its plating of {length(coat)}"
            return GeometryFault(found, f"{least_text(least)}: move it out, or let it lie on the axis")
        if k and crossing and not _mirrors(outline, shape.holes):
            found = f"{what} has no mirror image left of the axis, which the conductor crosses"
            return GeometryFault(found, "give the conductor as its half right of the axis")
    return None


# --- outlines --------------------------------------------------------------------------------------


def _size(outline: Outline) -> float:
    return float(np.hypot(*np.ptp(outline.bounds, axis=0)))


def _snapped(outline: Outline) -> Outline:
    """With the points on the axis at x = 0 exactly."""
    near = np.abs(outline.points[:, 0]) <= SNAP * _size(outline)
    if not (near & (outline.points[:, 0] != 0)).any():
        return outline
    return replace(outline, points=np.column_stack((np.where(near, 0.0, outline.points[:, 0]), outline.points[:, 1])))


def _along_axis(outline: Outline) -> BoolArray:
    """Which sides lie on the axis, (n,)."""
    return np.asarray((outline.points[:, 0] == 0) & (outline.ends[:, 0] == 0) & ~outline.curved)


def _mirrored_chains(outline: Outline) -> list[Outline]:
    """Each chain of sides between those on the axis, closed by its mirror image."""
    free = ~_along_axis(outline)
    first = np.flatnonzero(free & ~np.roll(free, 1))
    count = len(free)
    loops = []
    for k in first.tolist():
        sides = [k]
        while free[(sides[-1] + 1) % count]:
            sides.append((sides[-1] + 1) % count)
        points = np.concatenate((outline.points[sides], outline.ends[sides[-1:]]))
        loops.append(_closed(points, outline.bulges[sides]))
    return loops


def _closed(points: FloatArray, bulges: FloatArray) -> Outline:
    """A chain from axis to axis, of one point more than sides, and its mirror image."""
    return Outline(np.concatenate((points, points[-2:0:-1] * (-1.0, 1.0))), np.concatenate((bulges, bulges[::-1])))


def _broken(outline: Outline) -> Outline:
    """With a point where each side crosses the axis, and alike on both sides of it where it nearly is."""
    if _is_mirror_image(outline) or np.prod(outline.bounds[:, 0]) > 0:
        return outline
    snapped = _snapped(outline)
    sides = Sides.of(snapped)
    points: list[FloatArray] = []
    bulges: list[FloatArray] = []
    for k, cuts in enumerate(_crossed(sides, SNAP * _size(outline))):
        fractions = np.array([0.0, *cuts, 1.0])
        places = snapped.at(k, fractions[:-1])[0] if cuts else np.empty((1, 2))
        places[0] = snapped.points[k]
        places[1:, 0] = 0.0
        points.append(places)
        straight = not snapped.curved[k]
        bulges.append(np.diff(fractions) * 0 if straight else np.tan(np.diff(fractions) * snapped.sweeps[k] / 4))
    return _evened(Outline(np.concatenate(points), np.concatenate(bulges)))


def _crossed(sides: Sides, near: float) -> list[list[float]]:
    """Fractions of their length at which sides cross the axis between their ends, in order."""
    found = []
    for k in range(len(sides)):
        side, begin, end = sides.take(slice(k, k + 1)), sides.start[k, 0], sides.end[k, 0]
        if not side.curved[0]:
            found.append([float(begin / (begin - end))] if begin * end < 0 else [])
            continue
        reach = float(side.radius[0] - abs(side.centre[0, 0]))
        if reach <= near:
            found.append([])
            continue
        half = np.sqrt(reach * (side.radius[0] + abs(side.centre[0, 0])))
        places = np.array([[0.0, side.centre[0, 1] - half], [0.0, side.centre[0, 1] + half]])
        clear = np.hypot(*np.moveaxis(places[:, None] - [sides.start[k], sides.end[k]], -1, 0)).min(axis=1) > near
        on = clear & np.array([bool(side.covers(p[None])[0]) for p in places])
        found.append(sorted(float(side.fraction(p[None])[0]) for p in places[on]))
    return found


def _evened(outline: Outline) -> Outline:
    """The outline of its right half and the mirror image of that, where its left half is so but for rounding."""
    breaks = np.flatnonzero(outline.points[:, 0] == 0)
    if len(breaks) != 2:
        return outline
    count, middle = len(outline.points), outline.at(breaks, 0.5)[0][:, 0]
    start = next((int(b) for b, x in zip(breaks, middle, strict=True) if x > 0), None)
    if start is None:
        return outline
    steps = int((breaks.sum() - 2 * start) % count)
    chain = (start + np.arange(steps + 1)) % count
    found = _closed(outline.points[chain], outline.bulges[chain[:-1]])
    turned = (start + np.arange(count)) % count
    return found if _alike(found, outline, turned) or _same_curve(found, outline) else outline


def _alike(one: Outline, other: Outline, turned: IntArray) -> bool:
    """Whether the corners of one are those of the other in this order, and its arcs are as high: told at once."""
    if len(one.points) != len(turned):
        return False
    off, higher = one.points - other.points[turned], (one.bulges - other.bulges[turned]) * one.chords
    return bool(max(np.abs(off).max(), np.abs(higher).max()) <= 0.5 * SNAP * _size(other))


def _same_curve(one: Outline, other: Outline) -> bool:
    """Whether the corners and the middles of the sides of either lie on the other."""
    near = SNAP * _size(other)
    for a, b in ((Sides.of(one), Sides.of(other)), (Sides.of(other), Sides.of(one))):
        if b.distance(np.concatenate((a.start, a.middle))).max() > near:
            return False
    return True


def _is_mirror_image(outline: Outline) -> bool:
    """Whether an outline begins on the axis and is its own mirror image about it to the last digit."""
    if outline.points[0, 0] != 0 or (outline.points[:, 0] == 0).sum() != 2:
        return False
    image = np.roll(outline.points[::-1], 1, axis=0) * (-1.0, 1.0)
    alike = np.array_equal(image, outline.points) and np.array_equal(outline.bulges[::-1], outline.bulges)
    return bool(alike and outline.at(0, 0.5)[0][0] > 0)


def _mirrors(outline: Outline, others: Sequence[Outline]) -> bool:
    """Whether one of some outlines is the mirror image of an outline about the axis."""
    image = outline.mirrored(left_right=True)
    return any(_same_curve(image, other) for other in others)
