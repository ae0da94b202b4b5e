"""Figures over one varied value: a panel for each, a line for each alternative."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from crosscurrent.postprocess.answers.units import error_bar

from ..light_ticks import light_ticks
from ..panel_layout import EDGE
from ..style import QUIET, SMALL, own_style, shortened
from .curve_panel import curve_panel, rising
from .data import DesignGroup, StudyDesigns
from .looks import (
    LETTER,
    SHOWN,
    WIDTH,
    best_words,
    chosen,
    counted,
    crossings,
    page_of,
    row_above,
    tally,
    throughout,
)  # fmt: skip
from .scales import ShownScale, brief, words

PANELS = 4
TALL = (3.0, 2.0, 1.6, 1.35)  # of a panel, by how many there are [in]
LEFT, BESIDE, ABOVE, UNDER, BETWEEN = 0.85, 1.6, 0.32, 0.42, 0.18  # [in]
SLOT = 0.3  # room for a text in the row above the panels [in]
MARKED = 12  # borders in that row
Borders = dict[int, list[tuple[float, str]]]  # by limit: where it is passed [SI], in which group


def curve_figure(designs: StudyDesigns, title: str, subject: str) -> Figure:
    """Up to four figures over one varied value, one panel under the other.

    Parameters
    ----------
    designs : StudyDesigns
        With one varied value; of more than eight alternatives the first, and that of the best design.
    title, subject : str

    Examples
    --------
    >>> from crosscurrent.postprocess.pictures.study.data import StudyScale
    >>> gap = np.array([[1e-3], [2e-3], [4e-3]])
    >>> group = DesignGroup("", gap, 9e4 * gap, 90 * gap, np.zeros((3, 0)))
    >>> designs = StudyDesigns((group,), (StudyScale("gap", "m"),), (StudyScale("loss", "W/m"),))
    >>> figure = curve_figure(designs, "Feed", "gap")
    >>> figure.axes[0].get_xlabel(), figure.axes[0].get_ylabel()
    ('gap [mm]', 'loss [W/m]')
    """
    drawn = designs.only(chosen(designs, SHOWN))
    figures = designs.figures[:PANELS]
    along = ShownScale.of(designs.varied[0], drawn.column("values", 0))
    borders = _borders(drawn, len(figures), by_ratios=along.by_ratios)
    tall = TALL[max(len(figures), 1) - 1]
    wide = WIDTH - LEFT - (BESIDE if any(group.name for group in drawn.groups) else EDGE)
    with own_style():
        body = ABOVE + len(figures) * (tall + BETWEEN) - BETWEEN + UNDER
        page, foot = page_of(title, subject, body, _notes(designs, drawn, borders))
        places = [foot + UNDER + k * (tall + BETWEEN) for k in reversed(range(len(figures)))]
        panels = [page.axes(LEFT, place, wide, tall) for place in places]
        for number, axes in enumerate(panels):
            curve_panel(axes, drawn, number, along)
            for place, _ in (one for found in borders.values() for one in found):
                axes.axvline(float(along.in_unit(place)), color=QUIET, linewidth=0.6, linestyle=":", zorder=1)
            axes.tick_params(labelbottom=axes is panels[-1])
        if panels:
            _row(panels[0], along, borders, drawn)
            _faults(panels[-1], along, drawn)
            panels[-1].set_xlabel(along.title(int(wide / LETTER)), fontsize=SMALL + 0.5)
        for axes in panels:
            light_ticks(axes)
    return page.figure


def _borders(designs: StudyDesigns, shown: int, *, by_ratios: bool) -> Borders:
    """Of the limits that no panel shows as a line."""
    found: Borders = {}
    for j, limit in enumerate(designs.limits):
        if limit.figure is not None and limit.figure < shown and np.isfinite(limit.value):
            continue
        for group in designs.groups:
            order = rising(group)
            passed = crossings(group.values[order, 0], group.margins[order, j], by_ratios=by_ratios)
            found.setdefault(j, []).extend((at, group.name) for at in passed)
    return found


def _border_words(designs: StudyDesigns, number: int, found: Sequence[tuple[float, str]]) -> str:
    """Where a limit is passed, by alternatives; or who keeps it throughout."""
    limit, across = designs.limits[number], designs.varied[0]
    if not found:
        return f"{limit.name}: {throughout(designs, number)}"
    by_name: dict[str, list[str]] = {}
    for place, name in found:
        by_name.setdefault(name, []).append(brief(across, place) if name else words(across, place))
    places = [" and ".join(at) + (f" ({shortened(name, 24)})" if name else "") for name, at in by_name.items()]
    return f"{limit.name}: passed at {', '.join(places)}"


def _notes(designs: StudyDesigns, drawn: StudyDesigns, borders: Borders) -> list[str]:
    notes = best_words(designs)
    total, broken, faulty = tally(drawn)
    if broken:
        notes.append(f"pale and hollow: breaks a limit, {broken} of {counted(total, 'design')}")
    widest = max((_widest(group) for group in drawn.groups), default=0.0)
    if widest:
        notes.append(f"shaded: error bars, at most {error_bar(widest)}")
    if faulty:
        notes.append(f"crosses on the axis: {counted(faulty, 'design')} with a fault, without figures")
    if len(drawn.groups) < len(designs.groups):
        notes.append(f"and {counted(len(designs.groups) - len(drawn.groups), 'alternative')} more, not drawn")
    if len(designs.figures) > PANELS:
        notes.append(f"and {counted(len(designs.figures) - PANELS, 'figure')} more, not drawn")
    for number, (j, found) in enumerate(borders.items(), 1):
        notes.append(f"{number}  {_border_words(drawn, j, found)}")
    return notes


def _widest(group: DesignGroup) -> float:
    """The largest relative error bar; 0 without any."""
    known = (group.errors > 0) & (group.figures != 0)
    return float(np.max(group.errors[known] / np.abs(group.figures[known]), initial=0.0))


def _row(axes: Axes, along: ShownScale, borders: Borders, designs: StudyDesigns) -> None:
    """Over the panels: the numbers of the borders, and where the best design stands."""
    marks = [(at, str(number)) for number, found in enumerate(borders.values(), 1) for at, _ in found][:MARKED]
    if designs.best is not None:
        marks.append((float(designs.groups[designs.best.group].values[designs.best.row, 0]), "best"))
    row_above(axes, [float(along.in_unit(at)) for at, _ in marks], [text for _, text in marks], SLOT)


def _faults(axes: Axes, along: ShownScale, designs: StudyDesigns) -> None:
    x = np.concatenate([np.zeros(0), *(g.values[g.faulty, 0] for g in designs.groups)])
    axes.plot(along.in_unit(x), np.full(len(x), 0.03), linestyle="none", marker="x", markersize=3.5, color=QUIET,
              transform=axes.get_xaxis_transform(), gid="faulty")  # fmt: skip
