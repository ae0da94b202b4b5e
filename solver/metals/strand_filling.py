"""How many round strands lie in a pressed bar and in an outline of any form: rows and lattices, looked for.

A lattice put anywhere holds as many as its cells go into the region of the middles on average, so that one place holds
as many at least; above that, places are tried.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.distance import point_distance
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.shapes import Shape

from .strand_layout import BASES, Layout, cell_area
from .strand_packing import CLOSER, Packing

_SLACK = 1e-9  # of a diameter, as rounding may put strands
_TRIED = 12  # places of a lattice along each of its steps, in a bar with round corners
_ROW = math.sqrt(3) / 2  # from row to row of strands that touch
_LOOSER = 3  # numbers of rows that are spread over a bar
_WORK = 30_000_000  # middles times sides of an outline that are looked at in all
_AS_LONG = 100  # sides that a middle costs at least
_DIRECTIONS = 4  # of the longest sides, along which rows are laid


def most_in_bar(width: float, thickness: float, edge_radius: float, packing: Packing) -> int:
    """How many strands fit into a bar, all lengths over the diameter of one with its insulation.

    Parameters
    ----------
    width, thickness, edge_radius : float
    packing : "hexagonal", "square" or "any"
        Rows along the one side or the other; "any": rows that are spread across the bar too.

    Examples
    --------
    Three rows of ten, nine and ten; of ten each:

    >>> most_in_bar(10.0, 2.8, 0.0, "hexagonal"), most_in_bar(10.0, 3.0, 0.0, "square")
    (29, 30)
    """
    found = 0
    for across, up in ((width, thickness), (thickness, width)):
        region = _Room(across * CLOSER - 1, up * CLOSER - 1, max(edge_radius - 0.5, 0.0))
        if region.width >= 0 and region.height >= 0:
            found = max(found, region.sure(packing), *(region.held(*rows) for rows in _rows(region.height, packing)))
    return found


def _rows(height: float, packing: Packing) -> Iterator[tuple[float, float, float]]:
    """From row to row, from strand to strand in a row, and how far the next row is pushed along."""
    if packing in ("square", "any"):
        yield 1.0, 1.0, 0.0
    if packing != "square":
        yield _ROW, 1.0, 0.5
    if packing == "any":
        fewest = int(height / _ROW) + 1
        for rows in range(max(fewest, 2), fewest + _LOOSER):
            apart = height / (rows - 1)
            if 0 < apart <= 1 and (rows == 2 or apart >= 0.5):  # the next row but one lies in line
                pushed = max(0.5, math.sqrt(1 - apart**2))
                yield apart, 2 * pushed, pushed


class _Room:
    """Where the middles of strands may be in a bar: a rectangle whose corners may be round."""

    def __init__(self, width: float, height: float, corner: float) -> None:
        self.width, self.height, self.corner = width, height, corner

    def sure(self, packing: Packing) -> int:
        """So many at least, by the mean over all places of the lattice."""
        area = self.width * self.height - (4 - math.pi) * self.corner**2
        return _mean_number(area, "square" if packing == "square" else "hexagonal")

    def held(self, apart: float, step: float, pushed: float) -> int:
        """Strands of such rows, from the best place that is tried."""
        number = int(self.height / apart + _SLACK) + 1
        if not self.corner:
            starts, ups = np.zeros(1), np.zeros(1)
        else:
            starts = step * np.arange(_TRIED) / _TRIED
            ups = np.linspace(0, max(self.height - (number - 1) * apart, 0.0), _TRIED)
            ups = np.concatenate((ups, ups[-1] + apart / 2 * np.arange(2)))
        row = np.arange(number)
        y = ups[:, None, None] + apart * row
        low = self._inset(y)
        first = starts[:, None] + pushed * (row % 2)
        held = np.floor((self.width - low - first) / step + _SLACK) - np.ceil((low - first) / step - _SLACK) + 1
        return int(np.where(y <= self.height + _SLACK, np.maximum(held, 0), 0).sum(axis=-1).max())

    def _inset(self, y: FloatArray) -> FloatArray:
        """How far the sides stand in at a height."""
        below = np.maximum(self.corner - np.minimum(y, self.height - y), 0.0)
        return np.asarray(self.corner - np.sqrt(np.maximum(self.corner**2 - below**2, 0.0)))


def most_in_outline(shape: Shape, insulated: float, packing: Packing) -> int:
    """How many strands fit into an outline, its holes left free.

    Parameters
    ----------
    shape : Shape
        [m]
    insulated : float
        Diameter of a strand with its insulation [m].
    packing : "hexagonal", "square" or "any"
        A lattice with its rows along, or across, one of the longest sides.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> most_in_outline(bar(10.0, 3.0), 1.0, "square")
    30
    """
    width, height = np.ptp(shape.outer.bounds, axis=0) / insulated
    sides = max(_AS_LONG, sum(len(loop.points) for loop in (shape.outer, *shape.holes)))
    places = int(_WORK / (1.2 * (width + 1) * (height + 1) * sides))
    ways = [(layout, turn) for layout in _layouts(packing) for turn in _turns(shape, layout)][: max(2, places // 4)]
    fine = min(_TRIED, max(1, math.isqrt(places // len(ways))))
    tried = (_tried(shape, insulated, layout, turn, fine) for layout, turn in ways)
    return max(sure_in_outline(shape, insulated, packing), *tried)


def sure_in_outline(shape: Shape, insulated: float, packing: Packing) -> int:
    """So many fit at least; without a search.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> sure_in_outline(bar(10.0, 3.0), 1.0, "square")
    17
    """
    loops = (shape.outer, *shape.holes)
    area = shape.area - insulated / 2 * sum(loop.perimeter for loop in loops) - _reflex(shape) * insulated**2 / 8
    return max(_mean_number(area / insulated**2, layout) for layout in _layouts(packing))


def _layouts(packing: Packing) -> tuple[Layout, ...]:
    return ("hexagonal", "square") if packing == "any" else (packing,)


def _mean_number(area: float, layout: Layout) -> int:
    """What a lattice holds on average in a region of the middles; area over that of a diameter squared."""
    return math.ceil(max(area, 0.0) / cell_area(1.0, layout) - _SLACK)


def _reflex(shape: Shape) -> float:
    """How far the outline turns back in all [rad]: at such a corner a strand keeps off round a point."""
    return _turned_back(shape.outer) + sum(2 * math.pi + _turned_back(hole) for hole in shape.holes)


def _turned_back(outline: Outline) -> float:
    side = np.arange(len(outline.points))
    (_, leaving), (_, arriving) = outline.at(side, 0.0), outline.at(side, 1.0)
    ahead = np.roll(leaving, -1, axis=0)
    corner = np.arctan2(arriving[:, 0] * ahead[:, 1] - arriving[:, 1] * ahead[:, 0], (arriving * ahead).sum(axis=1))
    return float(-np.minimum(np.concatenate((corner, outline.sweeps)), 0.0).sum())


def _turns(shape: Shape, layout: Layout) -> list[float]:
    """Directions of rows, as far as they differ [rad]."""
    outer = shape.outer
    way = outer.ends - outer.points
    longest = np.argsort(np.where(outer.curved, 0.0, -outer.chords), kind="stable")[:_DIRECTIONS]
    angles = [0.0, *(math.atan2(*way[k, ::-1]) for k in longest if not outer.curved[k])]
    whole = math.pi / 2 if layout == "square" else math.pi / 3
    both = angles if layout == "square" else [*angles, *(angle + math.pi / 2 for angle in angles)]
    return sorted({round(angle % whole, 6) % round(whole, 6) for angle in both})


def _tried(shape: Shape, insulated: float, layout: Layout, turn: float, fine: int) -> int:
    """The most of a lattice with its rows in one direction, from so many places along each of its steps."""
    turned = Shape(shape.outer.turned(-turn), tuple(hole.turned(-turn) for hole in shape.holes))
    (left, bottom), (right, top) = turned.outer.bounds / insulated
    (_, _), (half, apart) = BASES[layout]
    rows, along = (np.arange(-1, math.ceil(span) + 1) for span in ((top - bottom) / apart, right - left))
    x, y = np.broadcast_arrays(along + (rows[:, None] % 2) * half, rows[:, None] * apart)
    lattice = np.column_stack((x.ravel() + left + 0.5, y.ravel() + bottom + 0.5))
    shifts = np.arange(fine) / fine
    moved = (np.array([across, up * apart]) for across, up in itertools.product(shifts, shifts))
    return max(_within(turned, (lattice + way) * insulated, insulated) for way in moved)


def _within(shape: Shape, places: FloatArray, insulated: float) -> int:
    inside = places[shape.contains(places)]
    for loop in (shape.outer, *shape.holes):
        if len(inside):
            inside = inside[point_distance(inside, loop).min(axis=1) * CLOSER >= insulated / 2]
    return len(inside)
