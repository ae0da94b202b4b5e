"""Parts that face each other: the gap between their finished surfaces and the length of face it holds over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray

from .distance import closest_of, point_distance
from .outline import Outline
from .part import Part
from .sides import Sides

MOST = 200  # parts among which it is looked for
Nearest: TypeAlias = tuple[float, Outline, Outline, FloatArray, FloatArray]
ALIKE = 1e-6  # of a gap, and of an angle [rad]: drawings round


@dataclass(frozen=True)
class Neighbours:
    """Two neighbours.

    Attributes
    ----------
    one, other : str
        Names of the parts.
    gap : float
        Shortest distance between their finished surfaces [m].
    face : float
        Length of straight faces that stand at that distance [m]; 0 where they come near at a point only.
    around : bool
        Whether one lies concentric in the other.
    """

    one: str
    other: str
    gap: float
    face: float
    around: bool


def nearest_points(one: Part, other: Part) -> Nearest:
    """Shortest distance [m] between the bare outlines of two parts, on which it is, and its ends (2,) [m]."""
    return _nearest([(one, other)])[0]


def gaps_to(one: Part, others: Sequence[Part]) -> list[float]:
    """Shortest distances [m] from the bare outlines of a part to those of others.

    Examples
    --------
    >>> from .shapes import round_bar
    >>> rods = [Part(f"rod {k}", round_bar(0.01).placed((0.015 * k, 0.0))) for k in range(3)]
    >>> [round(gap, 9) for gap in gaps_to(rods[0], rods[1:])]
    [0.005, 0.02]
    """
    return [nearest[0] for nearest in _nearest([(one, other) for other in others])]


def _nearest(pairs: Sequence[tuple[Part, Part]]) -> list[Nearest]:
    """The same of many pairs at once."""
    every = [[(a, b) for a in one.all_outlines for b in other.all_outlines] for one, other in pairs]
    closest = iter(closest_of([each for outlines in every for each in outlines]))
    nearest = []
    for outlines in every:
        found = [(next(closest), a, b) for a, b in outlines]
        (distance, _, _, on_a, on_b), a, b = min(found, key=lambda each: each[0][0])
        nearest.append((distance, a, b, on_a, on_b))
    return nearest


def finished_gap(one: Part, other: Part) -> float:
    """Shortest distance between two parts with their coats on [m].

    Examples
    --------
    >>> from .shapes import round_bar, tube
    >>> core, screen = Part("core", round_bar(0.010), (1e-5,)), Part("screen", tube(0.030, 0.002), bore_coats=(2e-5,))
    >>> round(finished_gap(core, screen), 9)
    0.00797
    """
    distance, a, b, _, _ = nearest_points(one, other)
    return distance - _coats(one, a) - _coats(other, b)


def neighbouring_parts(parts: Sequence[Part]) -> tuple[Neighbours, ...]:
    """Every pair of neighbours: the shortest line between them, and the circle about it, meet no third part.

    None among more than `MOST` parts.

    Examples
    --------
    >>> from .shapes import bar
    >>> stack = [Part(name, bar(0.1, 0.006).placed((0.0, y))) for name, y in (("a", 0.0), ("b", 0.009), ("c", 0.02))]
    >>> [(f.one, f.other, round(f.gap, 9), round(f.face, 9)) for f in neighbouring_parts(stack)]
    [('a', 'b', 0.003, 0.1), ('b', 'c', 0.005, 0.1)]
    """
    if len(parts) > MOST:
        return ()
    found = []
    boxes = np.array([p.bounds for p in parts])
    pairs = _candidates(boxes)
    nearest = _nearest([(parts[i], parts[j]) for i, j in pairs])
    for (i, j), (distance, a, b, on_a, on_b) in zip(pairs, nearest, strict=True):
        one, other = parts[i], parts[j]
        between, reach = (on_a + on_b) / 2, distance / 2 * (1 - ALIKE)
        reached = (np.maximum(boxes[:, 0] - between, between - boxes[:, 1]) < reach).all(axis=1)
        if any(_within(parts[k], between, reach) for k in np.flatnonzero(reached).tolist() if k not in (i, j)):
            continue
        gap = distance - _coats(one, a) - _coats(other, b)
        found.append(Neighbours(one.name, other.name, gap, _face(a, b, distance), _concentric(a, b)))
    return tuple(found)


def _candidates(boxes: FloatArray) -> list[tuple[int, int]]:
    """Pairs without a third box on the middle of the shortest line between theirs; boxes around them do not count."""
    low, high = boxes[:, 0], boxes[:, 1]
    pairs = []
    for i in range(len(boxes)):
        for j in range(i + 1, len(boxes)):
            apart = np.maximum(low[i], low[j]), np.minimum(high[i], high[j])
            between = (apart[0] + apart[1]) / 2
            covers = ((low < between) & (between < high)).all(axis=1)
            holds = [((low <= low[k]) & (high >= high[k])).all(axis=1) for k in (i, j)]
            covers &= ~(holds[0] | holds[1])
            if not covers.any():
                pairs.append((i, j))
    return pairs


def _within(part: Part, point: FloatArray, reach: float) -> bool:
    """Whether a part comes nearer to a point than that."""
    return any(bool((point_distance(point, o) < reach).any()) for o in part.all_outlines)


def _coats(part: Part, outline: Outline) -> float:
    """Thickness of what is deposited on one of its outlines [m]."""
    if outline is part.shape.outer:
        return sum(part.coats)
    return sum(part.bore_coats) if any(outline is hole for hole in part.shape.holes) else 0.0


def _concentric(a: Outline, b: Outline) -> bool:
    if not (a.curved.all() and b.curved.all()):
        return False
    centres = np.concatenate((a.centres, b.centres))
    return bool(np.ptp(centres, axis=0).max() < ALIKE * min(a.size, b.size))


def _face(a: Outline, b: Outline, distance: float) -> float:
    """Length over which straight sides of one stand before such of the other, parallel and at that distance [m]."""
    one, other = Sides.of(a), Sides.of(b)
    one, other = one.take(_straight(one)), other.take(_straight(other))
    if not len(one) or not len(other):
        return 0.0
    along = (one.end - one.start) / np.linalg.norm(one.end - one.start, axis=1)[:, None]
    span = other.end - other.start
    cross = along[:, None, 0] * span[:, 1] - along[:, None, 1] * span[:, 0]
    parallel = np.abs(cross) <= ALIKE * np.linalg.norm(span, axis=1)
    away = other.start[None] - one.start[:, None]
    offset = np.abs(along[:, None, 0] * away[..., 1] - along[:, None, 1] * away[..., 0])
    near = parallel & (np.abs(offset - distance) <= ALIKE * distance + 1e-12)
    ends = np.stack([((p[None] - one.start[:, None]) * along[:, None]).sum(axis=2) for p in (other.start, other.end)])
    long = np.linalg.norm(one.end - one.start, axis=1)[:, None]
    overlap = np.minimum(ends.max(axis=0), long) - np.maximum(ends.min(axis=0), 0.0)
    return float(np.where(near, np.maximum(overlap, 0.0), 0.0).sum())


def _straight(sides: Sides) -> BoolArray:
    return ~sides.curved
