"""The largest circle that fits inside an outline: branch and bound, then a polish.

Squares that cannot hold a better centre are dropped and the others are quartered. Two bounds serve: the distance
to the outline changes by no more than the way gone, and every nearest point found on the outline stays a limit
for the whole square. The second shrinks with the square of the size, so even flat maxima (the middle line of a
bar) need few squares. The polish is sequential linear programming on the sides that are near.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from .outline import FloatArray, Outline
from .sides import BoolArray, IntArray, Sides, dot, nearest, turned_left, unit

WORK = 100_000  # squares times sides per level, from where on flat maxima are left to the polish
MOST = 1_000_000  # the same, from where on the search of a foil's squares is given up for the best ball found
CHUNK = 200_000  # squares times sides worked on at once


def largest_inscribed_circle(outline: Outline, holes: Sequence[Outline] = ()) -> tuple[FloatArray, float]:
    """Centre [m] and radius [m] of the largest circle inside an outline and outside its holes.

    The radius is exact to about 1e-12 of itself; where the maximum is flat the centre is one of many.

    Examples
    --------
    >>> bar = Outline.of([(0.0, 0.0), (100.0, 0.0), (100.0, 6.0), (0.0, 6.0)])
    >>> round(largest_inscribed_circle(bar)[1], 10)
    3.0
    """
    room = _Room(outline, tuple(holes), Sides.of(outline, *holes))
    best, radius = _first_guess(room)
    squares, half = _first_squares(outline)
    polished = radius
    while len(squares):
        depth, bound, contact = room.measure(squares, half)
        top = int(depth.argmax())
        if depth[top] > max(radius, polished * (1 + 1e-9)):
            best, radius = _polished(room, squares[top], float(depth[top]), half)
            polished = max(polished, radius)
        keep = bound > radius * (1 + 1e-11)
        squares, depth, contact = squares[keep], depth[keep], contact[keep]
        work = 4 * len(squares) * len(room.sides)
        if half < 1e-11 * radius or work > MOST or (half < 0.05 * radius and work > WORK):
            break
        half /= 2
        corners = half * np.array([[-1.0, -1.0], [1.0, -1.0], [-1.0, 1.0], [1.0, 1.0]])
        squares = (squares[:, None] + corners).reshape(-1, 2)
    for start in _one_of_each(depth, contact) if len(squares) else ():
        found, reached = _polished(room, squares[start], float(depth[start]), half)
        if reached > radius:
            best, radius = found, reached
    return best, radius


@dataclass(frozen=True, eq=False)
class _Room:
    outline: Outline
    holes: tuple[Outline, ...]
    sides: Sides

    def inside(self, points: FloatArray) -> BoolArray:
        inside = self.outline.contains(points)
        for hole in self.holes:
            inside &= ~hole.contains(points)
        return inside

    def depth(self, point: FloatArray) -> float:
        """Distance to the outline, negative outside [m]."""
        distance = float(nearest(self.sides, point[None, None])[0].min())
        return distance if self.inside(point[None])[0] else -distance

    def measure(self, squares: FloatArray, half: float) -> tuple[FloatArray, FloatArray, IntArray]:
        """Depth of the centres, the greatest depth possible in each square, and the two sides that limit it."""
        rows = max(1, CHUNK // len(self.sides))
        chunks = [self._measure(squares[k : k + rows], half) for k in range(0, len(squares), rows)]
        depth, bound, contact = (np.concatenate(column) for column in zip(*chunks, strict=True))
        return depth, bound, contact

    def _measure(self, squares: FloatArray, half: float) -> tuple[FloatArray, FloatArray, IntArray]:
        reach = half * np.sqrt(2)
        distance, foot = nearest(self.sides, squares[:, None])
        row, first = np.arange(len(squares)), distance.argmin(axis=1)
        depth = np.where(self.inside(squares), distance[row, first], -distance[row, first])
        # no point q of the square is deeper than |q - foot| for any mix of the nearest foot and another one
        ways = squares[:, None] - foot
        way = ways[row, first][:, None]
        apart = ways - way
        mix = np.clip(dot(ways, apart) / np.maximum(dot(apart, apart), 1e-300), 0, 1)
        blend = ways + mix[..., None] * (way - ways)
        limit = mix * dot(way, way) + (1 - mix) * dot(ways, ways) + reach**2 + 2 * reach * np.sqrt(dot(blend, blend))
        second = limit.argmin(axis=1)
        bound = np.minimum(depth + reach, np.sqrt(limit[row, second]))
        return depth, bound, np.sort(np.column_stack((first, second)), axis=1)


def _first_guess(room: _Room) -> tuple[FloatArray, float]:
    """The best of the arcs' own centres, where no slope leads to (a disc), and of balls on the sides, polished."""
    balls = _balls(room.sides.take(slice(None, None, 1 + len(room.sides) // 64)), room.sides)
    guesses = np.concatenate((np.unique(room.sides.centre[room.sides.curved], axis=0), balls))
    depth, _, _ = room.measure(guesses, 0.0)
    top = int(depth.argmax())
    if depth[top] <= 0:
        return room.outline.points[0], 0.0
    return _polished(room, guesses[top], float(depth[top]), float(depth[top]))


def _balls(sides: Sides, every: Sides) -> FloatArray:
    """Centres of the balls on the left of some sides' middles, shrunk until no side reaches into them."""
    middle = sides.middle
    inward = turned_left(sides.tangent(middle))
    radius = np.full(len(sides), float(np.ptp(every.boxes.reshape(-1, 2), axis=0).max()))
    for _ in range(12):
        distance, foot = nearest(every, (middle + radius[:, None] * inward)[:, None])
        way = foot[np.arange(len(sides)), distance.argmin(axis=1)] - middle
        rise = dot(way, inward)
        touching = rise > 1e-9 * radius
        radius = np.where(touching, np.minimum(radius, dot(way, way) / np.where(touching, 2 * rise, 1.0)), radius)
    return np.asarray(middle + radius[:, None] * inward)


def _first_squares(outline: Outline) -> tuple[FloatArray, float]:
    low, high = outline.bounds
    half = max(float((high - low).min()), float((high - low).max()) / 32) / 2
    x, y = (np.arange(start + half, end + half, 2 * half) for start, end in zip(low, high, strict=True))
    return np.stack(np.meshgrid(x, y), axis=-1).reshape(-1, 2), half


def _one_of_each(depth: FloatArray, contact: IntArray, most: int = 4) -> IntArray:
    """The deepest square for every pair of limiting sides, the deepest few only."""
    order = np.argsort(-depth, kind="stable")
    _, first = np.unique(contact[order], axis=0, return_index=True)
    return np.asarray(order[np.sort(first)[:most]])


def _polished(room: _Room, point: FloatArray, depth: float, trust: float) -> tuple[FloatArray, float]:
    """Climb from a point to the local maximum of the depth."""
    from scipy.optimize import linprog

    for _ in range(60):
        distance, foot = (x[0] for x in nearest(room.sides, point[None, None]))
        near = distance <= depth + 3 * trust
        slope = unit(point - foot[near])
        if not np.isfinite(slope).all():
            break
        # step s and gain g in units of the trusted way: maximise g with depth + g <= distance + slope . s
        rows = np.column_stack((-slope, np.ones(len(slope))))
        limits = [(-1, 1), (-1, 1), (0, 2)]
        found = linprog([0, 0, -1], A_ub=rows, b_ub=(distance[near] - depth) / trust, bounds=limits)
        if found.x is None:
            break
        x, y, gain = (float(v) * trust for v in found.x)
        if gain <= 1e-14 * depth:
            break
        step = np.array([x, y])
        reached = room.depth(point + step)
        faithful = (reached - depth) / gain
        if reached > depth:
            point, depth = point + step, reached
        length = float(np.abs(step).max())
        if faithful < 0.5:
            trust = length / 4
        elif length > 0.99 * trust:
            trust *= 2
        else:
            trust = 2 * length
        if trust <= 1e-14 * depth:
            break
    return point, depth
