"""The catalogue of shapes: each function turns dimensions [m] into outlines around the origin."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from crosscurrent.geometries.arrays import BoolArray, FloatArray
from crosscurrent.geometries.errors import GeometryError, GeometryFault

from .outline import Outline

QUARTER = math.tan(math.pi / 8)  # bulge of a quarter circle


@dataclass(frozen=True, eq=False, repr=False)
class Shape:
    """An outer outline and the holes inside it, all counter-clockwise, around the origin [m]."""

    outer: Outline
    holes: tuple[Outline, ...] = ()

    def __repr__(self) -> str:
        return f"<Shape {self.outer!r}, {len(self.holes)} holes>" if self.holes else f"<Shape {self.outer!r}>"

    def placed(self, centre: Sequence[float], turn: float = 0.0) -> Shape:
        """Turned counter-clockwise by `turn` [rad] about the origin, then moved to `centre` [m]."""
        return Shape(self.outer.turned(turn).moved(centre), tuple(h.turned(turn).moved(centre) for h in self.holes))

    def mirrored(self, left_right: bool) -> Shape:
        """Its mirror image, left and right exchanged or else top and bottom, about the origin."""
        return Shape(self.outer.mirrored(left_right), tuple(h.mirrored(left_right) for h in self.holes))

    @property
    def area(self) -> float:
        """Area of its metal, holes left out [m2]; exact.

        Examples
        --------
        >>> round(box(4.0, 3.0, 0.5).area, 12)
        6.0
        """
        return self.outer.area - sum(hole.area for hole in self.holes)

    def contains(self, points: npt.ArrayLike) -> BoolArray:
        """Which of the points (m, 2) [m] lie in its metal, exact for lines and arcs; on an outline either way.

        Examples
        --------
        >>> tube(10.0, 2.0).contains([(4.0, 0.0), (0.0, 0.0), (6.0, 0.0)]).tolist()
        [True, False, False]
        """
        inside = self.outer.contains(points)
        for hole in self.holes:
            inside &= ~hole.contains(points)
        return inside


def circle(diameter: float) -> Outline:
    """Four quarter arcs about the origin, beginning at the lower right so that each arc faces one side.

    Parameters
    ----------
    diameter : float
        [m]

    Examples
    --------
    >>> round(circle(2.0).area, 12)
    3.14159265359
    """
    r = diameter / 2 * math.sqrt(0.5)
    return Outline.of([(r, -r), (r, r), (-r, r), (-r, -r)], [QUARTER] * 4)


def rounded(points: Sequence[Sequence[float]] | FloatArray, radius: float) -> Outline:
    """A polygon (counter-clockwise, [m]) whose convex corners are rounded with `radius` [m].

    Raises
    ------
    GeometryError
        The radius does not fit on a side.

    Examples
    --------
    >>> round(rounded([(0.0, 0.0), (3.0, 0.0), (3.0, 2.0), (0.0, 2.0)], 1.0).area, 9)  # 6 - (4 - pi)
    5.141592654
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
        side = np.hypot(*after.T)[room.argmin()]
        found = f"an edge radius of {radius * 1e3:.6g} mm does not fit on a side of {side * 1e3:.6g} mm"
        raise GeometryError(GeometryFault(found, "make it smaller"))
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

    Parameters
    ----------
    width, thickness, edge_radius : float
        [m]; the radius rounds all four edges.

    Raises
    ------
    GeometryError
        The radius does not fit on a side.

    Examples
    --------
    >>> round(bar(0.1, 0.006).outer.area, 9)
    0.0006
    """
    return Shape(rounded(_box_points(width, thickness), edge_radius))


def round_bar(diameter: float) -> Shape:
    """A solid round conductor.

    Parameters
    ----------
    diameter : float
        [m]

    Examples
    --------
    >>> round(round_bar(2.0).outer.perimeter, 9)
    6.283185307
    """
    return Shape(circle(diameter))


def tube(diameter: float, wall: float) -> Shape:
    """A round tube.

    Parameters
    ----------
    diameter, wall : float
        Outer diameter and thickness of the wall [m].

    Raises
    ------
    GeometryError
        The wall leaves no bore.

    Examples
    --------
    >>> round(float(tube(0.01, 0.001).holes[0].bounds[1, 0]), 9)
    0.004
    """
    if wall >= diameter / 2:
        found = f"a wall of {wall * 1e3:.6g} mm leaves no bore in a tube of {diameter * 1e3:.6g} mm"
        raise GeometryError(GeometryFault(found, 'use shape "round" for a solid conductor'))
    return Shape(circle(diameter), (circle(diameter - 2 * wall),))


def box(width: float, thickness: float, wall: float, edge_radius: float = 0.0, inner_radius: float = 0.0) -> Shape:
    """A rectangular hollow bar.

    Parameters
    ----------
    width, thickness, wall : float
        Outer sizes along x and y and thickness of the wall [m].
    edge_radius, inner_radius : float
        Radii of the outer corners and of the bore's [m].

    Raises
    ------
    GeometryError
        The wall leaves no bore, or a radius does not fit on a side.

    Examples
    --------
    >>> shape = box(0.04, 0.03, 0.005)
    >>> round(shape.outer.area - shape.holes[0].area, 9)
    0.0006
    """
    if 2 * wall >= min(width, thickness):
        size = f"{width * 1e3:.6g} x {thickness * 1e3:.6g} mm"
        found = f"a wall of {wall * 1e3:.6g} mm leaves no bore in a box of {size}"
        raise GeometryError(GeometryFault(found, 'use shape "bar" for a solid conductor'))
    bore = rounded(_box_points(width - 2 * wall, thickness - 2 * wall), inner_radius)
    return Shape(rounded(_box_points(width, thickness), edge_radius), (bore,))


def angle(width: float, height: float, thickness: float, edge_radius: float = 0.0) -> Shape:
    """An L: corner at the lower left, the origin in the middle of the box around it.

    Parameters
    ----------
    width, height, thickness, edge_radius : float
        [m]; the radius rounds the corners that point outwards.

    Raises
    ------
    GeometryError
        The legs have no room for the thickness, or the radius does not fit on a side.

    Examples
    --------
    >>> round(angle(0.04, 0.03, 0.005).outer.area, 9)
    0.000325
    """
    _leaves_room("an angle", thickness, width, height)
    x, y, t = width / 2, height / 2, thickness
    return Shape(rounded([(-x, -y), (x, -y), (x, t - y), (t - x, t - y), (t - x, y), (-x, y)], edge_radius))


def channel(width: float, height: float, thickness: float, edge_radius: float = 0.0) -> Shape:
    """A U open upward, the origin in the middle of the box around it.

    Parameters
    ----------
    width, height, thickness, edge_radius : float
        [m]; the radius rounds the corners that point outwards.

    Raises
    ------
    GeometryError
        The legs have no room for the thickness, or the radius does not fit on a side.

    Examples
    --------
    >>> round(channel(0.04, 0.03, 0.005).outer.area, 9)
    0.00045
    """
    _leaves_room("a channel", thickness, width / 2, height)
    x, y, t = width / 2, height / 2, thickness
    points = [(-x, -y), (x, -y), (x, y), (x - t, y), (x - t, t - y), (t - x, t - y), (t - x, y), (-x, y)]
    return Shape(rounded(points, edge_radius))


def outline(
    points: Sequence[Sequence[float]],
    bulges: Sequence[float] | None = None,
    holes: Sequence[Outline] = (),
) -> Shape:
    """A free outline of lines and arcs with optional holes; either direction is accepted.

    Parameters
    ----------
    points : (n, 2) float
        Corners in order [m].
    bulges : (n,) float, optional
        tan(angle / 4) of each side [-]; straight sides if left out.
    holes : sequence of Outline

    Raises
    ------
    GeometryError
        Points that coincide, or that enclose no area.

    Examples
    --------
    >>> round(outline([(0.0, 0.0), (0.0, 2.0), (1.0, 0.0)]).outer.area, 12)
    1.0
    """
    return Shape(Outline.of(points, bulges).counter_clockwise(), tuple(h.counter_clockwise() for h in holes))


def _leaves_room(name: str, thickness: float, *legs: float) -> None:
    if thickness >= min(legs):
        found = (
            f"{name} with legs of {' and '.join(f'{leg * 1e3:.6g}' for leg in legs)} mm (half the width for a "
            f"channel) has no room for a thickness of {thickness * 1e3:.6g} mm"
        )
        raise GeometryError(GeometryFault(found, "make it thinner"))


SHAPES: dict[str, Callable[..., Shape]] = {
    "bar": bar,
    "round": round_bar,
    "tube": tube,
    "box": box,
    "angle": angle,
    "channel": channel,
    "outline": outline,
}
