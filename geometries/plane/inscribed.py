"""The largest circle that fits inside an outline: branch and bound, then a polish.

Squares that cannot hold a better centre are dropped and the others are quartered. Two bounds serve: the distance
to the outline changes by no more than the way gone, and every nearest point found on the outline stays a limit
for the whole square. The second shrinks with the square of the size, so even flat maxima (the middle line of a
bar) need few squares. The polish is sequential linear programming on the sides that are near.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .outline import Outline
from .shapes import Shape
from .sides import Sides, dot, nearest, turned_left, unit

ROUNDED = 50  # binary digits of an outline's size that count when outlines are told apart
BOX = np.array([[1.0, 0, 0], [-1, 0, 0], [0, 1, 0], [0, -1, 0], [0, 0, -1]])  # |x| <= 1, |y| <= 1, z >= 0
BOUNDS = np.array([1.0, 1, 1, 1, 0])
MOST_PLANES = 32  # up to which the corners of a linear programme are all looked at
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
    corner = outline.points[0]
    step = 2.0 ** (math.frexp(outline.size)[1] - ROUNDED)
    loops = (
        (np.round((loop.points - corner) / step).tobytes(), loop.bulges.tobytes()) for loop in (outline, *holes)
    )
    centre, radius = _kept(step, tuple(loops))
    return corner + centre, radius


@lru_cache(maxsize=256)
def _kept(step: float, loops: tuple[tuple[bytes, bytes], ...]) -> tuple[FloatArray, float]:
    """The same for outlines whose corners are counted in steps [m] from the first; many parts share theirs."""
    outlines = [Outline(np.frombuffer(c).reshape(-1, 2) * step, np.frombuffer(b)) for c, b in loops]
    return _searched(outlines[0], outlines[1:])


def _searched(outline: Outline, holes: Sequence[Outline]) -> tuple[FloatArray, float]:
    domain = _Domain(Shape(outline, tuple(holes)), Sides.of(outline, *holes))
    best, radius = _first_guess(domain)
    squares, half = _first_squares(outline)
    polished = radius
    while len(squares):
        depth, bound, contact = domain.measure(squares, half)
        top = int(depth.argmax())
        if depth[top] > max(radius, polished * (1 + 1e-9)):
            best, radius = _polished(domain, squares[top], float(depth[top]), half)
            polished = max(polished, radius)
        keep = bound > radius * (1 + 1e-11)
        squares, depth, contact = squares[keep], depth[keep], contact[keep]
        work = 4 * len(squares) * len(domain.sides)
        if half < 1e-11 * radius or work > MOST or (half < 0.05 * radius and work > WORK):
            break
        half /= 2
        squares = _quartered(squares, half)
    for start in _one_of_each(depth, contact) if len(squares) else ():
        found, reached = _polished(domain, squares[start], float(depth[start]), half)
        if reached > radius:
            best, radius = found, reached
    return best, radius


def inscribed_radius(outline: Outline) -> float:
    """Radius of the largest circle that fits inside an outline [m].

    Examples
    --------
    >>> triangle = Outline.of([(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)])  # twice its area over its perimeter
    >>> round(inscribed_radius(triangle), 10)
    1.0
    """
    return largest_inscribed_circle(outline)[1]


def holds_circle(outline: Outline, radius: float) -> bool:
    """Whether a circle of a radius [m] fits inside an outline: `inscribed_radius`, given up as soon as that is sure.

    Examples
    --------
    >>> bar = Outline.of([(0.0, 0.0), (100.0, 0.0), (100.0, 6.0), (0.0, 6.0)])
    >>> holds_circle(bar, 2.9), holds_circle(bar, 3.1)
    (True, False)
    """
    domain = _Domain(Shape(outline, ()), Sides.of(outline))
    squares, half = _first_squares(outline)
    while len(squares) * len(domain.sides) < WORK:
        depth, bound, _ = domain.measure(squares, half)
        if depth.max() > radius:
            return True
        squares = squares[bound > radius]
        if not len(squares):
            return False
        half /= 2
        squares = _quartered(squares, half)
    return inscribed_radius(outline) > radius


def sure_radius(outline: Outline, holes: Sequence[Outline] = ()) -> float:
    """Radius [m] of a circle found inside without a search: the largest one may be larger, never smaller.

    Examples
    --------
    >>> bar = Outline.of([(0.0, 0.0), (100.0, 0.0), (100.0, 6.0), (0.0, 6.0)])
    >>> 2.0 < sure_radius(bar) <= 3.0
    True
    """
    _, depth = _guesses(_Domain(Shape(outline, tuple(holes)), Sides.of(outline, *holes)))
    return max(float(depth.max()), 0.0)


@dataclass(frozen=True, eq=False)
class _Domain:
    """What a circle may fill, and its border."""

    shape: Shape
    sides: Sides

    def depth(self, point: FloatArray) -> float:
        """Distance to the outline, negative outside [m]."""
        distance = float(nearest(self.sides, point[None, None])[0].min())
        return distance if self.shape.contains(point[None])[0] else -distance

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
        depth = np.where(self.shape.contains(squares), distance[row, first], -distance[row, first])
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


def _guesses(domain: _Domain) -> tuple[FloatArray, FloatArray]:
    """The arcs' own centres, where no slope leads to (a disc), and balls on the sides: places and their depths."""
    balls = _balls(domain.sides.take(slice(None, None, 1 + len(domain.sides) // 64)), domain.sides)
    guesses = np.concatenate((np.unique(domain.sides.centre[domain.sides.curved], axis=0), balls))
    return guesses, domain.measure(guesses, 0.0)[0]


def _first_guess(domain: _Domain) -> tuple[FloatArray, float]:
    """The best of the guesses, polished."""
    guesses, depth = _guesses(domain)
    top = int(depth.argmax())
    if depth[top] <= 0:
        return domain.shape.outer.points[0], 0.0
    return _polished(domain, guesses[top], float(depth[top]), float(depth[top]))


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


def _quartered(squares: FloatArray, half: float) -> FloatArray:
    """Centres of the four squares of half that side in each of some, (4 m, 2)."""
    corners = half * np.array([[-1.0, -1.0], [1.0, -1.0], [-1.0, 1.0], [1.0, 1.0]])
    return np.asarray((squares[:, None] + corners).reshape(-1, 2))


def _one_of_each(depth: FloatArray, contact: IntArray, most: int = 4) -> IntArray:
    """The deepest square for every pair of limiting sides, the deepest few only."""
    order = np.argsort(-depth, kind="stable")
    _, first = np.unique(contact[order], axis=0, return_index=True)
    return np.asarray(order[np.sort(first)[:most]])


def _polished(domain: _Domain, point: FloatArray, depth: float, trust: float) -> tuple[FloatArray, float]:
    """Climb from a point to the local maximum of the depth."""
    for _ in range(60):
        distance, foot = (x[0] for x in nearest(domain.sides, point[None, None]))
        near = distance <= depth + 3 * trust
        slope = unit(point - foot[near])
        if not np.isfinite(slope).all():
            break
        # step s and gain g in units of the trusted way: maximise g with depth + g <= distance + slope . s
        rows = np.column_stack((-slope, np.ones(len(slope))))
        best = _highest(np.concatenate((rows, BOX)), np.concatenate(((distance[near] - depth) / trust, BOUNDS)))
        if best is None:
            break
        x, y, gain = (float(v) * trust for v in best)
        if gain <= 1e-14 * depth:
            break
        step = np.array([x, y])
        reached = domain.depth(point + step)
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


def _highest(rows: FloatArray, bounds: FloatArray) -> FloatArray | None:
    """The point (3,) of largest z with rows @ point <= bounds (k,); of several the one nearest to z's axis.

    Few planes have few corners: all of them are looked at.
    """
    if len(rows) > MOST_PLANES:
        from scipy.optimize import linprog

        answer = linprog([0, 0, -1], A_ub=rows, b_ub=bounds, bounds=[(-1, 1), (-1, 1), (0, 2)]).x
        return None if answer is None else np.asarray(answer)
    one, two, three = (rows[k] for k in _triples(len(rows)))
    b1, b2, b3 = (bounds[k, None] for k in _triples(len(rows)))
    across = np.cross(two, three)
    volume = dot(one, across)
    met = np.abs(volume) > 1e-9
    corner = (b1 * across + b2 * np.cross(three, one) + b3 * np.cross(one, two))[met] / volume[met, None]
    corner = corner[(corner @ rows.T <= bounds + 1e-9).all(axis=1)]
    if not len(corner):
        return None
    top = corner[corner[:, 2] > corner[:, 2].max() - 1e-12]
    return np.asarray(top[np.abs(top[:, :2]).max(axis=1).argmin()])


@lru_cache(maxsize=64)
def _triples(count: int) -> tuple[IntArray, IntArray, IntArray]:
    """All choices of three out of some numbers."""
    first, second, third = np.array(list(combinations(range(count), 3))).T
    return first, second, third
