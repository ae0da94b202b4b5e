"""A page: title, panels in true aspect, a zoom, a colour bar and notes, each in a place of its own."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from matplotlib.axes import Axes
from matplotlib.figure import Figure

from .light_axes import LightAxes
from .panel_layout import BAR, CAPTION, CELL, EDGE, Panel, arranged
from .style import LARGE, NORMAL, QUIET, SMALL, new_figure, shortened, write
from .views import View

Notes = Callable[[list[Panel]], list[str]]
WIDTH = 5.6  # of a page: printed on the first page of a report, its notes can be read [in]
WIDER = 7.4  # of one that shows the air around the metal [in]
HEAD = 0.66  # room for the title and the line under it [in]
COLUMN = 2.0  # width of what stands beside a map [in]
BETWEEN = 0.3  # columns [in]
TALLEST = 0.61  # height of a map, of the width of the page
TOWER, HIGHEST = 0.7, 4.4  # aspect below which it may be higher, and how high [in]
TOGETHER = 4.4  # height of several maps [in]
SKIN_BAR = 0.15  # room for the second bar under a zoom [in]
LINE = 0.145  # from one note to the next [in]
LETTER = 0.0565  # mean width of a letter of a note [in]
ZOOM = (2.6, 1.5)  # of a zoom under the maps [in]
NARROWEST = 1.5  # of a zoom beside a map [in]
SQUARE, EVEN = 0.9, 1.5  # aspect of a map with and without a zoom below which all the rest stands beside it
WIDE = 1.5  # below which the zoom alone does


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


def lay_out(
    title: str, subject: str, views: Sequence[View], notes: Notes, *, zoomed: bool, width: float = WIDTH
) -> Page:
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
    width : float
        Of the page [in].
    """
    aspect = views[0].aspect if len(views) == 1 else math.inf
    if aspect < (SQUARE if zoomed else EVEN):
        return _beside(title, subject, views, notes, zoomed, width)
    if zoomed and aspect < WIDE:
        return _abreast(title, subject, views, notes, width)
    return _below(title, subject, views, notes, zoomed, width)


def _below(title: str, subject: str, views: Sequence[View], notes: Notes, zoomed: bool, width: float) -> Page:
    inner = width - 2 * EDGE
    panels, height = arranged(views, inner, TOGETHER if len(views) > 1 else TALLEST * width)
    left = ZOOM[0] if zoomed else COLUMN
    beside = inner - left - BETWEEN
    lines = wrapped(notes(panels), beside)
    bar_room = 0.62
    if zoomed:
        rest = max(ZOOM[1] + CAPTION + BAR + SKIN_BAR, bar_room + LINE * len(lines))
    else:
        rest = max(bar_room, LINE * len(lines) + 0.1)
    page = BlankPage.of(title, subject, width, HEAD + height + 0.1 + rest + 0.12)
    top = 0.12 + rest
    drawn = [(p, page.axes(EDGE + p.x, top + 0.1 + p.y, p.width, p.height)) for p in panels]
    right = EDGE + left + BETWEEN
    if zoomed:
        zoom = page.axes(EDGE, top - CAPTION - ZOOM[1], *ZOOM)
        bar = page.axes(right, top - 0.4, beside, 0.13)
        page.lines(lines, right, top - bar_room - 0.12)
        return Page(page.figure, drawn, bar, zoom)
    bar = page.axes(EDGE, top - 0.4, left, 0.13)
    page.lines(lines, right, top - 0.18)
    return Page(page.figure, drawn, bar, None)


