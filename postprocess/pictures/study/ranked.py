"""Alternatives alone, one design each: a row for every one, a dot with its bar in a panel for every figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from crosscurrent.geometries.arrays import BoolArray, FloatArray

from ..light_ticks import light_ticks
from ..panel_layout import EDGE
from ..panels import caption
from ..style import INK, QUIET, SMALL, own_style, printable, shortened
from .data import StudyDesigns, StudyLimit, StudyScale
from .looks import LETTER, LINES, WIDTH, best_words, counted, page_of, plain_frame, say_nothing, tally, throughout
from .scales import ShownScale, brief

PANELS, LISTED, TICKS = 3, 24, 3
TALL, ABOVE, UNDER = 0.24, 0.3, 0.45  # a row, and what stands above and under the panels [in]
NAMES, VALUE, BETWEEN = 1.55, 0.72, 0.15  # room for names, for the figure in words, between panels [in]


@dataclass(frozen=True, eq=False)
class _Rows:
    """The designs that are shown, the least of the first figure first; those that break a limit after all others.

    Attributes
    ----------
    names : tuple of str
    figures, errors : (rows, k) float [SI]
    broken, best : (rows,) bool
    """

    names: tuple[str, ...]
    figures: FloatArray
    errors: FloatArray
    broken: BoolArray
    best: BoolArray

    @classmethod
    def of(cls, designs: StudyDesigns) -> _Rows:
        every = [(k, row) for k, group in enumerate(designs.groups) for row in np.flatnonzero(~group.faulty).tolist()]

        def rank(at: tuple[int, int]) -> tuple[bool, float]:
            figure = float(designs.groups[at[0]].figures[at[1], 0])
            return bool(designs.groups[at[0]].broken[at[1]]), figure if np.isfinite(figure) else np.inf

        shown = sorted(every, key=rank)[:LISTED]
        groups, best = designs.groups, designs.best
        width = len(designs.figures)
        return cls(
            tuple(groups[k].name for k, _ in shown),
            np.array([groups[k].figures[row] for k, row in shown]).reshape(-1, width),
            np.nan_to_num(np.array([groups[k].errors[row] for k, row in shown]).reshape(-1, width)),
            np.array([groups[k].broken[row] for k, row in shown], dtype=bool),
            np.array([best is not None and (best.group, best.row) == at for at in shown], dtype=bool),
        )


def ranked_figure(designs: StudyDesigns, title: str, subject: str) -> Figure:
    """Up to three figures of alternatives, in the order of the first.

    Parameters
    ----------
    designs : StudyDesigns
        Without varied values; of more than 24 designs the first ones in that order.
    title, subject : str

    Examples
    --------
    >>> def metal(name: str, loss: float):
    ...     from crosscurrent.postprocess.pictures.study.data import DesignGroup
    ...     return DesignGroup(name, np.zeros((1, 0)), np.array([[loss]]), np.zeros((1, 1)), np.zeros((1, 0)))
    >>> two = StudyDesigns((metal("aluminium", 130.0), metal("copper", 100.0)), (), (StudyScale("loss", "W/m"),))
    >>> drawn = ranked_figure(two, "Feed", "85 kHz")
    >>> [label.get_text() for label in drawn.axes[0].get_yticklabels()]
    ['copper', 'aluminium']
    """
    rows, scales = _Rows.of(designs), designs.figures[:PANELS]
    tall = TALL * max(len(rows.names), 3)
    wide = (WIDTH - EDGE - NAMES - EDGE + BETWEEN) / max(len(scales), 1) - BETWEEN - VALUE
    with own_style():
        page, foot = page_of(title, subject, ABOVE + tall + UNDER, _notes(designs, rows))
        for number, scale in enumerate(scales):
            left = EDGE + NAMES + number * (wide + VALUE + BETWEEN)
            axes = page.axes(left, foot + UNDER, wide, tall)
            limits = [one for one in designs.limits if one.figure == number and np.isfinite(one.value)]
            _panel(axes, rows, number, scale, limits, letters=int((wide + VALUE) / LETTER))
            axes.set_yticks(range(len(rows.names)), [shortened(printable(n), int(NAMES / LETTER)) for n in rows.names])
            axes.tick_params(axis="y", labelleft=number == 0, length=0)
            for label in axes.get_yticklabels():
                label.set_parse_math(False)
    return page.figure


def _panel(
    axes: Axes, rows: _Rows, number: int, scale: StudyScale, limits: Sequence[StudyLimit], *, letters: int
) -> None:
    values, bars = rows.figures[:, number], rows.errors[:, number]
    along = ShownScale.of(scale, values)
    along.along(axes.xaxis, values, [*(one.value for one in limits), *(values - bars), *(values + bars)])
    if not along.by_ratios:
        axes.xaxis.set_major_locator(MaxNLocator(TICKS, steps=[1, 2, 5, 10]))
    axes.set_ylim(max(len(rows.names), 3) - 0.5, -0.5)
    plain_frame(axes)
    caption(axes, along.title(letters).replace("\n", " "))
    if not np.isfinite(values).any():
        say_nothing(axes)
        return
    low, high = axes.get_xlim()
    for one in limits:
        if low <= (place := float(along.in_unit(one.value))) <= high:
            axes.axvline(place, color=INK, linewidth=0.8, linestyle=(0, (6, 2)), zorder=1.5, gid="limit")
    x, bar, y = along.in_unit(values), along.in_unit(bars), np.arange(len(values))
    axes.hlines(y, x - bar, x + bar, color=LINES[0], alpha=0.35, linewidth=3.5)
    for which, face, gid in ((~rows.broken, LINES[0], "kept"), (rows.broken, "white", "broken")):
        axes.plot(x[which], y[which], linestyle="none", marker="o", markersize=4.5, color=LINES[0],
                  markerfacecolor=face, markeredgewidth=0.8, gid=gid)  # fmt: skip
    axes.plot(x[rows.best], y[rows.best], linestyle="none", marker="o", markersize=9, color=INK,
              markerfacecolor="none", markeredgewidth=1.2, gid="best", clip_on=False)  # fmt: skip
    for k, value in enumerate(values.tolist()):
        axes.annotate(brief(scale, value, 4) if np.isfinite(value) else "-", (1, k), xycoords=("axes fraction", "data"),
                      xytext=(4, 0), textcoords="offset points", va="center", fontsize=SMALL,
                      color=QUIET if rows.broken[k] else INK, annotation_clip=False)  # fmt: skip
    light_ticks(axes)


def _notes(designs: StudyDesigns, rows: _Rows) -> list[str]:
    total, broken, faulty = tally(designs)
    told = f"dots: {counted(len(rows.names), 'design')} of {total}, with their bars; in the order of the first figure"
    if broken:
        told += "; hollow, after the others: breaks a limit"
    notes = [*best_words(designs), told]
    if faulty:
        notes.append(f"not drawn: {counted(faulty, 'design')} with a fault, without figures")
    for j, limit in enumerate(designs.limits):
        shown = limit.figure is not None and limit.figure < PANELS
        margins = np.concatenate([np.zeros(0), *(g.margins[~g.faulty, j] for g in designs.groups)])
        mixed = (margins > 0).any() and (margins <= 0).any()
        what = f"broken by {int((margins > 0).sum())}" if mixed else throughout(designs, j)
        notes.append(f"{limit.name}{' (dashed line, where it is near)' if shown else ''}: {what}")
    return notes
