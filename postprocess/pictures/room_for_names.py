"""Air beside a section for the names that find no room in or between its parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray
from crosscurrent.geometries.plane.part import Part
from crosscurrent.postprocess.answers.few_names import short_name

from .label_columns import ELBOW
from .label_grid import CELL, TALL, width_of
from .labels import LED, LONGEST
from .views import PAPER, View

AWAY = 0.1  # from a part to a name in the air beside it [in]


def with_room(view: View, parts: Sequence[Part]) -> View:
    """The window, wider or higher where some of the names would find no place.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import bar
    >>> strips = [Part(name, bar(0.1, 0.001).placed((0.0, y))) for name, y in (("go", 0.0), ("come", 0.002))]
    >>> tight = View(np.array([[-0.051, -0.001], [0.051, 0.003]]))
    >>> bool(with_room(tight, strips).extent[1] > 2 * tight.extent[1])
    True
    """
    boxes = np.array([part.bounds for part in parts])
    shown = ((boxes[:, 0] < view.window[1]) & (boxes[:, 1] > view.window[0])).all(axis=-1)
    boxes = boxes[shown]
    inch = float((view.extent / PAPER).max())  # metres of the section on an inch of paper
    names = [short_name(p.name, LONGEST) for p, on in zip(parts, shown, strict=True) if on]
    sizes = np.array([[width_of(name), TALL] for name in names])
    spans = boxes[:, 1] - boxes[:, 0]
    small = ~((spans >= inch * sizes).all(axis=1) | (spans >= inch * sizes[:, ::-1]).all(axis=1))
    stuck = [k for k in np.flatnonzero(small).tolist() if not _beside(boxes, k, inch * sizes[k], view, inch * AWAY)]
    if not stuck:
        return view
    many = small.sum() > LED
    across = int(_can_leave(boxes, stuck, 0).sum()) + many > int(_can_leave(boxes, stuck, 1).sum())  # many lie better
    longest = float(sizes[stuck, 0].max()) + (ELBOW + 1) * CELL
    room = longest if many or across else TALL + 2 * AWAY
    axis = 0 if across else 1
    needed = room * max(view.extent[axis] / (PAPER[axis] - 2 * room), view.extent[1 - axis] / PAPER[1 - axis])
    led = _can_leave(boxes, np.flatnonzero(small).tolist(), axis).sum()  # what can be named in columns at all
    column = (led / 2 + 2) * TALL * (view.extent[axis] + 2 * needed) / PAPER[axis]
    along = max(0.0, column - view.extent[1 - axis]) / 2 if many else 0.0
    added = np.array([needed, along] if across else [along, needed])
    return replace(view, window=view.window + added * np.array([[-1.0], [1.0]]))


def _beside(boxes: FloatArray, number: int, size: FloatArray, view: View, away: float) -> bool:
    """Whether a name of a size [m] finds a place above, below or beside a part's box, off all others."""
    own, middle = boxes[number], boxes[number].mean(axis=0)
    around = (boxes[:, 0] <= own[0]) & (boxes[:, 1] >= own[1])
    others = boxes[~around.all(axis=1)]
    for axis in (1, 0):
        for side in (0, 1):
            centre = middle.copy()
            centre[axis] = own[side, axis] + (2 * side - 1) * (away + size[axis] / 2)
            low, high = centre - size / 2, centre + size / 2
            inside = ((low > view.window[0]) & (high < view.window[1])).all()
            if inside and not ((others[:, 0] < high) & (others[:, 1] > low)).all(axis=1).any():
                return True
    return False


def _can_leave(boxes: FloatArray, numbers: Sequence[int], axis: int) -> BoolArray:
    """Whether a line from the middle of a part runs out along an axis, either way, without meeting another part."""
    middle = boxes.mean(axis=1)
    found = []
    for k in numbers:
        level = (boxes[:, 0, 1 - axis] < middle[k, 1 - axis]) & (boxes[:, 1, 1 - axis] > middle[k, 1 - axis])
        level[k] = False
        ahead, behind = (level & (sign * (middle[:, axis] - middle[k, axis]) > 0) for sign in (1, -1))
        found.append(not ahead.any() or not behind.any())
    return np.array(found)
