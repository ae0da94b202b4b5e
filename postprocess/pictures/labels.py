"""Names of the parts: in the metal where there is room, else beside it with a line that leads to it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from scipy import ndimage

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.part import Part
from crosscurrent.postprocess.answers.few_names import row_of, short_name

from .axial import CurrentMark, boxes_of, name_top
from .label_columns import name_in_columns
from .label_grid import LabelGrid, cells_between

LONGEST = 24  # letters of a name
LED = 5  # names that find a place beside their parts one by one; more stand in columns where they can
MOST = 16  # names placed one by one, at most
TRIED = 1000  # places for a name: so many of the nearest, and as many of all others


def name_parts(
    parts: Sequence[Part], axes: Axes, ring: FloatArray | None = None, marks: Sequence[CurrentMark] = (),
    *, axial: bool = False,
) -> None:  # fmt: skip
    """Write the names of a panel's parts that have one, none on another part, another name, the ring (2,) [m].

    Marks of the current stay free as well, and where there is room beside it, the axis of a section round one.
    """
    grid = LabelGrid.of(parts, axes, ring)
    if grid is None:
        return
    if axial:
        top = name_top(boxes_of(parts), axes)
        if top is not None:
            grid.keep_axis_name(top)
    for mark in marks:
        grid.keep_free(mark.place, mark.radius(axes))
    names = {k: short_name(part.name, LONGEST) for k, part in enumerate(parts) if part.name}
    beside = {k: name for k, name in names.items() if not _name_inside(grid, k, name, axial=axial)}
    written = name_in_columns(grid, beside) if len(beside) > LED else set()
    left = [k for k in _needed_first(beside) if k not in written][:MOST]
    lost = {k: beside[k] for k in left if not _name_beside(grid, k, beside[k])}
    if len(beside) <= LED and lost:
        name_in_columns(grid, lost)


def _needed_first(names: Mapping[int, str]) -> list[int]:
    """Numbers of parts: those by themselves, the ends of rows of copies, then what a reader counts between these."""
    rows: dict[str, list[int]] = {}
    for k, name in names.items():
        rows.setdefault(row_of(name), []).append(k)
    alone = [k for row in rows.values() if len(row) == 1 for k in row]
    ends = [k for row in rows.values() if len(row) > 1 for k in (row[0], row[-1])]
    return [*alone, *ends, *(k for row in rows.values() for k in row[1:-1])]


def _name_inside(grid: LabelGrid, number: int, text: str, *, axial: bool) -> bool:
    """Write a name where the metal is widest, upright if it must be; True if it is not to be written elsewhere."""
    own = grid.owner == number
    if not own.any():
        return True
    sides = [own & grid.right_of_axis, own] if axial else [own]
    ways = ((upright, grid.centres(side, text, upright=upright)) for side in sides for upright in (False, True))
    upright, fits = next((way for way in ways if way[1].any()), (False, None))
    if fits is None:
        return False
    depth = ndimage.distance_transform_edt(np.pad(own, 1))[1:-1, 1:-1]
    rows, columns = np.nonzero(fits & (depth >= depth[fits].max() - 1))
    middle = np.argwhere(own).mean(axis=0)
    away = np.hypot(rows - middle[0], columns - middle[1])
    best = int(away.argmin())
    centred = away[best] < 2 and fits[tuple(np.round(middle).astype(int))]
    row, column = middle if centred else (rows[best], columns[best])
    grid.write(float(row), float(column), text, upright=upright)
    return True


def _name_beside(grid: LabelGrid, number: int, text: str) -> bool:
    """Write a name in the air next to its part, with a line to the metal that crosses nothing else."""
    fits = grid.centres(grid.owner < 0, text)
    own = grid.owner == number
    away, (near_rows, near_columns) = ndimage.distance_transform_edt(~own, return_indices=True)
    rows, columns = np.nonzero(fits)
    middle = np.argwhere(own).mean(axis=0)
    order = np.argsort(away[rows, columns] + 0.1 * np.hypot(rows - middle[0], columns - middle[1]), kind="stable")
    order = np.concatenate((order[:TRIED], order[TRIED :: max(1, len(order) // TRIED)]))
    for row, column in zip(rows[order].tolist(), columns[order].tolist(), strict=True):
        foot = int(near_rows[row, column]), int(near_columns[row, column])
        on = cells_between((row, column), foot, grid.owner.shape)
        if np.isin(grid.owner[on], (-1, number)).all() and not grid.taken[on].any():
            grid.lead([foot, (row, column)])
            grid.write(row, column, text)
            return True
    return False
