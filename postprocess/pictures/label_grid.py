"""A grid over a panel on which room for names is looked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path
from scipy import ndimage

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.sides import Sides

from .panels import inches_wide
from .style import INK, SMALL, printable

TALL, AROUND = 0.15, 0.08  # height of a name, and air beside its letters, both sides together [in]
CELL = 0.015  # of the grid [in]
RING = 9.0  # diameter of the ring that marks the zoom [pt]


@dataclass(frozen=True, eq=False)
class LabelGrid:
    """The part in each cell, -1 for air, and whether something is written there.

    Attributes
    ----------
    owner : (rows, columns) int
    taken : (rows, columns) bool
    corner : (2,) float
        Lower left corner [m].
    cell : float
        [m]
    axes : Axes
        Where names are written.
    """

    owner: IntArray
    taken: BoolArray
    corner: FloatArray
    cell: float
    axes: Axes

    @classmethod
    def of(cls, parts: Sequence[Part], axes: Axes, ring: FloatArray | None) -> LabelGrid | None:
        """The grid of a panel, the place of the ring (2,) [m] taken; None if the panel is too small for one."""
        window = np.array([axes.get_xlim(), axes.get_ylim()]).T
        cell = float(window[1, 0] - window[0, 0]) / inches_wide(axes) * CELL
        columns, rows = ((window[1] - window[0]) / cell).astype(int)
        if columns < 4 or rows < 4:
            return None
        x, y = (start + cell * (np.arange(n) + 0.5) for start, n in zip(window[0], (columns, rows), strict=True))
        owner = np.full((rows, columns), -1)
        for k, part in enumerate(parts):
            low, high = part.bounds + cell * np.array([[-0.5], [0.5]])
            i = np.flatnonzero((y > low[1]) & (y < high[1]))
            j = np.flatnonzero((x > low[0]) & (x < high[0]))
            places = np.stack(np.meshgrid(x[j], y[i]), axis=-1).reshape(-1, 2)
            block = owner[np.ix_(i, j)]
            block[_metal(part, places, cell).reshape(block.shape)] = k
            owner[np.ix_(i, j)] = block
        found = cls(owner, np.zeros(owner.shape, dtype=bool), window[0], cell, axes)
        if ring is not None:
            found.keep_free(ring, RING / 2)
        return found

    def keep_free(self, place: FloatArray, radius: float) -> None:
        """Let nothing be written in a circle about a place (2,) [m], of a radius on paper [pt]; 0 is none."""
        rows, columns = (np.arange(n) for n in self.owner.shape)
        x, y = ((place - self.corner) / self.cell - 0.5).tolist()
        if radius:
            self.taken[np.hypot(*np.meshgrid(columns - x, rows - y)) < radius / 72 / CELL + 1] = True

    def place(self, row: float, column: float) -> tuple[float, float]:
        """Middle of a cell [m]."""
        x, y = self.corner + self.cell * (np.array([column, row]) + 0.5)
        return float(x), float(y)

    def keep_axis_name(self, top: float) -> None:
        """Let nothing be written where the axis has its name: right of it, under a height [m]."""
        start = round(float(-self.corner[0] / self.cell))
        high, wide = cells_of("axis")
        last = round(float((top - self.corner[1]) / self.cell))
        self.taken[max(last - high - 4, 0) : last, max(start, 0) : max(start + wide + 4, 0)] = True

    @property
    def right_of_axis(self) -> BoolArray:
        """Columns that lie clear of the line x = 0 on its right, (1, columns)."""
        return np.asarray(self.corner[0] + self.cell * np.arange(self.owner.shape[1])[None] > 2 * self.cell)

    def centres(self, free: BoolArray, text: str, *, upright: bool = False) -> BoolArray:
        """Cells on which a name can be centred so that it covers only free ones."""
        size = cells_of(text)[:: -1 if upright else 1]
        inner = ndimage.minimum_filter(free & ~self.taken, size=size, mode="constant", cval=False)
        return np.asarray(inner, dtype=bool)

    def write(self, row: float, column: float, text: str, *, upright: bool = False) -> None:
        """Write a name about a cell and keep its cells from others."""
        high, wide = (n // 2 + 1 for n in cells_of(text)[:: -1 if upright else 1])
        i, j = round(row), round(column)
        self.taken[max(0, i - high) : i + high + 1, max(0, j - wide) : j + wide + 1] = True
        self.axes.text(
            *self.place(row, column), printable(text), ha="center", va="center", fontsize=SMALL, parse_math=False,
            rotation=90 if upright else 0,
            bbox={"boxstyle": "round,pad=0.2", "facecolor": "white", "edgecolor": "none", "alpha": 0.75},
        )  # fmt: skip

    def lead(self, cells: Sequence[tuple[float, float]]) -> None:
        """A line through cells (row, column), from the metal to the name, with a dot where it begins."""
        x, y = zip(*(self.place(*cell) for cell in cells), strict=True)
        self.axes.plot(x, y, color=INK, linewidth=0.6, marker="o", markevery=[0], markersize=2, zorder=2.5)
        for a, b in pairwise(cells):
            self.taken[cells_between(a, b, self.owner.shape)] = True


def cells_of(text: str) -> tuple[int, int]:
    """Rows and columns of a name, odd.

    Examples
    --------
    >>> [odd % 2 for odd in cells_of("bar")], cells_of("busbar")[1] > cells_of("bar")[1]
    ([1, 1], True)
    """
    height, width = TALL / CELL, width_of(text) / CELL
    return int(np.ceil(height - 1e-9)) | 1, int(np.ceil(width)) | 1


@lru_cache(maxsize=1024)
def width_of(text: str) -> float:
    """Width of a name with the air beside it [in]."""
    look = FontProperties(family="DejaVu Sans", size=SMALL)
    return AROUND + float(text_to_path.get_text_width_height_descent(printable(text), look, False)[0]) / 72


def cells_between(a: tuple[float, float], b: tuple[float, float], shape: tuple[int, ...]) -> tuple[IntArray, IntArray]:
    """Rows and columns of the cells on a straight line, within a grid of a shape."""
    steps = np.linspace(0, 1, 200)
    on = (np.round(p + steps * (q - p)).astype(int) for p, q in zip(a, b, strict=True))
    row, column = (np.clip(k, 0, n - 1) for k, n in zip(on, shape, strict=True))
    return row, column


def _metal(part: Part, places: FloatArray, cell: float) -> BoolArray:
    """Cells with metal of a part; metal thinner than a cell fills the cells it runs through."""
    inside = part.contains(places)
    if not inside.all():
        sides = Sides.of(*part.all_outlines)
        inside[~inside] = sides.distance(places[~inside]) < 0.5 * cell
    return inside
