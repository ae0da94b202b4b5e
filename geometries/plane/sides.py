"""Single sides, straight or circular, as rows of arrays: nearest points, crossings, boxes.

Everything is exact for lines and arcs: nothing is sampled and no arc is replaced by a chord. Functions of one
set of sides broadcast over leading axes of the points; functions of two sets work row against row.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray

from .outline import Outline, rotated

BLOCK = 24_000  # places times sides at once: numbers that stay in the processor's nearer memory


@dataclass(frozen=True, eq=False)
class Sides:
    """Sides of one or several outlines, one row each.

    Parameters
    ----------
    start, end : (n, 2) float
        End points [m].
    centre : (n, 2) float
        Centres of the arcs [m]; nan for lines.
    radius : (n,) float
        Radii of the arcs [m]; infinite for lines.
    bulge : (n,) float
        tan(angle / 4) [-].
    curved : (n,) bool
    """

    start: FloatArray
    end: FloatArray
    centre: FloatArray
    radius: FloatArray
    bulge: FloatArray
    curved: BoolArray

    @classmethod
    def of(cls, *outlines: Outline) -> Sides:
        """All sides of some outlines, in order."""
        return cls(
            *(
                np.concatenate([getattr(o, name) for o in outlines])
                for name in ("points", "ends", "centres", "radii", "bulges", "curved")
            )
        )

    @classmethod
    def joined(cls, some: Sequence[Sides]) -> Sides:
        """Sides one set after the other."""
        names = ("start", "end", "centre", "radius", "bulge", "curved")
        return cls(*(np.concatenate([getattr(sides, name) for sides in some]) for name in names))

    def __len__(self) -> int:
        return len(self.bulge)

    def take(self, rows: IntArray | BoolArray | slice) -> Sides:
        """Some of the sides, by index or mask."""
        return Sides(
            self.start[rows], self.end[rows], self.centre[rows], self.radius[rows], self.bulge[rows], self.curved[rows]
        )

    @cached_property
    def chord(self) -> FloatArray:
        """From start to end, (n, 2) [m]."""
        return self.end - self.start

    @cached_property
    def squared(self) -> FloatArray:
        """Square of the way from start to end, (n,) [m2]."""
        return dot(self.chord, self.chord)

    @cached_property
    def arcs(self) -> tuple[IntArray, Sides]:
        """Which sides are arcs, and these by themselves."""
        rows = np.flatnonzero(self.curved)
        return rows, self.take(rows)

    @cached_property
    def half_sweep(self) -> FloatArray:
        """Half the angle an arc turns through, without sign, (n,) [rad]."""
        return 2 * np.arctan(np.abs(self.bulge))

    @cached_property
    def outward(self) -> FloatArray:
        """Unit vector from an arc's centre to its middle; for lines the normal right of the way, (n, 2)."""
        right = np.column_stack((self.chord[:, 1], -self.chord[:, 0]))
        return unit(right) * np.where(self.bulge < 0, -1.0, 1.0)[:, None]

    @cached_property
    def rise(self) -> FloatArray:
        """Twice the distance of an arc's centre left of its chord, over the chord, (n,); nan for lines."""
        return np.asarray((1 - self.bulge**2) / (2 * np.where(self.curved, self.bulge, np.nan)))

    @cached_property
    def middle(self) -> FloatArray:
        """Half way along each side, (n, 2) [m]."""
        straight = (self.start + self.end) / 2
        tip = straight + self.outward * (np.hypot(*self.chord.T) * np.abs(self.bulge) / 2)[:, None]
        return np.where(self.curved[:, None], tip, straight)

    def covers(self, points: FloatArray) -> BoolArray:
        """Whether points (..., n, 2) on a side's line or circle lie between its ends."""
        with np.errstate(invalid="ignore"):
            along = dot(points - self.start, self.chord)
            between = (along >= 0) & (along <= dot(self.chord, self.chord))
            spoke = points - self.centre
            turn = np.abs(np.arctan2(cross(self.outward, spoke), dot(self.outward, spoke)))
        return np.where(self.curved, turn <= self.half_sweep, between)

    @cached_property
    def sweep(self) -> FloatArray:
        """Angle an arc turns through, positive counter-clockwise, (n,) [rad]; 0 for lines."""
        return np.where(self.curved, 4 * np.arctan(self.bulge), 0.0)

    @cached_property
    def length(self) -> FloatArray:
        """Length along the side, (n,) [m]."""
        chord = np.hypot(self.chord[:, 0], self.chord[:, 1])
        return np.where(self.curved, np.where(self.curved, self.radius, 0.0) * np.abs(self.sweep), chord)

    def at(self, side: IntArray, fraction: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Position [m] and unit direction at fractions (m,) of the length of sides (m,), both (m, 2)."""
        chord = self.chord[side]
        straight = self.start[side] + fraction[:, None] * chord
        arc = self.centre[side] + rotated(self.start[side] - self.centre[side], self.sweep[side] * fraction)
        heading = np.arctan2(chord[:, 1], chord[:, 0]) + self.sweep[side] * (fraction - 0.5)
        position = np.where(self.curved[side][:, None] & (fraction > 0)[:, None], arc, straight)
        return position, np.column_stack((np.cos(heading), np.sin(heading)))

    @cached_property
    def middle_direction(self) -> FloatArray:
        """Unit direction of travel half way along every side, (n, 2)."""
        return unit(self.chord)

    def feet(self, points: FloatArray) -> FloatArray:
        """Nearest point of every side to each of the points (m, 2), (m, n, 2) [m]; a point on a side is its own."""
        distance, foot_x, foot_y = _nearest(self, points[:, :1], points[:, 1:])
        on = distance <= self._touching
        found = np.empty((*distance.shape, 2))
        found[..., 0], found[..., 1] = np.where(on, points[:, :1], foot_x), np.where(on, points[:, 1:], foot_y)
        return found

    def ahead(self, points: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Ways from the points (m, 2) to the nearest point of every side, in x and y, (m, n) each [m]; 0 on a side."""
        x, y = points[:, :1], points[:, 1:]
        (start_x, start_y), (along_x, along_y) = self.start.T, self.chord.T
        off_x, off_y = x - start_x, y - start_y
        along = np.clip((off_x * along_x + off_y * along_y) / self.squared, 0.0, 1.0)
        way_x, way_y = along * along_x - off_x, along * along_y - off_y
        rows, arcs = self.arcs
        if len(rows):
            way_x[:, rows], way_y[:, rows] = _ways_to_arcs(arcs, x, y)
        on = norm(way_x, way_y) <= self._touching
        way_x[on] = way_y[on] = 0.0
        return way_x, way_y

    @cached_property
    def _touching(self) -> float:
        """Distance that rounding may leave between a point and its side [m]."""
        return 1e-13 * float(np.ptp(self.start, axis=0).max())

    def distance(self, points: FloatArray) -> FloatArray:
        """Smallest distance of every point to any side, (m,) [m]; in blocks, so memory stays small."""
        block = max(1, BLOCK // len(self))
        parts = [np.zeros(0)]
        for first in range(0, len(points), block):
            parts.append(distances(self, points[first : first + block]).min(axis=1))
        return np.concatenate(parts)

    def tangent(self, points: FloatArray) -> FloatArray:
        """Unit direction of travel at points (n, 2) on the sides, (n, 2)."""
        spoke = (points - self.centre) * np.sign(self.bulge)[:, None]
        return unit(np.where(self.curved[:, None], turned_left(spoke), self.chord))

    def fraction(self, points: FloatArray) -> FloatArray:
        """How far along its side each point (n, 2) lies, 0 .. 1, (n,)."""
        straight = dot(points - self.start, self.chord) / dot(self.chord, self.chord)
        spoke = points - self.centre
        turn = np.arctan2(cross(self.outward, spoke), dot(self.outward, spoke)) * np.sign(self.bulge)
        half = np.where(self.curved, self.half_sweep, 1.0)
        return np.where(self.curved, (turn / half + 1) / 2, straight)

    @cached_property
    def boxes(self) -> FloatArray:
        """Lower left and upper right corner of the box around each side, (n, 2, 2) [m]."""
        reach = [self.start, self.end]
        for axis in np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]]):
            extreme = self.centre + np.where(self.curved, self.radius, 0.0)[:, None] * axis
            reach.append(np.where((self.curved & self.covers(extreme))[:, None], extreme, self.start))
        return np.stack((np.min(reach, axis=0), np.max(reach, axis=0)), axis=1)


