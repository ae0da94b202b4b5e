"""One figure over two varied values: a coloured field for each alternative, the borders of the limits on it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colorbar import Colorbar
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter

from ..light_ticks import light_ticks
from ..panel_layout import EDGE
from ..panels import caption
from ..style import DPI, FIELD, SMALL, digits_apart, own_style, plain
from .data import SearchPath, StudyDesigns
from .looks import LETTER, WIDTH, best_words, counted, named, page_of, say_nothing, tally, throughout
from .map_panel import MapScales, is_smooth, map_panel, slopes_of

PANELS = 6
FEW = 64  # designs of a panel below which borders bend so that it is seen
COLUMNS = (1, 2, 3, 2, 3, 3)  # by how many panels there are
TALL = (3.4, 2.4, 2.0)  # of a panel, by columns [in]
LEFT, BETWEEN, CAPTION, UNDER, BAR = 0.7, 0.16, 0.26, 0.45, 0.62  # [in]
BAR_WIDE = 3.3  # [in]


def map_figure(
    designs: StudyDesigns, number: int, searches: Sequence[SearchPath], title: str, subject: str
) -> Figure:
    """One figure over two varied values, a panel for each alternative at one colour scale.

    Parameters
    ----------
    designs : StudyDesigns
        With two varied values; of more than six alternatives, those with the least figure are drawn.
    number : int
        Which of the figures.
    searches : sequence of SearchPath
        Ways of the search that are drawn too.
    title, subject : str

    Examples
    --------
    >>> from crosscurrent.postprocess.pictures.study.data import DesignGroup, StudyScale
    >>> gap, thick = (grid.ravel() for grid in np.meshgrid([1e-3, 2e-3, 4e-3], [3e-3, 6e-3]))
    >>> loss = (9e4 * gap + 0.3 / thick)[:, None]
    >>> group = DesignGroup("", np.stack([gap, thick], 1), loss, 0 * loss, np.zeros((6, 0)))
    >>> scales = StudyScale("gap", "m"), StudyScale("thickness", "m")
    >>> figure = map_figure(StudyDesigns((group,), scales, (StudyScale("loss", "W/m"),)), 0, [], "Feed", "85 kHz")
    >>> figure.axes[0].get_xlabel(), figure.axes[-1].get_title(loc="left")
    ('gap [mm]', 'loss [W/m]')
    """
    numbers = _least(designs, number)
    drawn = designs.only(numbers)
    scales, count = MapScales.of(drawn, number), max(len(numbers), 1)
    columns = COLUMNS[count - 1]
    rows, tall = -(-count // columns), TALL[columns - 1]
    wide = (WIDTH - LEFT - EDGE + BETWEEN) / columns - BETWEEN
    with own_style():
        notes = _notes(designs, drawn, number, scales, searches)
        page, foot = page_of(title, subject, rows * (tall + CAPTION) + UNDER + BAR, notes)
        for k in range(count):
            row, column = divmod(k, columns)
            low = foot + BAR + UNDER + (rows - 1 - row) * (tall + CAPTION)
            axes = page.axes(LEFT + column * (wide + BETWEEN), low, wide, tall)
            _frame(axes, drawn, scales, foot=k + columns >= count, left=column == 0)
            if not numbers:
                say_nothing(axes)
                continue
            caption(axes, named(drawn.groups[k], 60))
            map_panel(axes, drawn, k, number, scales, [s for s in searches if s.group == numbers[k]])
            light_ticks(axes)
        _colour_bar(page.axes(LEFT, foot + 0.28, BAR_WIDE, 0.12), scales)
    return page.figure


def _least(designs: StudyDesigns, number: int) -> list[int]:
    """Numbers of the groups with the least figure, kept limits first, in the order given."""

    def rank(k: int) -> tuple[float, ...]:
        group = designs.groups[k]
        kept = group.figures[~group.broken, number]
        return tuple(float(np.nanmin(np.append(v, np.inf))) for v in (kept, group.figures[:, number]))

    return sorted(sorted(range(len(designs.groups)), key=rank)[:PANELS])


def _notes(
    designs: StudyDesigns, drawn: StudyDesigns, number: int, scales: MapScales, searches: Sequence[SearchPath]
) -> list[str]:
    total, broken, faulty = tally(drawn)
    told = f"dots: {counted(total, 'design')}"
    if broken:
        told += "; hatched, hollow: breaks a limit"
    if faulty:
        told += f"; crosses: {counted(faulty, 'design')} with a fault, without figures"
    shown = [(g.figures[:, number], slopes_of(g.figure_slopes, number)) for g in drawn.groups]
    for j in range(len(designs.limits)):
        shown += [(g.margins[:, j], slopes_of(g.margin_slopes, j)) for g in drawn.groups]
    bent = "contour lines and borders: straight from design to design"
    if shown and all(is_smooth(values, slopes, scales) for values, slopes in shown):
        bent = "contour lines and borders: as the slopes of the designs run"
    elif max((len(g.values) for g in drawn.groups), default=0) < FEW and len(designs.limits):
        bent += "; of so few they bend where the true ones run smoothly, by up to the way to the next design"
    notes = [*best_words(designs), told, bent]
    if searches:
        notes.append("coloured lines: ways of the search, each from its square")
    if len(drawn.groups) < len(designs.groups):
        notes.append(f"the best {len(drawn.groups)} of {len(designs.groups)} alternatives")
    for j, limit in enumerate(designs.limits):
        border = any((g.margins[:, j] > 0).any() and (g.margins[:, j] <= 0).any() for g in drawn.groups)
        notes.append(f"{j + 1}  {limit.name}: {'its border' if border else throughout(drawn, j)}")
    return notes


def _frame(axes: Axes, designs: StudyDesigns, scales: MapScales, *, foot: bool, left: bool) -> None:
    """Span the axes; labels of the scales on the panels that stand at the foot and at the left."""
    scales.across.along(axes.xaxis, designs.column("values", 0))
    scales.up.along(axes.yaxis, designs.column("values", 1))
    axes.tick_params(labelbottom=foot, labelleft=left)
    wide, tall = (int(length / DPI / LETTER) for length in axes.get_window_extent().size)
    if foot:
        axes.set_xlabel(scales.across.title(wide), fontsize=SMALL + 0.5)
    if left:
        axes.set_ylabel(scales.up.title(tall), fontsize=SMALL + 0.5)


def _colour_bar(axes: Axes, scales: MapScales) -> None:
    digits = digits_apart(*scales.ends())
    bar = Colorbar(axes, ScalarMappable(scales.norm, FIELD), orientation="horizontal", ticks=scales.levels(),
                   format=FuncFormatter(lambda t, _: plain(t, digits)))  # fmt: skip
    bar.minorticks_off()
    bar.outline.set_linewidth(0.5)
    axes.set_title(scales.colour.title(int(BAR_WIDE / LETTER)), fontsize=SMALL + 0.5, loc="left", pad=3)
