"""Room on a drawing: a grid that knows whose metal a cell is, and what is drawn in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from scipy import ndimage

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part

from .sheet import LETTER, Label, Sheet

CELL = 0.5  # of the grid, in heights of the text
TALL = 1.7  # room that a line of text takes, in heights
ARC = np.pi / 12  # of an arc that is told as one chord [rad]


@dataclass(frozen=True, eq=False)
class Room:
    """The grid over a drawing, and the lines on it that a leader may cross.

    Attributes
    ----------
    owner : (rows, columns) int
        Number of the part whose metal it is, -1 in the air.
    border : (rows, columns) bool
        Cells that the side of a part runs through.
    taken : (rows, columns) bool
        Cells in which a line or a text stands.
    corner : (2,) float
        Lower left corner [mm].
    cell : float
        [mm]
    chords : (n, 2, 2) float
        The sides of all parts, arcs as chords [mm].
    whose : (n,) int
        The part of each chord.
    drawn : list of (2, 2) float
        Lines that stand on the drawing [mm].
    boxes : list of (2, 2) float
        Lower left and upper right corners of the texts [mm].
    """

    owner: IntArray
    border: BoolArray
    taken: BoolArray
    corner: FloatArray
    cell: float
    chords: FloatArray
    whose: IntArray
    drawn: list[FloatArray] = field(default_factory=list)
    boxes: list[FloatArray] = field(default_factory=list)

    @classmethod
    def of(cls, sheet: Sheet, parts: Sequence[Part], margin: tuple[float, float]) -> Room:
        """The room of a drawing with a margin around it [heights of its text], the parts in metres."""
        cell = CELL * sheet.height
        low, high = sheet.bounds + np.array(margin) * sheet.height * np.array([[-1.0], [1.0]])
        columns, rows = (np.ceil((high - low) / cell).astype(int) + 1).tolist()
        chords = [np.concatenate([_chords(o) for o in part.all_outlines]) * 1e3 for part in parts]
        whose = np.repeat(np.arange(len(parts)), [len(c) for c in chords])
        owner, empty = np.full((rows, columns), -1), np.zeros((rows, columns), dtype=bool)
        room = cls(owner, empty, empty.copy(), low, cell, np.concatenate(chords), whose)
        for number, part in enumerate(parts):
            room._fill(number, part)
        room._mark(room.border, room.chords)
        for line in sheet.lines:
            corners = np.array(line.points)
            room.add_line(np.stack((corners[:-1], corners[1:]), axis=1))
        for label in sheet.labels:
            room.add_label(label)
        return room

    def middles(self, rows: IntArray, columns: IntArray) -> FloatArray:
        """Middles of cells, (n, 2) [mm]."""
        return np.asarray(self.corner + self.cell * (np.stack((columns, rows), axis=-1) + 0.5))

    def centres(self, free: BoolArray, text: str, *, upright: bool = False) -> tuple[IntArray, IntArray]:
        """Rows and columns of the cells on which a text can be centred so that it covers only free ones."""
        size = [2 * int(np.ceil(n / CELL / 2)) + 1 for n in (TALL, LETTER * len(text) + 0.7)]
        fits = ndimage.minimum_filter(free & ~self.border & ~self.taken, size=size[::-1] if upright else size,
                                      mode="constant", cval=False)  # fmt: skip
        rows, columns = np.nonzero(fits)
        return rows, columns

    def add_line(self, pieces: FloatArray) -> None:
        """Keep the cells under straight lines (n, 2, 2) [mm] from others."""
        self._mark(self.taken, pieces)
        self.drawn.extend(pieces)

    def add_label(self, label: Label) -> None:
        """Keep the cells of a text from others."""
        box = np.array(label.corners)
        first, last = np.floor((box - self.corner) / self.cell).astype(int).clip(0)
        self.taken[first[1] : last[1] + 1, first[0] : last[0] + 1] = True
        self.boxes.append(box)

    def crossings(self, lines: FloatArray, number: int) -> tuple[IntArray, IntArray, IntArray]:
        """How many sides of other parts, texts and drawn lines each of some lines (n, 2, 2) [mm] to a part crosses."""
        low, high = np.array(self.boxes).reshape(-1, 2, 2).transpose(1, 0, 2)
        around = [low, np.column_stack((high[:, 0], low[:, 1])), high, np.column_stack((low[:, 0], high[:, 1]))]
        frames = np.concatenate([np.stack((around[k - 1], around[k]), axis=1) for k in range(4)])
        others = self.chords[self.whose != number]
        return (_crossed(lines, others), _crossed(lines, frames),
                _crossed(lines, np.array(self.drawn).reshape(-1, 2, 2)))  # fmt: skip

    def _fill(self, number: int, part: Part) -> None:
        first, last = np.floor((part.bounds * 1e3 - self.corner) / self.cell).astype(int).tolist()
        rows, columns = np.mgrid[first[1] : last[1] + 1, first[0] : last[0] + 1]
        inside = part.contains(self.middles(rows, columns).reshape(-1, 2) * 1e-3).reshape(rows.shape)
        self.owner[rows[inside], columns[inside]] = number

    def _mark(self, cells: BoolArray, lines: FloatArray) -> None:
        """Mark the cells that lines run through."""
        for a, b in lines:
            steps = np.linspace(0.0, 1.0, 2 + int(2 * np.hypot(*(b - a)) / self.cell))[:, None]
            columns, rows = np.floor((a + steps * (b - a) - self.corner) / self.cell).astype(int).T
            cells[rows, columns] = True


def _chords(outline: Outline) -> FloatArray:
    """An outline as short straight lines, (n, 2, 2) [m]."""
    pieces = 1 + np.ceil(np.abs(outline.sweeps) / ARC).astype(int)
    corners = np.concatenate([outline.at(k, np.arange(n) / n)[0] for k, n in enumerate(pieces)])
    return np.stack((corners, np.roll(corners, -1, axis=0)), axis=1)


def _crossed(lines: FloatArray, others: FloatArray) -> IntArray:
    """How many of the others (m, 2, 2) each of the lines (n, 2, 2) crosses, (n,)."""
    a, b = lines[:, None, 0], lines[:, None, 1]
    c, d = others[None, :, 0], others[None, :, 1]
    apart = (_side(a, b, c) * _side(a, b, d) < 0) & (_side(c, d, a) * _side(c, d, b) < 0)
    return np.asarray(apart.sum(axis=1))


def _side(a: FloatArray, b: FloatArray, point: FloatArray) -> FloatArray:
    """Positive where a point lies left of the way from a to b."""
    along, to = b - a, point - a
    return np.asarray(along[..., 0] * to[..., 1] - along[..., 1] * to[..., 0])
