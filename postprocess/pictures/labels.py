"""Names of the parts: in the metal where there is room, else in the air beside it with a line that leads to it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from scipy import ndimage

from ...geometries.outline import FloatArray
from ...geometries.section import Part
from ...geometries.sides import BoolArray, IntArray, Sides
from .panels import inches_wide
from .style import INK, SMALL, printable, shortened

LETTER, TALL = 0.068, 0.15  # room for a letter of a name, height of a name [in]
CELL = 0.03  # of the grid on which room is looked for [in]
LONGEST = 24  # letters of a name
LED = 5  # names beside their parts, at most: with more, none
RING = 9.0  # diameter of the ring that marks the zoom [pt]


def name_parts(parts: Sequence[Part], axes: Axes, ring: FloatArray | None = None) -> None:
    """Write the names that find room in a panel, none on another part, another name or the ring (2,) [m]."""
    room = _Room.of(parts, axes, ring)
    if room is None:
        return
    beside = [k for k, part in enumerate(parts) if not _name_inside(room, k, shortened(part.name, LONGEST), axes)]
    if len(beside) <= LED:
        for k in beside:
            _name_beside(room, k, shortened(parts[k].name, LONGEST), axes)


@dataclass(frozen=True, eq=False)
class _Room:
    """A grid over a panel: the part in each cell, -1 for air, and whether something is written there.

    Attributes
    ----------
    owner : (rows, columns) int
    taken : (rows, columns) bool
    corner : (2,) float
        Lower left corner [m].
    cell : float
        [m]
    """

    owner: IntArray
    taken: BoolArray
    corner: FloatArray
    cell: float

    @classmethod
    def of(cls, parts: Sequence[Part], axes: Axes, ring: FloatArray | None) -> _Room | None:
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
        taken = np.zeros(owner.shape, dtype=bool)
        if ring is not None:
            near = np.hypot(*np.meshgrid(x - ring[0], y - ring[1])) < (RING / 72 / CELL / 2 + 1) * cell
            taken |= near
        return cls(owner, taken, window[0], cell)

    def place(self, row: float, column: float) -> tuple[float, float]:
        """Middle of a cell [m]."""
        x, y = self.corner + self.cell * (np.array([column, row]) + 0.5)
        return float(x), float(y)

    def centres(self, free: BoolArray, text: str) -> BoolArray:
        """Cells on which a name can be centred so that it covers only free ones."""
        height, width = _size(text)
        inner = ndimage.minimum_filter(free & ~self.taken, size=(height, width), mode="constant", cval=False)
        return np.asarray(inner, dtype=bool)

    def take(self, row: int, column: int, text: str) -> None:
        """Keep the cells of a name from others."""
        high, wide = (n // 2 + 1 for n in _size(text))
        self.taken[max(0, row - high) : row + high + 1, max(0, column - wide) : column + wide + 1] = True


def _size(text: str) -> tuple[int, int]:
    """Rows and columns of a name, odd."""
    height, width = TALL / CELL, (LETTER * len(text) + 0.1) / CELL
    return 2 * int(np.ceil(height / 2)) + 1, 2 * int(np.ceil(width / 2)) + 1


def _metal(part: Part, places: FloatArray, cell: float) -> BoolArray:
    """Cells with metal of a part; metal thinner than a cell fills the cells it runs through."""
    inside = np.zeros(len(places), dtype=bool)
    for shape in (part.shape, *part.pieces):
        within = shape.outer.contains(places)
        for hole in shape.holes:
            within &= ~hole.contains(places)
        inside |= within
    if not inside.all():
        sides = Sides.of(*part.all_outlines)
        inside[~inside] = sides.distance(places[~inside]) < 0.5 * cell
    return inside


def _name_inside(room: _Room, number: int, text: str, axes: Axes) -> bool:
    """Write a name where the metal is widest, nearest to the middle of the part if it is so in many places."""
    own = room.owner == number
    if not own.any():
        return True
    fits = room.centres(own, text)
    if not fits.any():
        return False
    depth = ndimage.distance_transform_edt(np.pad(own, 1))[1:-1, 1:-1]
    rows, columns = np.nonzero(fits & (depth >= depth[fits].max() - 1))
    middle = np.argwhere(own).mean(axis=0)
    away = np.hypot(rows - middle[0], columns - middle[1])
    best = int(away.argmin())
    row, column = middle if away[best] < 2 else (rows[best], columns[best])
    _write(room, float(row), float(column), text, axes)
    return True


def _name_beside(room: _Room, number: int, text: str, axes: Axes) -> None:
    """Write a name in the air next to its part, with a line to the metal that crosses nothing else."""
    fits = room.centres(room.owner < 0, text)
    away, (near_rows, near_columns) = ndimage.distance_transform_edt(room.owner != number, return_indices=True)
    rows, columns = np.nonzero(fits)
    middle = np.argwhere(room.owner == number).mean(axis=0)
    order = np.argsort(away[rows, columns] + 0.1 * np.hypot(rows - middle[0], columns - middle[1]), kind="stable")[:400]
    steps = np.linspace(0, 1, 60)
    for row, column in zip(rows[order].tolist(), columns[order].tolist(), strict=True):
        foot = int(near_rows[row, column]), int(near_columns[row, column])
        on = tuple(np.round(a + steps * (b - a)).astype(int) for a, b in zip((row, column), foot, strict=True))
        if np.isin(room.owner[on], (-1, number)).all() and not room.taken[on].any():
            x, y = zip(room.place(row, column), room.place(*foot), strict=True)
            axes.plot(x, y, color=INK, linewidth=0.6, marker="o", markevery=[1], markersize=2, zorder=2.5)
            room.taken[on] = True
            _write(room, row, column, text, axes)
            return


def _write(room: _Room, row: float, column: float, text: str, axes: Axes) -> None:
    room.take(round(row), round(column), text)
    axes.text(
        *room.place(row, column), printable(text), ha="center", va="center", fontsize=SMALL, parse_math=False,
        bbox={"boxstyle": "round,pad=0.2", "facecolor": "white", "edgecolor": "none", "alpha": 0.75},
    )  # fmt: skip
