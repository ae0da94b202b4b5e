"""One panel of figures over a varied value: lines with their bands, limits and the best design."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import numpy as np
from matplotlib.axes import Axes

from crosscurrent.geometries.arrays import IntArray

from ..label_columns import spread
from ..style import DPI, INK, SMALL, printable, shortened
from .data import DesignGroup, StudyDesigns, StudyLimit
from .looks import DASHES, LETTER, LINES, ROW, named, names_beside, plain_frame, say_nothing
from .scales import ShownScale

FEW = 40  # designs of an alternative below which each has a dot that is seen
NAME = 22  # letters of the name of an alternative
BESIDE, ENOUGH = 0.3, 0.12  # of a panel: how wide the name of a limit is, and what is room enough above and below it


def curve_panel(axes: Axes, designs: StudyDesigns, number: int, along: ShownScale) -> None:
    """Draw one of the figures.

    Parameters
    ----------
    axes : Axes
    designs : StudyDesigns
        With one varied value, and as many alternatives as have looks of their own.
    number : int
        Of the figure.
    along : ShownScale
        Of the varied value.
    """
    values = designs.column("figures", number)
    bars = np.concatenate([np.zeros(0), *(np.nan_to_num(g.errors[:, number]) for g in designs.groups)])
    up = ShownScale.of(designs.figures[number], values)
    limits = [limit for limit in designs.limits if limit.figure == number and np.isfinite(limit.value)]
    along.along(axes.xaxis, designs.column("values", 0))
    up.along(axes.yaxis, values, [*(limit.value for limit in limits), *(values - bars), *(values + bars)])
    axes.set_ylabel(up.title(int(axes.get_window_extent().height / DPI / LETTER)), fontsize=SMALL + 0.5)
    plain_frame(axes)
    if not np.isfinite(values).any():
        say_nothing(axes)
        return
    ends = {k: end for k, group in enumerate(designs.groups) if (end := _line(axes, number, k, group, along, up))}
    told = [k for k in ends if designs.groups[k].name]
    names = [named(designs.groups[k], NAME) for k in told]
    names_beside(axes, [ends[k] for k in told], names, [LINES[k] for k in told])
    _limit_lines(axes, up, limits)
    if designs.best is not None:
        _best(axes, along, up, designs.groups[designs.best.group], designs.best.row, number)


def rising(group: DesignGroup) -> IntArray:
    """Rows with figures, along the axis.

    Examples
    --------
    >>> loss = np.array([[90.0], [np.nan], [80.0]])
    >>> rising(DesignGroup("", np.array([[3.0], [2.0], [1.0]]), loss, 0 * loss, np.zeros((3, 0)))).tolist()
    [2, 0]
    """
    order = np.argsort(group.values[:, 0], kind="stable")
    return np.asarray(order[~group.faulty[order] & np.isfinite(group.values[order, 0])])


def _line(
    axes: Axes, number: int, look: int, group: DesignGroup, along: ShownScale, up: ShownScale
) -> tuple[float, float] | None:
    """One alternative, pale and then again where it keeps the limits; its end on the right."""
    order = rising(group)
    order = order[np.isfinite(group.figures[order, number])]
    if not len(order):
        return None
    x, y = along.in_unit(group.values[order, 0]), up.in_unit(group.figures[order, number])
    bar = up.in_unit(np.nan_to_num(group.errors[order, number]))
    kept = np.where(group.broken[order], np.nan, y)
    colour, dashes = LINES[look], DASHES[look % len(DASHES)]
    few = len(order) < FEW
    if len(order) > 1:
        axes.fill_between(x, y - bar, y + bar, color=colour, alpha=0.25, linewidth=0)
    else:
        axes.vlines(x, y - bar, y + bar, color=colour, alpha=0.25, linewidth=4)
    axes.plot(x, y, color=colour, alpha=0.4, linewidth=0.8, linestyle=dashes)
    axes.plot(x, kept, color=colour, linewidth=1.5, linestyle=dashes, marker="o", markersize=3.5 if few else 1.5,
              gid="kept")  # fmt: skip
    if few:
        axes.plot(x, np.where(group.broken[order], y, np.nan), color=colour, linestyle="none", marker="o",
                  markersize=3.5, markerfacecolor="white", markeredgewidth=0.6, alpha=0.7, gid="broken")  # fmt: skip
    return float(x[-1]), float(y[-1])


def _limit_lines(axes: Axes, up: ShownScale, limits: Sequence[StudyLimit]) -> None:
    """Limits on the figure of a panel, their names apart; an arrow where one lies beyond it."""
    low, high = axes.get_ylim()
    placed = sorted((float(up.in_unit(limit.value)), limit.name) for limit in limits)
    box = axes.get_window_extent()
    inches = [(axes.transData.transform((1, min(max(y, low), high)))[1] - box.y0) / DPI for y, _ in placed]
    heights = spread(np.array(inches) + ROW / 2 + 0.02, ROW, box.height / DPI)
    letters = int(0.9 * box.width / DPI / LETTER)
    for (y, name), height in zip(placed, heights.tolist(), strict=True):
        arrow = "" if low <= y <= high else "\u2191 " if y > high else "\u2193 "
        if not arrow:
            axes.axhline(y, color=INK, linewidth=0.8, linestyle=(0, (6, 2)), zorder=1.5)
        up_there = height * DPI / box.height
        place, side = _clearer_side(axes, up_there)
        axes.annotate(
            arrow + shortened(printable(name), letters), (0, 0), xycoords="axes fraction", textcoords="axes fraction",
            xytext=(place, up_there), ha=side, va="center", fontsize=SMALL, parse_math=False,
            bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none", "alpha": 0.8},
        )  # fmt: skip


def _clearer_side(axes: Axes, height: float) -> tuple[float, Literal["left", "right"]]:
    """On which side of a panel a name at a height is farther from the lines; the left one where both have room."""
    onto = axes.transData + axes.transAxes.inverted()
    room = {"left": ENOUGH, "right": ENOUGH}
    for line in axes.lines:
        along = onto.transform(np.column_stack([line.get_xdata(), line.get_ydata()]))
        along = along[np.isfinite(along).all(axis=1)]
        if line.get_transform() != axes.transData or not len(along):
            continue
        for side, ends in (("left", (0.0, BESIDE)), ("right", (1.0 - BESIDE, 1.0))):
            places = np.linspace(*ends, 20)
            there = np.interp(places, along[:, 0], along[:, 1], left=np.inf, right=np.inf)
            room[side] = min(room[side], float(np.abs(there - height).min()))
    return (0.01, "left") if room["left"] >= room["right"] else (0.99, "right")


def _best(axes: Axes, along: ShownScale, up: ShownScale, group: DesignGroup, row: int, number: int) -> None:
    """A ring round the best design and a line through it."""
    x = float(along.in_unit(group.values[row, 0]))
    axes.axvline(x, color=INK, linewidth=0.6, zorder=1)
    y = float(up.in_unit(group.figures[row, number]))
    axes.plot([x], [y], marker="o", markersize=8, markerfacecolor="none", color=INK, markeredgewidth=1.2, gid="best")
