"""Three or more varied values: one figure over each of them in a panel of its own, all designs as dots.

A panel shows where good designs lie along one value whatever the others are: its lower edge is what can be had there.
A line through the best design tells what this value does by itself.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from ..light_ticks import light_ticks
from ..panel_layout import EDGE
from ..style import INK, SMALL, own_style
from .data import DesignGroup, StudyDesigns
from .looks import (
    LETTER,
    LINES,
    SHAPES,
    SHOWN,
    WIDTH,
    best_words,
    chosen,
    counted,
    named,
    page_of,
    plain_frame,
    say_nothing,
    tally,
    throughout,
)  # fmt: skip
from .scales import ShownScale

BESIDE, MOST = 3, 9  # panels in a row, and in all
TALL, LEFT, BETWEEN, ABOVE, UNDER = 1.45, 0.85, 0.2, 0.3, 0.55  # of a panel, and around panels [in]
TICKS, NAME = 4, 22
REACH = 0.12  # of an axis, to either side: how far the line through the best design is drawn


def spread_figure(
    designs: StudyDesigns, number: int, slopes: Sequence[float], title: str, subject: str
) -> Figure:
    """One figure over up to nine varied values.

    Parameters
    ----------
    designs : StudyDesigns
        Of more than eight alternatives the first, and that of the best design.
    number : int
        Of the figure.
    slopes : sequence of float
        Of the figure over each varied value at the best design [SI]; NaN where not known.
    title, subject : str

    Examples
    --------
    >>> from crosscurrent.postprocess.pictures.study.data import StudyScale
    >>> at = np.array([[1e-3, 0.02, 5.0], [2e-3, 0.03, 6.0]])
    >>> group = DesignGroup("", at, 9e4 * at[:, :1], 90 * at[:, :1], np.zeros((2, 0)))
    >>> varied = StudyScale("gap", "m"), StudyScale("width", "m"), StudyScale("current", "A")
    >>> figure = spread_figure(StudyDesigns((group,), varied, (StudyScale("loss", "W/m"),)), 0, [], "Feed", "")
    >>> [axes.get_xlabel() for axes in figure.axes]
    ['gap [mm]', 'width [mm]', 'current [A]']
    """
    drawn, count = designs.only(chosen(designs, SHOWN)), min(len(designs.varied), MOST)
    values = drawn.column("figures", number)
    up = ShownScale.of(designs.figures[number], values)
    rows = -(-count // BESIDE)
    wide = (WIDTH - LEFT - EDGE + BETWEEN) / BESIDE - BETWEEN
    with own_style():
        page, foot = page_of(title, subject, rows * (ABOVE + TALL + UNDER), _notes(designs, drawn, number, slopes))
        for k in range(count):
            row, place = divmod(k, BESIDE)
            bottom = foot + UNDER + (rows - 1 - row) * (ABOVE + TALL + UNDER)
            axes = page.axes(LEFT + place * (wide + BETWEEN), bottom, wide, TALL)
            _panel(axes, drawn, k, number, up)
            axes.set_xlabel(ShownScale.of(drawn.varied[k], drawn.column("values", k)).title(int(wide / LETTER)),
                            fontsize=SMALL + 0.5)  # fmt: skip
            axes.tick_params(axis="y", labelleft=place == 0)
            if place == 0:
                axes.set_ylabel(up.title(int(TALL / LETTER)), fontsize=SMALL + 0.5)
            if k < len(slopes):
                _alone(axes, drawn, k, number, slopes[k])
            light_ticks(axes)
    return page.figure


def _panel(axes: Axes, designs: StudyDesigns, across: int, number: int, up: ShownScale) -> None:
    values, figures = designs.column("values", across), designs.column("figures", number)
    along = ShownScale.of(designs.varied[across], values)
    along.along(axes.xaxis, values)
    up.along(axes.yaxis, figures)
    for axis, shown in ((axes.xaxis, along), (axes.yaxis, up)):
        if not shown.by_ratios:
            axis.set_major_locator(MaxNLocator(TICKS, steps=[1, 2, 5, 10]))
    plain_frame(axes)
    if not np.isfinite(figures).any():
        say_nothing(axes)
        return
    for look, group in enumerate(designs.groups):
        _dots(axes, group, look, along.in_unit(group.values[:, across]), up.in_unit(group.figures[:, number]))
    if designs.best is not None:
        best = designs.groups[designs.best.group]
        at = along.in_unit(best.values[designs.best.row, across]), up.in_unit(best.figures[designs.best.row, number])
        axes.plot(*at, marker="o", markersize=9, color=INK, markerfacecolor="none", markeredgewidth=1.2, gid="best",
                  clip_on=False, zorder=5)  # fmt: skip


def _dots(axes: Axes, group: DesignGroup, look: int, x: np.ndarray, y: np.ndarray) -> None:
    """Those that break a limit pale and hollow, under the others."""
    for which, face, alpha, gid in ((group.broken, "white", 0.45, "broken"), (~group.broken, LINES[look], 0.9, "kept")):
        axes.plot(x[which], y[which], linestyle="none", marker=SHAPES[look], markersize=3.2, color=LINES[look],
                  markerfacecolor=face, markeredgewidth=0.6, alpha=alpha, gid=gid)  # fmt: skip


def _alone(axes: Axes, designs: StudyDesigns, across: int, number: int, slope: float) -> None:
    """A short line through the best design: what this value does by itself."""
    if designs.best is None or not np.isfinite(slope):
        return
    group, row = designs.groups[designs.best.group], designs.best.row
    along = ShownScale.of(designs.varied[across], designs.column("values", across))
    up = ShownScale.of(designs.figures[number], designs.column("figures", number))
    values = group.values[row, across], group.figures[row, number]
    low, high = along.span(designs.column("values", across))
    limits = axes.get_xlim(), axes.get_ylim()
    if along.by_ratios:
        x = float(along.in_unit(values[0])) * (high / low) ** (REACH * np.linspace(-1, 1, 21))
    else:
        x = float(along.in_unit(values[0])) + REACH * (high - low) * np.linspace(-1, 1, 21)
    y = up.in_unit(values[1] + slope * (x / along.factor - values[0]))
    axes.plot(x, y, color=INK, linewidth=1.2, zorder=4, gid="alone")
    axes.set(xlim=limits[0], ylim=limits[1])


def _notes(designs: StudyDesigns, drawn: StudyDesigns, number: int, slopes: Sequence[float]) -> list[str]:
    total, broken, faulty = tally(drawn)
    told = f"dots: {counted(total - faulty, 'design')}, each in every panel"
    notes = [*best_words(designs), told + ("; pale and hollow: breaks a limit" if broken else "")]
    if designs.best is not None and np.isfinite(slopes).any():
        figure, place = designs.figures[number], designs.best
        size = float(designs.groups[place.group].figures[place.row, number])
        at = designs.groups[place.group].values[place.row]
        each = [f"{scale.label} {v * s / size:+.2g} %".replace("-", "\u2212")
                for scale, v, s in zip(designs.varied, at.tolist(), slopes, strict=False)
                if np.isfinite(s) and size]  # fmt: skip
        told = f"lines: what each does by itself at the best; 1 % more changes {figure.label} by"
        notes.append(f"{told}: {', '.join(each)}")
    if any(group.name for group in drawn.groups):
        looks = [f"{named(group, NAME)} ({_word(k)})" for k, group in enumerate(drawn.groups)]
        notes.append(f"alternatives: {', '.join(looks)}")
    for one in range(len(drawn.varied[:MOST]), len(designs.varied)):
        notes.append(f"{designs.varied[one].label}: not drawn")
    if faulty:
        notes.append(f"not drawn: {counted(faulty, 'design')} with a fault, without figures")
    for j, limit in enumerate(designs.limits):
        margins = np.concatenate([np.zeros(0), *(g.margins[~g.faulty, j] for g in drawn.groups)])
        mixed = (margins > 0).any() and (margins <= 0).any()
        what = f"broken by {int((margins > 0).sum())}" if mixed else throughout(drawn, j)
        notes.append(f"{limit.name}: {what}")
    return notes


def _word(look: int) -> str:
    """A marker in words."""
    return ("dots", "squares", "triangles", "diamonds", "triangles upside down", "plus signs", "crosses",
            "pentagons")[look]  # fmt: skip
