"""How a figure is spread over random designs."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from crosscurrent.geometries.arrays import FloatArray

from ..light_ticks import light_ticks
from ..panel_layout import EDGE
from ..style import INK, QUIET, SMALL, own_style
from .data import StudyLimit, StudyScale
from .looks import LETTER, LINES, WIDTH, counted, page_of, plain_frame, row_above, say_nothing
from .scales import ShownScale, words

TALL, LEFT, ABOVE, UNDER = 2.6, 0.75, 0.34, 0.45  # [in]
MOST = 40  # bars
SLOT = 0.62  # room for a text above [in]


def histogram_figure(
    figure: StudyScale, values: FloatArray, nominal: float, band: tuple[float, float] | None,
    limits: Sequence[StudyLimit], title: str, subject: str,
) -> Figure:  # fmt: skip
    """Distribution of a figure over random designs, with its nominal value, its 95 % band and limits.

    Parameters
    ----------
    figure : StudyScale
    values : (n,) float
        [SI]; NaN where a design has a fault.
    nominal : float
    band : (float, float) or None
        Ends between which 95 % of designs lie [SI].
    limits : sequence of StudyLimit
        Each with its value.
    title, subject : str

    Examples
    --------
    >>> loss = np.array([88.0, 90.0, 90.5, 91.0, 93.0])
    >>> drawn = histogram_figure(StudyScale("loss", "W/m"), loss, 90.5, (88.0, 93.0), [], "Feed", "85 kHz")
    >>> drawn.axes[0].get_xlabel(), int(sum(bar.get_height() for bar in drawn.axes[0].containers[0]))
    ('loss [W/m]', 5)
    """
    finite = values[np.isfinite(values)]
    every = np.array([*finite, nominal, *(band or ())])
    along = ShownScale.of(figure, every)
    low, high = along.span(every, [limit.value for limit in limits])
    notes = _notes(figure, values, nominal, band)
    for k, limit in enumerate(limits, 1):
        beyond = "" if low <= float(along.in_unit(limit.value)) <= high else " (beyond the picture)"
        notes.append(f"limit {k}: {limit.name}{beyond}")
    with own_style():
        page, foot = page_of(title, subject, ABOVE + TALL + UNDER, notes)
        axes = page.axes(LEFT, foot + UNDER, WIDTH - LEFT - EDGE, TALL)
        along.along(axes.xaxis, every, [limit.value for limit in limits])
        axes.set_xlabel(along.title(int((WIDTH - LEFT - EDGE) / LETTER)), fontsize=SMALL + 0.5)
        axes.set_ylabel("designs", fontsize=SMALL + 0.5)
        axes.yaxis.set_major_locator(MaxNLocator(6, integer=True))
        plain_frame(axes)
        if len(finite):
            _bars(axes, along, finite)
        else:
            say_nothing(axes)
        _marks(axes, along, nominal, band, limits)
        light_ticks(axes)
    return page.figure


def _bars(axes: Axes, along: ShownScale, finite: FloatArray) -> None:
    """As many as the root of the number of designs, evenly along the axis."""
    shown = along.in_unit(finite)
    count = int(min(MOST, max(5, np.ceil(np.sqrt(len(finite))))))
    low, high = float(shown.min()), float(shown.max())
    if low == high:
        edges = np.linspace(*axes.get_xlim(), 10)
    else:
        edges = np.geomspace(low, high, count + 1) if along.by_ratios else np.linspace(low, high, count + 1)
    edges[0], edges[-1] = min(edges[0], low), max(edges[-1], high)
    axes.hist(shown, bins=edges.tolist(), color=LINES[1], alpha=0.75, edgecolor="white", linewidth=0.4)


def _marks(
    axes: Axes, along: ShownScale, nominal: float, band: tuple[float, float] | None, limits: Sequence[StudyLimit]
) -> None:
    low, high = axes.get_xlim()
    marks: list[tuple[float, str]] = []
    if band is not None and np.isfinite(band).all():
        ends = along.in_unit(np.array(band)).tolist()
        axes.axvspan(*ends, color=QUIET, alpha=0.12, linewidth=0, zorder=0)
        marks += [(ends[0], "95 % from"), (ends[1], "to")]
    if np.isfinite(nominal):
        place = float(along.in_unit(nominal))
        axes.axvline(place, color=INK, linewidth=1.0)
        marks.insert(1, (place, "nominal"))
    for number, limit in enumerate(limits, 1):
        place = float(along.in_unit(limit.value))
        if low <= place <= high:
            axes.axvline(place, color=LINES[0], linewidth=1.2, linestyle=(0, (6, 2)))
            marks.append((place, f"limit {number}"))
    row_above(axes, [at for at, _ in marks], [text for _, text in marks], SLOT)


def _notes(
    figure: StudyScale, values: FloatArray, nominal: float, band: tuple[float, float] | None
) -> list[str]:
    faulty = int(np.isnan(values).sum())
    notes = [f"{counted(len(values), 'random design')}; nominal {words(figure, nominal)}"]
    if band is not None:
        notes[0] += f"; 95 % from {words(figure, band[0])} to {words(figure, band[1])} (shaded)"
    if faulty:
        notes.append(f"{counted(faulty, 'design')} with a fault, without this figure")
    return notes