def nearest(sides: Sides, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Distance [m] from points (..., n, 2) to the sides (n) and the nearest point of each side.

    Returns
    -------
    distance : (..., n) float
    foot : (..., n, 2) float

    Examples
    --------
    >>> disc = Sides.of(Outline.of([(-1.0, 0.0), (1.0, 0.0)], [1.0, 1.0]))
    >>> nearest(disc, np.array([[[0.0, 3.0]]]))[0].round(12).tolist()  # from the lower half to its ends
    [[3.162277660168, 2.0]]
    """
    distance, foot_x, foot_y = _nearest(sides, points[..., 0], points[..., 1])
    foot = np.empty((*distance.shape, 2))
    foot[..., 0], foot[..., 1] = foot_x, foot_y
    return distance, foot


def _nearest(sides: Sides, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Distances and nearest points by their coordinates, which numpy goes through faster than through pairs."""
    (start_x, start_y), (along_x, along_y) = sides.start.T, sides.chord.T
    off_x, off_y = x - start_x, y - start_y
    along = np.clip((off_x * along_x + off_y * along_y) / sides.squared, 0.0, 1.0)
    way_x, way_y = along * along_x, along * along_y
    distance, foot_x, foot_y = np.hypot(off_x - way_x, off_y - way_y), start_x + way_x, start_y + way_y
    rows, arcs = sides.arcs
    if len(rows):
        where = (x, y) if x.shape[-1] == 1 else (x[..., rows], y[..., rows])
        distance[..., rows], foot_x[..., rows], foot_y[..., rows] = _nearest_on_arcs(arcs, *where)
    return distance, foot_x, foot_y


def distances(sides: Sides, points: FloatArray) -> FloatArray:
    """Distance of every point (m, 2) from every side (n), (m, n) [m]: that of `nearest`, in half the time.

    Examples
    --------
    >>> square = Sides.of(Outline.of([(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]))
    >>> distances(square, np.array([[1.0, -1.0]])).round(12).tolist()
    [[1.0, 1.414213562373, 3.0, 1.414213562373]]
    """
    x, y = (points[:, k, None] - sides.start[:, k] for k in range(2))
    along_x, along_y = sides.chord.T
    part = np.clip((x * along_x + y * along_y) / (along_x**2 + along_y**2), 0.0, 1.0)
    found = norm(x - part * along_x, y - part * along_y)
    rows, arcs = sides.arcs
    if len(rows):
        found[:, rows] = _distances_from_arcs(arcs, points, x[:, rows], y[:, rows])
    return np.asarray(found)


def _distances_from_arcs(arcs: Sides, points: FloatArray, x: FloatArray, y: FloatArray) -> FloatArray:
    """The same for arcs, given the way (x, y) to the points from where they start, as `_nearest_on_arcs` has it."""
    (along_x, along_y), (end_x, end_y) = arcs.chord.T, (x - arcs.chord[:, 0], y - arcs.chord[:, 1])
    power = x * end_x + y * end_y - arcs.rise * (along_x * y - along_y * x)
    spoke_x, spoke_y = (points[:, k, None] - arcs.centre[:, k] for k in range(2))
    reach = norm(spoke_x, spoke_y)
    within = _within(arcs, spoke_x, spoke_y) | (reach <= 1e-15 * arcs.radius)
    ends = np.sqrt(np.minimum(x * x + y * y, end_x * end_x + end_y * end_y))
    return np.where(within, np.abs(power) / (reach + arcs.radius), ends)


def _within(arcs: Sides, x: FloatArray, y: FloatArray) -> BoolArray:
    """Whether spokes (x, y) point at their arcs: the sine of how far they turn past an end, sure for flat ones too."""
    (out_x, out_y), half = arcs.outward.T, arcs.half_sweep
    return np.asarray(np.abs(out_x * y - out_y * x) * np.cos(half) <= (out_x * x + out_y * y) * np.sin(half))


def _ways_to_arcs(arcs: Sides, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Ways from places (m, 1) to the nearest points of arcs (n), (m, n) each [m]."""
    along_x, along_y = arcs.chord.T
    (start_x, start_y), (end_x, end_y), (centre_x, centre_y) = arcs.start.T, arcs.end.T, arcs.centre.T
    first_x, first_y, last_x, last_y = start_x - x, start_y - y, end_x - x, end_y - y
    power = first_x * last_x + first_y * last_y + arcs.rise * (first_y * along_x - first_x * along_y)
    spoke_x, spoke_y = x - centre_x, y - centre_y
    reach = norm(spoke_x, spoke_y)
    centred = reach <= 1e-15 * arcs.radius
    inward = -power / ((reach + arcs.radius) * np.where(centred, 1.0, reach))
    way_x, way_y = inward * spoke_x, inward * spoke_y
    outside = ~(centred | _within(arcs, spoke_x, spoke_y))
    first = first_x * first_x + first_y * first_y < last_x * last_x + last_y * last_y
    for way, to_first, to_last, at, middle in (
        (way_x, first_x, last_x, x, arcs.middle[:, 0]), (way_y, first_y, last_y, y, arcs.middle[:, 1]),
    ):  # fmt: skip
        np.copyto(way, np.where(first, to_first, to_last), where=outside)
        np.copyto(way, middle - at, where=centred)
    return way_x, way_y


def _nearest_on_arcs(arcs: Sides, x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    (start_x, start_y), (end_x, end_y), (centre_x, centre_y) = arcs.start.T, arcs.end.T, arcs.centre.T
    (along_x, along_y), (middle_x, middle_y) = arcs.chord.T, arcs.middle.T
    from_x, from_y, beyond_x, beyond_y = x - start_x, y - start_y, x - end_x, y - end_y
    spoke_x, spoke_y = x - centre_x, y - centre_y
    reach = np.hypot(spoke_x, spoke_y)
    # power of the point with respect to the circle through both ends: no cancellation however flat the arc
    power = from_x * beyond_x + from_y * beyond_y - arcs.rise * (from_y * along_x - from_x * along_y)
    off = power / (reach + arcs.radius)
    centred = reach <= 1e-15 * arcs.radius
    length = np.where(centred, 1.0, reach)
    within = centred | _within(arcs, spoke_x, spoke_y)
    to_start, to_end = np.hypot(from_x, from_y), np.hypot(beyond_x, beyond_y)
    first = to_start < to_end
    foot_x = np.where(centred, middle_x, x - off * (spoke_x / length))
    foot_y = np.where(centred, middle_y, y - off * (spoke_y / length))
    return (
        np.where(within, np.abs(off), np.minimum(to_start, to_end)),
        np.where(within, foot_x, np.where(first, start_x, end_x)),
        np.where(within, foot_y, np.where(first, start_y, end_y)),
    )


def crossings(a: Sides, b: Sides) -> FloatArray:
    """Points where side a[k] meets side b[k], up to two; nan where there is none.

    Sides that run along each other (on one line or circle) have no crossing here.

    Returns
    -------
    points : (2, m, 2) float
        [m]

    Examples
    --------
    >>> square = Sides.of(Outline.of([(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)]))
    >>> line = Sides.of(Outline.of([(1.0, -1.0), (1.0, 1.0), (9.0, 0.0)]))
    >>> crossings(square.take(slice(0, 1)), line.take(slice(0, 1)))[0].tolist()
    [[1.0, 0.0]]
    """
    found = np.full((2, len(a), 2), np.nan)
    straight = ~a.curved & ~b.curved
    found[0, straight] = _line_with_line(a.take(straight), b.take(straight))
    for first, second, rows in ((a, b, ~a.curved & b.curved), (b, a, a.curved & ~b.curved)):
        line, arc = first.take(rows), second.take(rows)
        found[:, rows] = _line_with_circle(line.start, unit(line.chord), arc)
    both = a.curved & b.curved
    found[:, both] = _circle_with_circle(a.take(both), b.take(both))
    found[~(a.covers(found) & b.covers(found))] = np.nan
    return found


def _line_with_line(a: Sides, b: Sides) -> FloatArray:
    with np.errstate(divide="ignore", invalid="ignore"):
        along = cross(b.start - a.start, b.chord) / cross(a.chord, b.chord)
    along = np.where(np.isfinite(along), along, np.nan)
    return np.asarray(a.start + along[:, None] * a.chord)


def _line_with_circle(start: FloatArray, direction: FloatArray, arc: Sides) -> FloatArray:
    """Roots of the power of start + t direction with respect to the arc's circle; flat arcs lose no digits."""
    from_start, from_end, left = start - arc.start, start - arc.end, turned_left(arc.chord)
    half_slope = (dot(direction, from_start + from_end) - arc.rise * dot(direction, left)) / 2
    power = dot(from_start, from_end) - arc.rise * dot(from_start, left)
    with np.errstate(divide="ignore", invalid="ignore"):
        far = -(half_slope + np.copysign(np.sqrt(half_slope**2 - power), half_slope))
        near = np.where(far == 0, 0.0, power / far)
        return np.stack((start + far[:, None] * direction, start + near[:, None] * direction))


def _circle_with_circle(a: Sides, b: Sides) -> FloatArray:
    """Points of equal power form a line; it is crossed with the smaller circle. The origin is a's start."""
    origin = a.start
    normal, offset = np.zeros_like(origin), np.zeros(len(a))
    for sign, arc in ((1.0, a), (-1.0, b)):
        start, end, left = arc.start - origin, arc.end - origin, arc.rise[:, None] * turned_left(arc.chord)
        normal += sign * (start + end + left)
        offset += sign * (dot(start, end) + dot(start, left))
    with np.errstate(divide="ignore", invalid="ignore"):
        on_line = origin + (offset / dot(normal, normal))[:, None] * normal
        line = turned_left(unit(normal))
        found = _line_with_circle(on_line, line, a)
        return np.where((a.radius <= b.radius)[:, None], found, _line_with_circle(on_line, line, b))


def side_distances(a: Sides, b: Sides) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Shortest distance between side a[k] and side b[k] and where it is, 0 where they meet.

    The shortest distance is taken at an end of a side, where an arc faces the other arc's centre or the other
    line squarely, or at a crossing.

    Returns
    -------
    distance : (m,) float
        [m]
    on_a, on_b : (m, 2) float
        [m]

    Examples
    --------
    >>> one, other = (Sides.of(Outline.of([(x, 0.0), (x + 1.0, 0.0), (x, 1.0)])) for x in (0.0, 3.0))
    >>> side_distances(one.take(slice(0, 1)), other.take(slice(0, 1)))[0].tolist()
    [2.0]
    """
    meeting = crossings(a, b)
    apart = [np.where(np.isfinite(p[:, 0]), 0.0, np.inf) for p in meeting]
    on_a, on_b = list(meeting), list(meeting)
    for points in (a.start, a.end, *_facing(a, b)):
        distance, foot = nearest(b, points)
        apart, on_a, on_b = [*apart, distance], [*on_a, points], [*on_b, foot]
    for points in (b.start, b.end, *_facing(b, a)):
        distance, foot = nearest(a, points)
        apart, on_a, on_b = [*apart, distance], [*on_a, foot], [*on_b, points]
    every = np.array(apart)
    every[np.isnan(every)] = np.inf
    best, row = every.argmin(axis=0), np.arange(len(a))
    return every[best, row], np.array(on_a)[best, row], np.array(on_b)[best, row]


def _facing(a: Sides, b: Sides) -> FloatArray:
    """Points of arcs a[k] on the normal of b[k] through a's centre, (2, m, 2); nan where none is on the arc."""
    with np.errstate(invalid="ignore"):
        direction = np.where(b.curved[:, None], unit(b.centre - a.centre), b.outward)
    step = np.where(a.curved, a.radius, np.nan)[:, None] * direction
    points = np.stack((a.centre + step, a.centre - step))
    return np.where(a.covers(points)[..., None], nearest(a, points)[1], np.nan)


# --- plane vectors -------------------------------------------------------------------------------


def norm(x: FloatArray, y: FloatArray) -> FloatArray:
    """Length of vectors by their coordinates: `numpy.hypot` in a third of its time, of no very large or small ones."""
    return np.asarray(np.sqrt(x * x + y * y))


def dot(a: FloatArray, b: FloatArray) -> FloatArray:
    """Scalar product of vectors (..., 2)."""
    return np.asarray(a[..., 0] * b[..., 0] + a[..., 1] * b[..., 1])


def cross(a: FloatArray, b: FloatArray) -> FloatArray:
    """Out-of-plane part of the vector product of vectors (..., 2)."""
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def unit(a: FloatArray) -> FloatArray:
    """Vectors (..., 2) at length one; nan for a vector without length."""
    with np.errstate(invalid="ignore"):
        return np.asarray(a / np.hypot(a[..., 0], a[..., 1])[..., None])


def turned_left(a: FloatArray) -> FloatArray:
    """Vectors (..., 2) turned by a right angle counter-clockwise."""
    found = np.empty(a.shape)
    found[..., 0], found[..., 1] = -a[..., 1], a[..., 0]
    return found
