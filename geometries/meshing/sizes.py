"""How long elements are wanted anywhere on a boundary."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray, rolled
from crosscurrent.geometries.plane.sides import BLOCK, Sides, norm

from .boundary import SOFT, Boundary, neighbours
from .facing import PARALLEL
from .options import MeshOptions

PRESSED = 1e-9  # of a side: an end that is no further away lies on another
CONE = 0.3  # cosine to the normal above which a side counts as lying ahead


class SizeLaw:
    """Wanted element length anywhere: small at corners and arcs, growing with the distance from them."""

    def __init__(
        self, boundaries: Sequence[Boundary], sides: Sides, parallel: FloatArray, options: MeshOptions
    ) -> None:
        self._sides, self._options = sides, options
        self._aside = parallel.astype(bool) | _touching(boundaries, sides)
        where: list[FloatArray] = []
        size: list[FloatArray] = []
        for boundary in boundaries:
            outline = boundary.outline
            turn = boundary.turning
            active = boundary.active(options.reach)
            skin = min(skin for skin, seen in zip((boundary.skin, *boundary.coat_skins), active, strict=True) if seen)
            shorter = np.minimum(outline.lengths, rolled(outline.lengths, 1))
            blunt = np.clip(np.pi / 2 / np.maximum(np.abs(turn), SOFT), 1, 3)
            wanted = np.minimum(options.corner * skin * blunt, 0.35 * shorter)
            inward = np.minimum(options.reentrant * skin * blunt, 0.35 * shorter)
            at_corners = np.where(turn > SOFT, wanted, np.where(turn < -SOFT, inward, shorter))
            along = np.where(outline.curved, outline.radii * options.arc, np.inf)
            arcs = outline.curved.nonzero()[0]
            where += [outline.points, outline.at(arcs, np.full(len(arcs), 0.5))[0]]
            size += [np.minimum(at_corners, np.minimum(along, rolled(along, 1))), along[arcs]]
        self._where, self._size = np.concatenate(where), np.concatenate(size)
        self._crooked = not bool(self._aside.all())
        rows = np.arange(len(self._aside))
        for beside in neighbours([b.outline for b in boundaries]):
            self._aside[rows, beside] = True
        self._clear_of_axis = _clear_of_axis(boundaries, sides)
        self._coat = np.concatenate([np.full(len(b.outline.points), sum(b.coats)) for b in boundaries])

    def __call__(self, side: IntArray, fraction: FloatArray) -> FloatArray:
        """Wanted length of an element at a place on a side, (m,) [m]."""
        position, tangent = self._sides.at(side, fraction)
        wanted = np.empty(len(side))
        block = max(1, BLOCK // (len(self._size) + len(self._sides.length)))
        for first in range(0, len(side), block):
            s = slice(first, first + block)
            distance = norm(position[s, :1] - self._where[:, 0], position[s, 1:] - self._where[:, 1])
            wanted[s] = (self._size + self._options.slope * distance).min(axis=1)
            if self._crooked:
                wanted[s] = np.minimum(wanted[s], 1.2 * self._clearance(side[s], position[s], tangent[s]))
        if self._clear_of_axis.any():
            wanted = np.minimum(wanted, 1.2 * self._off_axis(side, position, tangent))
        arc = self._sides.radius[side] * self._options.arc
        return np.asarray(np.minimum(wanted, np.where(self._sides.curved[side], arc, np.inf)))

    def _clearance(self, side: IntArray, position: FloatArray, tangent: FloatArray) -> FloatArray:
        """Diameter of the ball on the boundary that touches the next side, parallel and adjoining ones aside.

        Those of a piece pressed on adjoin too, where they end: towards such a corner the clearance falls to nothing,
        and with it elements would.
        """
        ball = ball_diameters(self._sides, position, tangent, both_ways=True)
        return np.asarray(np.where(self._aside[side], np.inf, ball).min(axis=1))

    def _off_axis(self, side: IntArray, position: FloatArray, tangent: FloatArray) -> FloatArray:
        """Diameter of the ball on the boundary, or its coat, that touches the axis, but for sides that reach it."""
        across = np.abs(tangent[:, 1])
        seen = self._clear_of_axis[side] & (across > CONE)
        free = np.maximum(position[:, 0] - self._coat[side], 0.0) / np.where(seen, across, 1.0)
        return np.asarray(np.where(seen, free, np.inf))


def _clear_of_axis(boundaries: Sequence[Boundary], sides: Sides) -> BoolArray:
    """Sides right of the axis of an axial section that neither reach it nor run along it, (n,)."""
    axial = np.concatenate([np.full(len(b.outline.points), b.axial) for b in boundaries])
    along = ~sides.curved & (np.abs(sides.middle_direction[:, 1]) > PARALLEL)
    return np.asarray(axial & (sides.start[:, 0] > 0) & (sides.end[:, 0] > 0) & ~along)


def _touching(boundaries: Sequence[Boundary], sides: Sides) -> BoolArray:
    """Sides of conductors of several pieces of which one has an end on the other, (n, n)."""
    part = np.concatenate([np.full(len(b.outline.points), b.part) for b in boundaries])
    found = np.zeros((len(part), len(part)), dtype=bool)
    for number in {b.part for b in boundaries if b.layer}:
        rows = np.flatnonzero(part == number)
        own = sides.take(rows)
        for end in (own.start, own.end):
            apart = np.hypot(*np.moveaxis(own.feet(end) - end[:, None], -1, 0))
            found[np.ix_(rows, rows)] |= apart < PRESSED * own.length[:, None]
    return np.asarray(found | found.T)


def ball_diameters(sides: Sides, position: FloatArray, tangent: FloatArray, *, both_ways: bool) -> FloatArray:
    """Diameter of the circle tangent to a boundary at a place that reaches each side's nearest point, (m, n) [m].

    Infinite for sides that do not lie ahead (to the left of the tangent, or on either hand).
    """
    ahead_x, ahead_y = sides.ahead(position)
    rise = tangent[:, :1] * ahead_y - tangent[:, 1:] * ahead_x
    rise = np.abs(rise) if both_ways else rise
    squared = ahead_x * ahead_x + ahead_y * ahead_y
    seen = (rise > 0) & (rise * rise > CONE**2 * squared)
    return np.asarray(np.where(seen, squared / np.where(seen, rise, 1.0), np.inf))
