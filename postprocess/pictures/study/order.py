"""Orders of phases in a stack: the best and the worst, as rows of lettered cells with a bar each."""

from __future__ import annotations

from collections.abc import Sequence
from string import ascii_uppercase

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle

from ..panel_layout import EDGE
from ..style import INK, QUIET, SMALL, own_style, printable
from .data import PhaseOrder, StudyScale
from .looks import LETTER, WIDTH, counted, page_of, say_nothing
from .scales import words

LISTED = 5  # at either end
ROW, BETWEEN = 0.26, 0.3  # a row, and what stands between the best and the worst [in]
CELL, CELLS = 0.34, 3.9  # widest cell, and room for all of a row [in]
VALUE = 1.15  # room for the figure in words [in]
FILLS = ("#efd9a8", "#b9d3df", "#e3b7a6", "#c5d6b4", "#d3c4de", "#e4e0d8", "#9fbfc4", "#d9c08f")


def order_figure(orders: Sequence[PhaseOrder], figure: StudyScale, title: str, subject: str) -> Figure:
    """The best and the worst five orders of phases, the least figure first.

    Parameters
    ----------
    orders : sequence of PhaseOrder
    figure : StudyScale
        Of what they come to.
    title, subject : str

    Examples
    --------
    >>> two = [PhaseOrder(("L1", "L2", "L2", "L1"), 268.4), PhaseOrder(("L1", "L1", "L2", "L2"), 391.5)]
    >>> drawn = order_figure(two, StudyScale("loss", "W/m"), "Switchboard", "50 Hz")
    >>> [text.get_text() for text in drawn.axes[0].texts][:5]
    ['L1', 'L2', 'L2', 'L1', '268.4 W/m']
    """
    known = sorted((o for o in orders if np.isfinite(o.figure)), key=lambda o: (o.figure, o.cells))
    apart = len(known) > 2 * LISTED
    shown = [*known[:LISTED], *known[-LISTED:]] if apart else known
    between = BETWEEN if apart else 0.0
    tall = ROW * max(len(shown), 2) + between
    cell = min(CELL, CELLS / max((len(order.cells) for order in shown), default=1))
    letters = _letters(shown, max(1, int(cell / LETTER)))
    notes = [f"cells: from one end of the stack to the other; bars: {figure.label}, from 0"]
    if any(name != letter for name, letter in letters.items()):
        notes.append(", ".join(f"{letter}: {name}" for name, letter in letters.items()))
    if known:
        least, most = known[0].figure, known[-1].figure
        notes.append(f"{counted(len(known), 'order')}: {words(figure, least)} to {words(figure, most)}"
                     + (f", {100 * (most / least - 1):.3g} % more" if least > 0 else ""))  # fmt: skip
    if len(known) < len(orders):
        notes.append(f"{counted(len(orders) - len(known), 'order')} with a fault, without this figure")
    with own_style():
        page, _ = page_of(title, subject, tall + 0.2, notes)
        foot = page.height - 0.72 - tall
        axes = page.axes(EDGE, foot, WIDTH - 2 * EDGE, tall)
        axes.set(xlim=(0, WIDTH - 2 * EDGE), ylim=(tall, 0))
        axes.set_axis_off()
        if not shown:
            say_nothing(axes, "no order has this figure")
        _rows(axes, shown, figure, letters, cell, between)
        if apart:
            text = f"and {counted(len(known) - 2 * LISTED, 'order')} between them"
            axes.annotate(text, (0, LISTED * ROW + BETWEEN / 2), va="center", fontsize=SMALL, color=QUIET)
    return page.figure


def _letters(shown: Sequence[PhaseOrder], room: int) -> dict[str, str]:
    """What stands in the cells of each phase: its name, or a letter where one of the names is too long."""
    phases = sorted({cell for order in shown for cell in order.cells})
    if all(len(printable(name)) <= room for name in phases):
        return {name: printable(name) for name in phases}
    return {name: ascii_uppercase[k] if k < len(ascii_uppercase) else str(k + 1) for k, name in enumerate(phases)}


def _rows(
    axes: Axes, shown: Sequence[PhaseOrder], figure: StudyScale, letters: dict[str, str], cell: float, between: float
) -> None:  # fmt: skip
    fills = {name: FILLS[k % len(FILLS)] for k, name in enumerate(letters)}
    start = cell * max((len(order.cells) for order in shown), default=1) + 0.15
    room = WIDTH - 2 * EDGE - start - VALUE
    largest = max((abs(order.figure) for order in shown), default=1.0) or 1.0
    for row, order in enumerate(shown):
        y = ROW * row + (between if row >= LISTED else 0.0)
        for k, name in enumerate(order.cells):
            axes.add_patch(Rectangle((k * cell, y + 0.03), 0.92 * cell, ROW - 0.06, facecolor=fills[name], linewidth=0))
            axes.annotate(letters[name], (k * cell + 0.46 * cell, y + ROW / 2), ha="center", va="center",
                          fontsize=SMALL - 0.5, color=INK, parse_math=False)  # fmt: skip
        long = room * abs(order.figure) / largest
        axes.add_patch(Rectangle((start, y + 0.06), long, ROW - 0.12, facecolor=INK, alpha=0.3, linewidth=0))
        axes.annotate(words(figure, order.figure), (start + long + 0.08, y + ROW / 2), va="center", fontsize=SMALL)