def _abreast(title: str, subject: str, views: Sequence[View], notes: Notes, width: float) -> Page:
    """A map and its zoom at one height, the rest under them."""
    inner = width - 2 * EDGE
    panels, height = arranged(views, inner - BETWEEN - NARROWEST, TALLEST * width)
    (panel,) = panels
    left = max(panel.width, CELL) + BETWEEN
    lines = wrapped(notes(panels), inner - COLUMN - BETWEEN)
    rest = SKIN_BAR + max(0.62, LINE * len(lines) + 0.1)
    page = BlankPage.of(title, subject, width, HEAD + height + rest + 0.12)
    top = 0.12 + rest
    axes = page.axes(EDGE + panel.x, top + panel.y, panel.width, panel.height)
    zoom = page.axes(EDGE + left, top + panel.y, inner - left, panel.height)
    top -= SKIN_BAR
    bar = page.axes(EDGE, top - 0.35, COLUMN, 0.13)
    page.lines(lines, EDGE + COLUMN + BETWEEN, top - 0.18)
    return Page(page.figure, [(panel, axes)], bar, zoom)


def _beside(title: str, subject: str, views: Sequence[View], notes: Notes, zoomed: bool, width: float) -> Page:
    tallest = HIGHEST if views[0].aspect < TOWER else TALLEST * width
    panels, height = arranged(views, width - 2 * EDGE - COLUMN - BETWEEN, tallest)
    left = max(p.x + p.width for p in panels)
    lines = wrapped(notes(panels), COLUMN)
    zoom_height = COLUMN / ZOOM[0] * ZOOM[1]
    room = (CAPTION + zoom_height + BAR + SKIN_BAR + 0.05 if zoomed else 0.0) + 0.62 + LINE * len(lines)
    tall = max(height, room)
    page = BlankPage.of(title, subject, 2 * EDGE + max(left, CELL) + BETWEEN + COLUMN, HEAD + tall + 0.12)
    top = 0.12 + tall
    drawn = [(p, page.axes(EDGE + p.x, top - height + p.y, p.width, p.height)) for p in panels]
    right = EDGE + max(left, CELL) + BETWEEN
    zoom = None
    if zoomed:
        zoom = page.axes(right, top - CAPTION - zoom_height, COLUMN, zoom_height)
        top -= CAPTION + zoom_height + BAR + SKIN_BAR + 0.05
    bar = page.axes(right, top - 0.35, COLUMN, 0.13)
    page.lines(lines, right, top - 0.74)
    return Page(page.figure, drawn, bar, zoom)


@dataclass(frozen=True, eq=False)
class BlankPage:
    """A figure measured in inches."""

    figure: Figure
    width: float
    height: float

    @classmethod
    def of(cls, title: str, subject: str, width: float, height: float) -> BlankPage:
        """A figure of a size [in] with its title and the line under it."""
        figure = new_figure(width, height)
        letters = int((width - 2 * EDGE) / 0.093)
        write(figure, EDGE, height - 0.32, shortened(title, letters), fontsize=LARGE, fontweight="bold")
        write(figure, EDGE, height - 0.52, subject, fontsize=NORMAL, color=QUIET)
        return cls(figure, width, height)

    def axes(self, x: float, y: float, width: float, height: float) -> Axes:
        """An axes at a place [in]."""
        place = (x / self.width, y / self.height, width / self.width, height / self.height)
        return self.figure.add_axes(place, axes_class=LightAxes)

    def lines(self, lines: Sequence[str], x: float, y: float) -> None:
        """Notes under one another, the first at a place [in]."""
        for k, line in enumerate(lines):
            write(self.figure, x, y - LINE * k, line, fontsize=SMALL)


def wrapped(notes: Sequence[str], width: float) -> list[str]:
    """Notes broken into lines of a width [in], never before a per cent sign.

    Examples
    --------
    >>> wrapped(["a quarter is 25 %"], 16 * LETTER)
    ['a quarter is', '   25 %']
    """
    letters = int(width / LETTER)
    whole = [note.replace(" %", "\u00a0%") for note in notes]
    lines = [line for note in whole for line in textwrap.wrap(note, letters, subsequent_indent="   ")]
    return [line.replace("\u00a0", " ") for line in lines]  # which `printable` would leave out
