"""The catalogue of shapes: each function turns dimensions [m] into outlines around the origin."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from .errors import GeometryError
from .outline import FloatArray, Outline

QUARTER = math.tan(math.pi / 8)  # bulge of a quarter circle


@dataclass(frozen=True, eq=False)
class Shape:
    """An outer outline and the holes inside it, all counter-clockwise, around the origin [m]."""

    outer: Outline
    holes: tuple[Outline, ...] = ()

    def placed(self, centre: Sequence[float], turn: float = 0.0) -> Shape:
        """Turned counter-clockwise by `turn` [rad] about the origin, then moved to `centre` [m]."""
        return Shape(self.outer.turned(turn).moved(centre), tuple(h.turned(turn).moved(centre) for h in self.holes))


def circle(diameter: float) -> Outline:
    """Four quarter arcs, beginning at the lower right so that each arc faces one side."""
    r = diameter / 2 * math.sqrt(0.5)
    return Outline.of([(r, -r), (r, r), (-r, r), (-r, -r)], [QUARTER] * 4)


def rounded(points: Sequence[Sequence[float]] | FloatArray, radius: float) -> Outline:
    """A polygon (counter-clockwise, [m]) whose convex corners are rounded with `radius` [m].

    Raises
    ------
    GeometryError
        The radius does not fit on a side.
    """
    corner = np.array(points, dtype=float)
    if radius <= 0:
        return Outline.of(corner)
    before, after = np.roll(corner, 1, axis=0) - corner, np.roll(corner, -1, axis=0) - corner
    into, out = (v / np.hypot(*v.T)[:, None] for v in (before, after))
    turning = np.arctan2(into[:, 1] * out[:, 0] - into[:, 0] * out[:, 1], -(into * out).sum(axis=1))
    trim = np.where(turning > 1e-9, radius * np.tan(np.abs(turning) / 2), 0.0)
    room = np.hypot(*after.T) - trim - np.roll(trim, -1)
    if room.min() < -1e-9 * np.abs(corner).max():
        raise GeometryError(
            f"an edge radius of {radius * 1e3:.6g} mm does not fit on a side of "
            f"{np.hypot(*after.T)[room.argmin()] * 1e3:.6g} mm; make it smaller"
        )
    rounded_points: list[FloatArray] = []
    bulges: list[float] = []
    for k, cut in enumerate(trim):
        if cut > 0:
            rounded_points += [corner[k] + into[k] * cut, corner[k] + out[k] * cut]
            bulges += [math.tan(turning[k] / 4), 0.0]
        else:
            rounded_points.append(corner[k])
            bulges.append(0.0)
    kept = [
        k
        for k, p in enumerate(rounded_points)
        if np.hypot(*(rounded_points[(k + 1) % len(bulges)] - p)) > 1e-9 * radius
    ]
    return Outline.of(np.array([rounded_points[k] for k in kept]), [bulges[k] for k in kept])


def _box_points(width: float, thickness: float) -> list[tuple[float, float]]:
    x, y = width / 2, thickness / 2
    return [(-x, -y), (x, -y), (x, y), (-x, y)]


def bar(width: float, thickness: float, edge_radius: float = 0.0) -> Shape:
    """A flat bar: width along x, thickness along y.

    Examples
    --------
    >>> round(bar(0.1, 0.006).outer.area, 9)
    0.0006
    """
    return Shape(rounded(_box_points(width, thickness), edge_radius))


def round_bar(diameter: float) -> Shape:
    """A solid round conductor."""
    return Shape(circle(diameter))


def tube(diameter: float, wall: float) -> Shape:
    """A round tube of outer diameter and wall thickness."""
    if wall >= diameter / 2:
        raise GeometryError(
            f"a wall of {wall * 1e3:.6g} mm leaves no bore in a tube of {diameter * 1e3:.6g} mm; "
            'use shape "round" for a solid conductor'
        )
    return Shape(circle(diameter), (circle(diameter - 2 * wall),))


def box(width: float, thickness: float, wall: float, edge_radius: float = 0.0, inner_radius: float = 0.0) -> Shape:
    """A rectangular hollow bar; edge_radius rounds the outer corners, inner_radius the bore's."""
    if 2 * wall >= min(width, thickness):
        raise GeometryError(
            f"a wall of {wall * 1e3:.6g} mm leaves no bore in a box of "
            f'{width * 1e3:.6g} x {thickness * 1e3:.6g} mm; use shape "bar" for a solid conductor'
        )
    bore = rounded(_box_points(width - 2 * wall, thickness - 2 * wall), inner_radius)
    return Shape(rounded(_box_points(width, thickness), edge_radius), (bore,))


def angle(width: float, height: float, thickness: float, edge_radius: float = 0.0) -> Shape:
    """An L: corner at the lower left, the origin in the middle of the box around it."""
    _leaves_room("an angle", thickness, width, height)
    x, y, t = width / 2, height / 2, thickness
    return Shape(rounded([(-x, -y), (x, -y), (x, t - y), (t - x, t - y), (t - x, y), (-x, y)], edge_radius))


def channel(width: float, height: float, thickness: float, edge_radius: float = 0.0) -> Shape:
    """A U open upward, the origin in the middle of the box around it."""
    _leaves_room("a channel", thickness, width / 2, height)
    x, y, t = width / 2, height / 2, thickness
    points = [(-x, -y), (x, -y), (x, y), (x - t, y), (x - t, t - y), (t - x, t - y), (t - x, y), (-x, y)]
    return Shape(rounded(points, edge_radius))


def outline(
    points: Sequence[Sequence[float]],
    bulges: Sequence[float] | None = None,
    holes: Sequence[Outline] = (),
) -> Shape:
    """A free outline of lines and arcs with optional holes; either direction is accepted."""
    return Shape(Outline.of(points, bulges).counter_clockwise(), tuple(h.counter_clockwise() for h in holes))


def _leaves_room(name: str, thickness: float, *legs: float) -> None:
    if thickness >= min(legs):
        raise GeometryError(
            f"{name} with legs of {' and '.join(f'{leg * 1e3:.6g}' for leg in legs)} mm (half the width for a "
            f"channel) has no room for a thickness of {thickness * 1e3:.6g} mm; make it thinner"
        )


SHAPES: dict[str, Callable[..., Shape]] = {
    "bar": bar,
    "round": round_bar,
    "tube": tube,
    "box": box,
    "angle": angle,
    "channel": channel,
    "outline": outline,
}
