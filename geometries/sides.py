"""All sides of all walls in one set of arrays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from .lines_arcs import Sides as Rows
from .lines_arcs import nearest
from .outline import FloatArray, Outline, rotated

IntArray = npt.NDArray[np.int_]


@dataclass(frozen=True, eq=False)
class Sides:
    """Sides of several outlines, one row each.

    Attributes
    ----------
    start, end, centre : (n, 2) float
        Ends and arc centres [m]; the centre of a line is nan.
    radius, sweep, length : (n,) float
        [m], [rad], [m]; the radius of a line is infinite.
    curved : (n,) bool
    wall : (n,) int
        Number of the outline each side belongs to.
    """

    start: FloatArray
    end: FloatArray
    centre: FloatArray
    radius: FloatArray
    sweep: FloatArray
    length: FloatArray
    curved: npt.NDArray[np.bool_]
    wall: IntArray
    rows: Rows

    @classmethod
    def of(cls, outlines: Sequence[Outline]) -> Sides:
        """All sides of some outlines, in order."""
        names: tuple[str, ...] = ("points", "ends", "centres", "radii", "sweeps", "lengths", "curved")
        columns: list[Any] = [np.concatenate([getattr(o, name) for o in outlines]) for name in names]
        wall = np.repeat(np.arange(len(outlines)), [len(o.points) for o in outlines])
        return cls(*columns, wall, Rows.of(*outlines))

    def at(self, side: npt.ArrayLike, fraction: npt.ArrayLike) -> tuple[FloatArray, FloatArray]:
        """Position [m] and unit tangent at a fraction (0..1) of a side's length; arrays broadcast."""
        k, u = np.broadcast_arrays(np.asarray(side), np.asarray(fraction, dtype=float))
        chord = self.end[k] - self.start[k]
        straight = self.start[k] + u[..., None] * chord
        arc = self.centre[k] + rotated(self.start[k] - self.centre[k], self.sweep[k] * u)
        heading = np.arctan2(chord[..., 1], chord[..., 0]) + self.sweep[k] * (u - 0.5)
        position = np.where(self.curved[k][..., None], arc, straight)
        return position, np.stack((np.cos(heading), np.sin(heading)), axis=-1)

    def tangent(self, fraction: float) -> FloatArray:
        """Unit tangent of every side at one fraction of its length, (n, 2)."""
        return self.at(np.arange(len(self.length)), fraction)[1]

    def feet(self, points: FloatArray) -> FloatArray:
        """Nearest point of every side to each of the points (m, 2), (m, n, 2) [m]."""
        distance, foot = nearest(self.rows, points[:, None])
        # a point on a side is its own foot, to the last digit
        on = distance <= 1e-13 * np.ptp(self.start, axis=0).max()
        return np.where(on[..., None], points[:, None], foot)

    def distance(self, points: FloatArray) -> FloatArray:
        """Smallest distance of every point to any side, (m,) [m]; in blocks, so memory stays small."""
        block = max(1, 1_000_000 // len(self.length))
        parts = [np.zeros(0)]
        for first in range(0, len(points), block):
            parts.append(nearest(self.rows, points[first : first + block, None])[0].min(axis=1))
        return np.concatenate(parts)
