"""What makes the band of a figure: a bar for each cause, the largest first."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from ..panel_layout import EDGE
from ..style import INK, QUIET, SMALL, own_style, printable, shortened
from .data import CauseBand, CauseShare
from .looks import LETTER, LINES, WIDTH, counted, page_of, say_nothing
from .scales import ShownScale, words

FIGURES = 2
LISTED = 10  # causes of a figure
BAR, UNDER, ABOVE = 0.33, 0.5, 0.1  # room for one, for the scale below them and above them [in]
NAMES = 2.2  # room for the names where one figure stands alone [in]


def causes_figure(bands: Sequence[CauseBand], title: str, subject: str) -> Figure:
    """What each cause does to a figure, from its nominal value to either end; up to two figures side by side.

    Parameters
    ----------
    bands : sequence of CauseBand
    title, subject : str

    Examples
    --------
    >>> from crosscurrent.postprocess.pictures.study.data import StudyScale
    >>> gap = CauseShare("gap", "1.5 mm +- 0.1 mm", 88.0, 94.0)
    >>> figure = causes_figure([CauseBand(StudyScale("loss", "W/m"), 90.5, 87.0, 95.0, (gap,))], "Feed", "85 kHz")
    >>> figure.axes[0].get_xlabel(), figure.axes[0].texts[0].get_text()
    ('loss [W/m]', 'gap')
    """
    shown = bands[:FIGURES]
    rows = max((min(len(band.causes), LISTED) for band in shown), default=0)
    notes = [f"{b.figure.label}: {words(b.figure, b.nominal)}, band {words(b.figure, b.low)} to "
             f"{words(b.figure, b.high)} (shaded)" for b in shown]  # fmt: skip
    ends = "dark: the cause at its upper end, pale: at its lower end; every other cause at its nominal value"
    notes.append(ends if shown else "no figure has a band")
    for band in shown:
        if len(band.causes) > LISTED:
            notes.append(f"{band.figure.label}: and {counted(len(band.causes) - LISTED, 'cause')} more, smaller")
    if len(bands) > FIGURES:
        notes.append(f"and {counted(len(bands) - FIGURES, 'figure')} more, not drawn")
    tall = BAR * max(rows, 2)
    with own_style():
        page, foot = page_of(title, subject, ABOVE + tall + UNDER, notes)
        slot = (WIDTH - 2 * EDGE) / max(len(shown), 1)
        names = NAMES if len(shown) == 1 else 0.54 * slot
        for k, band in enumerate(shown):
            axes = page.axes(EDGE + k * slot + names, foot + UNDER, slot - names - 0.12, tall)
            _panel(axes, band, max(rows, 2), names)
    return page.figure


def _panel(axes: Axes, band: CauseBand, rows: int, names: float) -> None:
    causes = sorted(band.causes, key=lambda cause: -_width(cause))[:LISTED]
    ends = np.array([band.nominal, band.low, band.high, *(end for c in causes for end in (c.low, c.high))])
    scale = ShownScale.of(band.figure, ends)
    scale.along(axes.xaxis, ends)
    axes.set(ylim=(rows - 0.5, -0.5), yticks=[])
    for side in ("top", "right", "left"):
        axes.spines[side].set_visible(False)
    axes.locator_params(axis="x", nbins=4)
    axes.set_xlabel(scale.title(int(float(axes.get_position().width) * WIDTH / LETTER)), fontsize=SMALL + 0.5)
    if not causes:
        say_nothing(axes, "no cause has an effect on it")
    low, nominal, high = scale.in_unit(np.array([band.low, band.nominal, band.high])).tolist()
    axes.axvspan(low, high, color=QUIET, alpha=0.1, linewidth=0)
    for row, cause in enumerate(causes):
        for end, pale in ((cause.low, 0.45), (cause.high, 1.0)):
            if np.isfinite(end):
                axes.barh(row, float(scale.in_unit(end)) - nominal, 0.62, left=nominal, color=LINES[1], alpha=pale)
        _name(axes, row, cause, int(names / (0.93 * LETTER)) - 1)
    axes.axvline(nominal, color=INK, linewidth=0.8)


def _width(cause: CauseShare) -> float:
    found = abs(cause.high - cause.low)
    return found if np.isfinite(found) else 0.0


def _name(axes: Axes, row: int, cause: CauseShare, letters: int) -> None:
    """A cause and, below it, its share and value, left of its bar."""
    share = f"{100 * cause.share:.0f} % · " if np.isfinite(cause.share) else ""
    for text, up, colour in ((cause.name, 0.5, INK), (share + cause.value, -0.5, QUIET)):
        axes.annotate(
            shortened(printable(text), letters), (0, row), xycoords=("axes fraction", "data"), xytext=(-6, up),
            textcoords="offset points", ha="right", va="bottom" if up > 0 else "top", fontsize=SMALL - 0.5,
            color=colour, annotation_clip=False, parse_math=False,
        )  # fmt: skip
