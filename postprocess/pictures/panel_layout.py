"""Where the panels of a picture lie on the page."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from .views import View

WIDTH = 7.4  # of a figure [in]
EDGE = 0.3  # margin of a figure [in]
CAPTION, BAR, BETWEEN = 0.2, 0.24, 0.25  # room above, under and beside a panel [in]
TALLEST_ROW = 6.0  # [in]
CELL = 1.7  # width of a panel with the words above and under it, at least [in]


@dataclass(frozen=True)
class Panel:
    """Where a view lies on the page, from the lower left of its block [in]."""

    view: View
    x: float
    y: float
    width: float
    height: float


def arranged(views: Sequence[View], width: float, height: float) -> tuple[list[Panel], float]:
    """Panels in true aspect, in rows of equal height, that fill a block of a width and at most a height [in] best.

    Returns
    -------
    panels, height
        From the lower left of the block; the height that is used [in].

    Examples
    --------
    >>> panels, height = arranged([View(np.array([[0.0, 0.0], [2.0, 1.0]]))], 6.0, 4.0)
    >>> round(panels[0].width / panels[0].height, 9), height <= 4.0
    (2.0, True)
    """
    best: tuple[float, list[Panel], float] | None = None
    for rows in _row_choices(len(views)):
        room = height - sum(_around_row([views[k] for k in row]) for row in rows)
        tall = [_row_height([views[k].aspect for k in row], width) for row in rows]
        shrink = min(1.0, room / sum(tall))
        if room <= 0:
            continue
        sizes = [shrink * h for row, h in zip(rows, tall, strict=True) for _ in row]
        worth = sum(_worth(v.aspect * h, h) for v, h in zip(views, sizes, strict=True))
        if best is None or worth > best[0] + 0.02:
            best = (worth, *_placed(views, rows, [shrink * h for h in tall]))
    assert best is not None
    return best[1], best[2]


def even_maps(
    aspect: float, count: int, room: tuple[float, float], beside: float, under: float
) -> tuple[float, int]:
    """Largest width [in] that some maps of one aspect can have in a room, and the columns they stand in.

    Parameters
    ----------
    aspect : float
    count : int
    room : (float, float)
        Width and height for all of them [in].
    beside, under : float
        Between columns; for the words of every row [in].

    Examples
    --------
    >>> even_maps(10.0, 5, (6.0, 4.0), 0.2, 0.2)
    (6.0, 1)
    >>> even_maps(0.2, 5, (6.0, 4.0), 0.2, 0.2)[1]
    5
    """
    found = []
    for columns in range(1, count + 1):
        tall = room[1] / -(-count // columns) - under
        found.append((min((room[0] + beside) / columns - beside, aspect * tall), columns))
    return max(found)


def _row_choices(count: int) -> list[list[range]]:
    """Ways to break a sequence into rows; all of them for a few, even rows for many."""
    if count > 6:
        lengths = range(1, count + 1)
        return [[range(k, min(k + n, count)) for k in range(0, count, n)] for n in lengths if -(-count // n) <= 6]
    found = []
    for mask in range(2 ** (count - 1)):
        cuts = [0, *(k + 1 for k in range(count - 1) if mask >> k & 1), count]
        found.append([range(a, b) for a, b in pairwise(cuts)])
    return found


def _worth(width: float, height: float) -> float:
    """How well a panel of a size [in] reads; the sum for several is largest where none is starved."""
    return math.log(width * height)


def _row_height(aspects: Sequence[float], width: float) -> float:
    """Largest height at which panels of some aspects, with their words, stand side by side in a width [in]."""
    if len(aspects) * (CELL + BETWEEN) > width + BETWEEN:
        return min(0.01, width / sum(aspects) / len(aspects))
    for height in np.geomspace(TALLEST_ROW, 0.01, 1000):
        if sum(max(a * height, CELL) + BETWEEN for a in aspects) <= width + BETWEEN:
            break
    return float(height)


def _around_row(row: Sequence[View]) -> float:
    """Room above and under the panels of a row [in]."""
    return (CAPTION if any(v.caption for v in row) else 0.03) + BAR


def _placed(views: Sequence[View], rows: Sequence[range], tall: Sequence[float]) -> tuple[list[Panel], float]:
    panels: list[Panel] = []
    y = 0.0
    for row, h in zip(rows, tall, strict=True):
        members = [views[k] for k in row]
        y -= _around_row(members) + h
        x = 0.0
        for view in members:
            panels.append(Panel(view, x, y + BAR, h * view.aspect, h))
            x += max(h * view.aspect, CELL) + BETWEEN
    return [Panel(p.view, p.x, p.y - y, p.width, p.height) for p in panels], -y
