"""A page: title, panels in true aspect, a zoom, a colour bar and notes, each in a place of its own."""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from .arrange import BAR, CAPTION, EDGE, WIDTH, Panel, arranged
from .frames import View
from .style import LARGE, NORMAL, QUIET, SMALL, new_figure, shortened, write

Notes = Callable[[list[Panel]], list[str]]
HEAD = 0.66  # room for the title and the line under it [in]
COLUMN = 2.5  # width of what stands beside a map [in]
TALLEST = 4.5  # height of a map [in]
TOGETHER = 6.5  # height of several maps [in]
SKIN_BAR = 0.15  # room for the second bar under a zoom [in]
LINE = 0.145  # from one note to the next [in]
LETTER = 0.0565  # mean width of a letter of a note [in]
ZOOM = (3.3, 2.2)  # of a zoom under the maps [in]
SQUARE = 1.45  # aspect below which the rest stands beside the map


@dataclass(frozen=True, eq=False)
class Page:
    """A figure with its places.

    Attributes
    ----------
    figure : Figure
    panels : list of (Panel, Axes)
    bar : Axes
        For the colour bar.
    zoom : Axes or None
    """

    figure: Figure
    panels: list[tuple[Panel, Axes]]
    bar: Axes
    zoom: Axes | None


def lay_out(title: str, subject: str, views: Sequence[View], notes: Notes, *, zoomed: bool) -> Page:
    """A page for some views of a section.

    Parameters
    ----------
    title, subject : str
        Of the case; what is shown, and at what frequency.
    views : sequence of View
    notes : callable
        Given the panels, the lines to stand beside the colour bar.
    zoomed : bool
        Keep a place for a zoom.
    """
    if len(views) == 1 and views[0].aspect < SQUARE:
        return _beside(title, subject, views, notes, zoomed)
    return _below(title, subject, views, notes, zoomed)


def _below(title: str, subject: str, views: Sequence[View], notes: Notes, zoomed: bool) -> Page:
    inner = WIDTH - 2 * EDGE
    panels, height = arranged(views, inner, TOGETHER if len(views) > 1 else TALLEST)
    width = inner - ZOOM[0] - 0.35
    lines = wrapped(notes(panels), width)
    bar_room = 0.62
    if zoomed:
        rest = max(ZOOM[1] + CAPTION + BAR + SKIN_BAR, bar_room + LINE * len(lines))
    else:
        rest = max(bar_room, LINE * len(lines) + 0.1)
    page = Sheet.of(title, subject, WIDTH, HEAD + height + 0.1 + rest + 0.12)
    top = 0.12 + rest
    drawn = [(p, page.axes(EDGE + p.x, top + 0.1 + p.y, p.width, p.height)) for p in panels]
    right = EDGE + ZOOM[0] + 0.35
    if zoomed:
        zoom = page.axes(EDGE, top - CAPTION - ZOOM[1], *ZOOM)
        bar = page.axes(right, top - 0.4, width, 0.13)
        page.lines(lines, right, top - bar_room - 0.12)
        return Page(page.figure, drawn, bar, zoom)
    bar = page.axes(EDGE, top - 0.4, ZOOM[0], 0.13)
    page.lines(lines, right, top - 0.18)
    return Page(page.figure, drawn, bar, None)


def _beside(title: str, subject: str, views: Sequence[View], notes: Notes, zoomed: bool) -> Page:
    panels, height = arranged(views, WIDTH - 2 * EDGE - COLUMN - 0.35, TALLEST)
    left = max(p.x + p.width for p in panels)
    lines = wrapped(notes(panels), COLUMN)
    zoom_height = COLUMN / ZOOM[0] * ZOOM[1]
    room = (CAPTION + zoom_height + BAR + SKIN_BAR + 0.05 if zoomed else 0.0) + 0.62 + LINE * len(lines)
    tall = max(height, room)
    page = Sheet.of(title, subject, 2 * EDGE + max(left, 2.2) + 0.35 + COLUMN, HEAD + tall + 0.12)
    top = 0.12 + tall
    drawn = [(p, page.axes(EDGE + p.x, top - height + p.y, p.width, p.height)) for p in panels]
    right = EDGE + max(left, 2.2) + 0.35
    zoom = None
    if zoomed:
        zoom = page.axes(right, top - CAPTION - zoom_height, COLUMN, zoom_height)
        top -= CAPTION + zoom_height + BAR + SKIN_BAR + 0.05
    bar = page.axes(right, top - 0.35, COLUMN, 0.13)
    page.lines(lines, right, top - 0.74)
    return Page(page.figure, drawn, bar, zoom)


@dataclass(frozen=True, eq=False)
class Sheet:
    """A figure measured in inches."""

    figure: Figure
    width: float
    height: float

    @classmethod
    def of(cls, title: str, subject: str, width: float, height: float) -> Sheet:
        """A figure of a size [in] with its title and the line under it."""
        figure = new_figure(width, height)
        letters = int((width - 2 * EDGE) / 0.093)
        write(figure, EDGE, height - 0.32, shortened(title, letters), fontsize=LARGE, fontweight="bold")
        write(figure, EDGE, height - 0.52, subject, fontsize=NORMAL, color=QUIET)
        return cls(figure, width, height)

    def axes(self, x: float, y: float, width: float, height: float) -> Axes:
        """An axes at a place [in]."""
        return self.figure.add_axes((x / self.width, y / self.height, width / self.width, height / self.height))

    def lines(self, lines: Sequence[str], x: float, y: float) -> None:
        """Notes under one another, the first at a place [in]."""
        for k, line in enumerate(lines):
            write(self.figure, x, y - LINE * k, line, fontsize=SMALL)


def wrapped(notes: Sequence[str], width: float) -> list[str]:
    """Notes broken into lines of a width [in]."""
    letters = int(width / LETTER)
    return [line for note in notes for line in textwrap.wrap(note, letters, subsequent_indent="   ")]
