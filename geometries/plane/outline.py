"""A closed outline of straight lines and circular arcs, with its exact measures.

An outline is a list of corner points and one *bulge* per side: the tangent of a quarter of the angle
the side turns through. Zero is a straight line, positive turns counter-clockwise, 1 is a half circle.
Arcs are never replaced by chords.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import FloatArray, rolled
from crosscurrent.geometries.errors import GeometryError, GeometryFault


@dataclass(frozen=True, eq=False, repr=False)
class Outline:
    """A closed outline; side k runs from points[k] to points[k + 1] with bulges[k].

    Parameters
    ----------
    points : (n, 2) float
        Corner points [m], counter-clockwise for a positive area.
    bulges : (n,) float
        tan(angle / 4) of each side [-]; 0 for a straight side. One of at most 1e-9 counts as straight: such an arc
        leaves its chord by less than a thousandth of a millionth of its length.
    backwards : bool
        Whether it was given the other way round: messages then count its sides as given.

    Raises
    ------
    GeometryError
        Fewer than two points, a side without length, or no enclosed area.

    Examples
    --------
    >>> half_disc = Outline.of([(-1.0, 0.0), (1.0, 0.0)], [0.0, 1.0])
    >>> round(half_disc.area, 12)
    1.570796326795
    """

    points: FloatArray
    bulges: FloatArray
    backwards: bool = False

    def __repr__(self) -> str:
        return f"<Outline of {len(self.points)} sides, {self.area * 1e6:.6g} mm2>"

    def __post_init__(self) -> None:
        if len(self.points) < 2 or self.points.shape != (len(self.bulges), 2):
            raise GeometryError(GeometryFault(f"an outline needs at least two points, found {len(self.points)}"))
        if not np.isfinite(self.points).all() or not np.isfinite(self.bulges).all():
            raise GeometryError(GeometryFault("an outline has a coordinate that is not a finite number"))
        empty = np.flatnonzero(self.chords <= 1e-12 * self.size)
        if len(empty):
            k = int(empty[0])
            found = f"points {k + 1} and {(k + 1) % len(self.points) + 1} of the outline coincide"
            raise GeometryError(GeometryFault(found, "remove one of them"))
        if abs(self.area) <= 1e-12 * self.size**2:
            hint = "give its points in order around the part"
            raise GeometryError(GeometryFault("the outline encloses no area", hint))

    @classmethod
    def of(cls, points: Sequence[Sequence[float]] | FloatArray, bulges: Sequence[float] | None = None) -> Outline:
        """Build an outline from plain sequences; `bulges` defaults to straight sides.

        Raises
        ------
        GeometryError
            As the class does.
        """
        corner = np.array(points, dtype=float).reshape(-1, 2)
        return cls(corner, np.zeros(len(corner)) if bulges is None else np.array(bulges, dtype=float))

    # --- the sides as arrays ---------------------------------------------------------------------

    @cached_property
    def ends(self) -> FloatArray:
        """End point of every side, (n, 2) [m]."""
        return rolled(self.points, -1)

    @cached_property
    def chords(self) -> FloatArray:
        """Straight distance between the ends of every side, (n,) [m]."""
        return np.asarray(np.hypot(*(self.ends - self.points).T))

    @cached_property
    def size(self) -> float:
        """Diagonal of the box around the corner points [m]; a scale for tolerances."""
        return float(np.hypot(*np.ptp(self.points, axis=0)))

    @cached_property
    def sweeps(self) -> FloatArray:
        """Angle each side turns through, (n,) [rad], positive counter-clockwise."""
        return 4 * np.arctan(self.bulges)

    @cached_property
    def curved(self) -> npt.NDArray[np.bool_]:
        """Which sides are arcs, (n,) bool."""
        return np.abs(self.bulges) > 1e-9

    @cached_property
    def radii(self) -> FloatArray:
        """Radius of every arc, (n,) [m]; infinite for straight sides."""
        bulge = np.where(self.curved, np.abs(self.bulges), 1.0)
        return np.where(self.curved, self.chords * (1 + bulge**2) / (4 * bulge), np.inf)

    @cached_property
    def centres(self) -> FloatArray:
        """Centre of every arc, (n, 2) [m]; nan for straight sides."""
        middle = (self.points + self.ends) / 2
        left = np.column_stack((self.points[:, 1] - self.ends[:, 1], self.ends[:, 0] - self.points[:, 0]))
        bulge = np.where(self.curved, self.bulges, np.nan)
        return np.asarray(middle + left * ((1 - bulge**2) / (4 * bulge))[:, None])

    @cached_property
    def lengths(self) -> FloatArray:
        """Length of every side along its arc, (n,) [m]."""
        return np.where(self.curved, np.where(self.curved, self.radii, 0) * np.abs(self.sweeps), self.chords)

    def at(self, side: npt.ArrayLike, fraction: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Position [m] and unit tangent at a fraction (0..1) of a side's length; arrays broadcast.

        Returns
        -------
        position, tangent : (..., 2) float
        """
        k, u = np.broadcast_arrays(np.asarray(side), np.asarray(fraction, dtype=float))
        start, end = self.points[k], self.ends[k]
        straight = start + u[..., None] * (end - start)
        turn = self.sweeps[k] * u
        spoke = start - self.centres[k]
        arc = self.centres[k] + rotated(spoke, turn)
        heading = np.arctan2(*(end - start).T[::-1]).T + self.sweeps[k] * (u - 0.5)
        position = np.where(self.curved[k][..., None], arc, straight)
        return position, np.stack((np.cos(heading), np.sin(heading)), axis=-1)

    # --- exact measures --------------------------------------------------------------------------

    @cached_property
    def _segment_areas(self) -> FloatArray:
        """Signed area between each arc and its chord, (n,) [m2]."""
        angle = self.sweeps
        radius = np.where(self.curved, self.radii, 0.0)
        return 0.5 * radius**2 * _angle_minus_sine(angle)

    @cached_property
    def area(self) -> float:
        """Enclosed area [m2]; negative when the outline runs clockwise. Exact for lines and arcs."""
        origin = self.points.mean(axis=0)
        a, b = self.points - origin, self.ends - origin
        return float(0.5 * np.sum(a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]) + self._segment_areas.sum())

    @cached_property
    def is_convex(self) -> bool:
        """Whether it turns left throughout, along its arcs and at its corners.

        Examples
        --------
        >>> square = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]
        >>> Outline.of(square).is_convex, Outline.of([*square, (0.5, 0.5)]).is_convex
        (True, False)
        """
        side = np.arange(len(self.points))
        (_, leaving), (_, arriving) = self.at(side, 0.0), self.at(side, 1.0)
        ahead = np.roll(leaving, -1, axis=0)
        turn = np.arctan2(
            arriving[:, 0] * ahead[:, 1] - arriving[:, 1] * ahead[:, 0], (arriving * ahead).sum(axis=1)
        )
        # once round, no more, and never to the right
        turns = np.concatenate((turn, self.sweeps))
        return bool((turns >= -1e-9).all() and turns.sum() < 3 * np.pi)

    @cached_property
    def perimeter(self) -> float:
        """Length of the whole outline [m]."""
        return float(self.lengths.sum())

    @cached_property
    def centroid(self) -> FloatArray:
        """Centre of gravity of the enclosed area, (2,) [m]."""
        origin = self.points.mean(axis=0)
        a, b = self.points - origin, self.ends - origin
        cross = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
        moment = (cross[:, None] * (a + b)).sum(axis=0) / 6
        arc = self.curved
        if arc.any():
            angle, radius = self.sweeps[arc], self.radii[arc]
            centre = self.centres[arc] - origin
            middle = self.at(np.flatnonzero(arc), 0.5)[0] - origin
            outward = (middle - centre) / radius[:, None]
            # first moment of a circular segment about its centre: (2/3) r^3 sin^3(angle/2)
            first = (2 / 3) * radius**3 * np.sin(np.abs(angle) / 2) ** 3 * np.sign(angle)
            moment = moment + (outward * first[:, None] + centre * self._segment_areas[arc][:, None]).sum(axis=0)
        return np.asarray(origin + moment / self.area)

    @cached_property
    def bounds(self) -> FloatArray:
        """Lower left and upper right corner of the box around the outline, arcs included, (2, 2) [m]."""
        arcs = np.flatnonzero(self.curved)
        if not len(arcs):
            return np.array([self.points.min(axis=0), self.points.max(axis=0)])
        spoke, sweep = (self.points - self.centres)[arcs], self.sweeps[arcs, None]
        start = np.arctan2(spoke[:, 1], spoke[:, 0])[:, None]
        turn = (np.arange(4) * np.pi / 2 - start) * np.sign(sweep) % (2 * np.pi)
        arc, quarter = np.nonzero(turn < np.abs(sweep))
        reached, _ = self.at(arcs[arc], turn[arc, quarter] / np.abs(sweep[arc, 0]))
        every = np.concatenate((self.points, reached))
        return np.array([every.min(axis=0), every.max(axis=0)])

    def contains(self, points: npt.ArrayLike) -> npt.NDArray[np.bool_]:
        """Which of the points (m, 2) [m] lie inside, exact for lines and arcs; on the outline either way.

        Examples
        --------
        >>> half_disc = Outline.of([(-1.0, 0.0), (1.0, 0.0)], [0.0, 1.0])
        >>> half_disc.contains([(0.0, 0.9), (0.0, 1.1), (0.0, -0.1)]).tolist()
        [True, False, False]
        """
        every = np.asarray(points, dtype=float).reshape(-1, 1, 2)
        rows = max(1, 200_000 // len(self.points))
        chunks = [self._contains(every[k : k + rows]) for k in range(0, len(every), rows)]
        return np.concatenate([np.zeros(0, dtype=bool), *chunks])

    def _contains(self, p: FloatArray) -> npt.NDArray[np.bool_]:
        """Crossings of a ray to the right with the chords, corrected by the arcs' segments."""
        a, b = self.points, self.ends
        chord = b - a
        left = chord[:, 0] * (p[..., 1] - a[:, 1]) - chord[:, 1] * (p[..., 0] - a[:, 0])
        # a point on a chord counts as moved to the right and much less up, in both tests alike
        on_chord = (chord[:, 1] < 0) | ((chord[:, 1] == 0) & (chord[:, 0] > 0))
        is_left = (left > 0) | ((left == 0) & on_chord)
        straddles = (a[:, 1] > p[..., 1]) != (b[:, 1] > p[..., 1])
        inside = (straddles & (is_left == (chord[:, 1] > 0))).sum(axis=1) % 2 == 1
        arc = np.flatnonzero(self.curved)
        if len(arc):
            within = np.hypot(*np.moveaxis(p - self.centres[arc], -1, 0)) < self.radii[arc]
            beyond = is_left[:, arc] != (self.bulges[arc] > 0)
            inside ^= (within & beyond).sum(axis=1) % 2 == 1
        return np.asarray(inside)

    # --- new outlines from this one --------------------------------------------------------------

    def moved(self, step: Sequence[float] | FloatArray) -> Outline:
        """Shifted by (x, y) [m]."""
        return Outline(self.points + np.asarray(step, dtype=float), self.bulges, self.backwards)

    def turned(self, angle: float) -> Outline:
        """Turned counter-clockwise about the origin by an angle [rad]."""
        return Outline(rotated(self.points, np.full(len(self.points), float(angle))), self.bulges, self.backwards)

    def reversed(self) -> Outline:
        """The same outline run the other way round."""
        return Outline(np.roll(self.points[::-1], 1, axis=0), -self.bulges[::-1], not self.backwards)

    def mirrored(self, left_right: bool) -> Outline:
        """Its mirror image about the origin, left and right exchanged or top and bottom, run the same way round."""
        sign = np.array([-1.0, 1.0] if left_right else [1.0, -1.0])
        return Outline(self.points * sign, -self.bulges, self.backwards).reversed()

    def number(self, side: int) -> int:
        """Number of a side in the order the outline was given, from 1."""
        return len(self.points) - side if self.backwards else side + 1

    def counter_clockwise(self) -> Outline:
        """This outline, run so that its area is positive."""
        return self if self.area > 0 else self.reversed()


def rotated(vectors: FloatArray, angle: Any) -> FloatArray:
    """Vectors (..., 2) turned counter-clockwise by angles (...) [rad].

    Examples
    --------
    >>> rotated(np.array([[1.0, 0.0]]), np.pi / 2).round(12).tolist()
    [[0.0, 1.0]]
    """
    cos, sin = np.cos(angle), np.sin(angle)
    x, y = vectors[..., 0], vectors[..., 1]
    right, up = cos * x - sin * y, sin * x + cos * y
    found = np.empty((*right.shape, 2))
    found[..., 0], found[..., 1] = right, up
    return found


def _angle_minus_sine(angle: FloatArray) -> FloatArray:
    """angle - sin(angle) without cancellation for small angles."""
    series = angle**3 / 6 * (1 - angle**2 / 20 * (1 - angle**2 / 42))
    return np.where(np.abs(angle) < 0.05, series, angle - np.sin(angle))
