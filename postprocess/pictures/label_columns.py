"""Names of many small parts in columns beside the section, or upright in rows over and under it, and lines to them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .label_grid import LabelGrid, cells_of

ELBOW = 14  # cells between the outermost metal and the names
STRAIGHT = 4  # of these, cells that a line goes on straight


@dataclass(frozen=True, eq=False)
class _Side:
    """One side of the section, as if its names stood on the right of it.

    Attributes
    ----------
    owner : (rows, columns) int
        The grid, turned so that the side is on the right.
    turned, mirrored : bool
        How.
    """

    owner: IntArray
    turned: bool
    mirrored: bool

    @classmethod
    def of(cls, grid: LabelGrid, *, turned: bool, mirrored: bool) -> _Side:
        owner = grid.owner.T if turned else grid.owner
        return cls(owner[:, ::-1] if mirrored else owner, turned, mirrored)

    @property
    def outermost(self) -> IntArray:
        """Column of the last metal in every row, -1 without any."""
        metal = self.owner >= 0
        last = self.owner.shape[1] - 1 - metal[:, ::-1].argmax(axis=1)
        return np.where(metal.any(axis=1), last, -1)

    def exits(self) -> dict[int, int]:
        """Parts that can be reached from this side without crossing another, and a row in the middle of where."""
        last = self.outermost
        seen = np.where(last >= 0, self.owner[np.arange(len(last)), last], -1)
        return {int(k): _middle(np.flatnonzero(seen == k)) for k in np.unique(seen[seen >= 0])}

    def cell(self, row: float, column: float) -> tuple[float, float]:
        """Row and column in the grid itself."""
        column = self.owner.shape[1] - 1 - column if self.mirrored else column
        return (column, row) if self.turned else (row, column)

    def write(self, grid: LabelGrid, rows: Mapping[int, int], names: Mapping[int, str]) -> set[int]:
        """Write names in a column, each as near to its row as there is room; returns which of them."""
        last, height = self.outermost, cells_of("")[0]
        start = int(last.max()) + ELBOW
        fitting = [k for k in rows if start + cells_of(names[k])[1] <= self.owner.shape[1]]
        order = sorted(fitting, key=lambda k: rows[k])
        room = self.owner.shape[0] // height
        if len(order) > room:  # some of them, evenly, the first and the last in any case
            order = [order[int(k)] for k in np.unique(np.linspace(0, len(order) - 1, room).round())]
        heights = spread(np.array([rows[k] for k in order], dtype=float), height, self.owner.shape[0])
        for k, at in zip(order, heights.tolist(), strict=True):
            row, wide = rows[k], cells_of(names[k])[1]
            bend = (row, last.max() + STRAIGHT)
            grid.lead([self.cell(*c) for c in ((row, last[row]), bend, (at, start - 1))])
            grid.write(*self.cell(at, start + wide // 2), names[k], upright=self.turned)
        return set(order)


def _middle(rows: IntArray) -> int:
    """The middle of the longest run of rows, the last of those as long: between two runs another part stands."""
    runs = np.split(rows, np.flatnonzero(np.diff(rows) > 1) + 1)
    longest = max(reversed(runs), key=len)
    return int(longest[(len(longest) - 1) // 2])


def name_in_columns(grid: LabelGrid, names: Mapping[int, str]) -> set[int]:
    """Write names, by number of the part, where the part can be reached from a side; returns those written."""
    written: set[int] = set()
    pairs = [[_Side.of(grid, turned=turned, mirrored=m) for m in (False, True)] for turned in (False, True)]
    found = [[{k: row for k, row in side.exits().items() if k in names} for side in pair] for pair in pairs]
    most = int(len(found[1][0] | found[1][1]) > len(found[0][0] | found[0][1]))
    for pair, (one, other) in ((pairs[n], found[n]) for n in (most, 1 - most)):
        shared = sorted((k for k in one if k in other and k not in written), key=lambda k: one[k])
        there = set(shared[::2])  # in turn to either side
        for side, rows, left_out in zip(pair, (one, other), (set(shared) - there, there), strict=True):
            written |= side.write(grid, {k: row for k, row in rows.items() if k not in written | left_out}, names)
    return written


def spread(wanted: FloatArray, height: float, room: float) -> FloatArray:
    """Middles of names of a height in a room, in the same order, as near to rising wanted ones as they can be.

    Examples
    --------
    >>> spread(np.array([5.0, 5.0, 30.0]), 4.0, 40.0).tolist()
    [3.0, 7.0, 30.0]
    """
    offset = height * np.arange(len(wanted))
    blocks: list[tuple[float, int]] = []  # mean and number of names that touch
    for value in wanted - offset:
        mean, count = float(value), 1
        while blocks and blocks[-1][0] > mean:
            before, n = blocks.pop()
            mean, count = (before * n + mean * count) / (n + count), n + count
        blocks.append((mean, count))
    placed = np.repeat([b[0] for b in blocks], [b[1] for b in blocks]) if blocks else np.zeros(0)
    highest = max(height / 2, room - height / 2 - height * (len(wanted) - 1))
    return np.asarray(np.clip(placed, height / 2, highest) + offset)
