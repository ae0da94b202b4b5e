"""The words of a picture drawn for a straight run, as they are for a section round an axis."""

from __future__ import annotations

from matplotlib.figure import Figure
from matplotlib.text import Text
from matplotlib.ticker import EngFormatter

from crosscurrent.postprocess.answers.per_turn import per_turn


def in_axial_words(figure: Figure) -> Figure:
    """The figure, its figures no longer per metre.

    Examples
    --------
    >>> figure = Figure()
    >>> label = figure.text(0.5, 0.5, "R [mohm/m]")
    >>> in_axial_words(figure) is figure, label.get_text()
    (True, 'R [mohm]')
    """
    for text in figure.findobj(Text):
        said = per_turn(text.get_text())
        if said != text.get_text():
            text.set_text(said)
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            ticks = axis.get_major_formatter()
            if isinstance(ticks, EngFormatter):
                ticks.unit = per_turn(ticks.unit)
    return figure
