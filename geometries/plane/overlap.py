"""Whether two shapes that meet share metal, and how far apart they would have to be moved."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .distance import near_pairs
from .inscribed import largest_inscribed_circle
from .outline import Outline
from .shapes import Shape
from .sides import Sides, cross, crossings, distances, side_distances, turned_left, unit


def overlap_place(a: Shape, b: Shape, tolerance: float) -> FloatArray | None:
    """A place (2,) [m] where two shapes that meet share metal; None where they only touch.

    The outlines are cut where they meet; if metal is shared, some piece of one lies inside the other, or both
    shapes are the same.

    Parameters
    ----------
    a, b : Shape
    tolerance : float
        Distance [m] up to which they count as touching.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> overlap_place(bar(2.0, 2.0), bar(2.0, 2.0).placed((2.0, 0.0)), 1e-9) is None
    True
    """
    places, depths = [], []
    for one, other in ((a, b), (b, a)):
        probes = _piece_middles(one, other, tolerance)
        distance = distances(Sides.of(other.outer, *other.holes), probes).min(axis=1)
        inside = other.contains(probes) & (distance > tolerance)
        places.append(probes[inside])
        depths.append(distance[inside])
    every, depth = np.concatenate(places), np.concatenate(depths)
    if len(depth):
        return np.asarray(every[np.argmax(depth >= (1 - 1e-6) * depth.max())])  # the first of equals
    centre, _ = largest_inscribed_circle(a.outer, a.holes)
    return centre if b.contains(centre[None])[0] else None


def _piece_middles(one: Shape, other: Shape, tolerance: float) -> FloatArray:
    """Middles of the pieces into which the sides of one shape are cut by the other."""
    outlines = (one.outer, *one.holes)
    sides, knives = Sides.of(*outlines), Sides.of(other.outer, *other.holes)
    i, j = _meeting(sides, knives, tolerance)
    cut, knife = sides.take(i), knives.take(j)
    fractions = [cut.fraction(p) for p in (*crossings(cut, knife), knife.start, knife.end)]
    side = np.concatenate([np.tile(i, 4), *[np.arange(len(sides))] * 2])
    cuts = np.concatenate([*fractions, np.zeros(len(sides)), np.ones(len(sides))])
    good = (cuts >= 0) & (cuts <= 1)
    side, cuts = side[good], cuts[good]
    order = np.lexsort((cuts, side))
    side, cuts = side[order], cuts[order]
    middle = (cuts[:-1] + cuts[1:]) / 2
    same = side[:-1] == side[1:]
    first = np.cumsum([0, *(len(o.points) for o in outlines)])
    found = [
        o.at(side[:-1][mine] - start, middle[mine])[0]
        for o, start in zip(outlines, first, strict=False)
        if len(mine := np.flatnonzero(same & (side[:-1] >= start) & (side[:-1] < start + len(o.points))))
    ]
    return np.concatenate(found)


def _meeting(a: Sides, b: Sides, tolerance: float) -> tuple[IntArray, IntArray]:
    found = []
    for i, j in near_pairs(a, b, tolerance):
        meet = side_distances(a.take(i), b.take(j))[0] <= tolerance
        found.append(np.stack((i[meet], j[meet])))
    i, j = np.concatenate(found, axis=1)
    return i, j


def separation(a: Shape, b: Shape) -> float | None:
    """Shortest way [m] that parts two overlapping convex shapes.

    None if either is not convex or lies in the other's bore.
    The best direction is normal to a straight side, or leads from corner or arc centre to arc centre.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> round(separation(bar(2.0, 2.0), bar(2.0, 2.0).placed((1.5, 0.0))), 12)
    0.5
    """
    in_bore = any(h.contains(o.outer.centroid)[0] for s, o in ((a, b), (b, a)) for h in s.holes)
    if in_bore or not (_convex(a.outer) and _convex(b.outer)):
        return None
    sides = Sides.of(a.outer, b.outer)
    straight = turned_left(unit(sides.chord[~sides.curved]))
    spots = [np.concatenate((o.points, o.centres[o.curved])) for o in (a.outer, b.outer)]
    radial = (spots[0][:64, None] - spots[1][None, :64]).reshape(-1, 2)
    radial = radial[np.hypot(*radial.T) > 1e-9 * a.outer.size]
    directions = np.concatenate((straight, unit(radial)))
    directions = np.concatenate((directions, -directions))
    return float(min(_reach(a.outer, d) + _reach(b.outer, -d) for d in directions))


def _reach(outline: Outline, direction: FloatArray) -> float:
    """Farthest extent of an outline along a unit direction [m]."""
    arcs = Sides.of(outline).take(outline.curved)
    tips = arcs.centre + arcs.radius[:, None] * direction
    return float(np.max(np.concatenate((outline.points, tips[arcs.covers(tips)])) @ direction))


def _convex(outline: Outline) -> bool:
    sides = Sides.of(outline)
    turn = cross(sides.tangent(sides.end), np.roll(sides.tangent(sides.start), -1, axis=0))
    return bool((turn > -1e-9).all() and (outline.bulges >= -1e-9).all())
