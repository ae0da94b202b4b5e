"""The picture of a choice of strands: resistance over frequency, by itself and against one round wire."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, LogLocator, NullFormatter

from crosscurrent.postprocess.answers.units import concise
from crosscurrent.solver.metals.strand_choice import Against, StrandChoice

from .style import DENSITY, INK, LARGE, NORMAL, QUIET, SMALL, new_figure, own_style, plain, write

WIDTH, HEIGHT, EDGE = 7.4, 6.6, 0.3  # of the figure and its margin [in]
_LEFT, _RIGHT, _TALL, _LOW = 0.62, 0.25, 2.3, (3.45, 0.85)  # of the panels [in]
_SPAN = 100.0  # from the frequency asked for to the ends
_RIVAL = {"size": "one wire as thick", "copper": "one wire of its copper"}


def draw_strands(found: Sequence[StrandChoice], against: Against) -> Figure:
    """R/Rdc of every candidate over frequency, and below its resistance over that of one wire.

    Parameters
    ----------
    found : sequence of StrandChoice
    against : "size" or "copper"
        Which wire.
    """
    first = found[0]
    f = np.geomspace(first.frequency / _SPAN, first.frequency * _SPAN, 240)
    with own_style():
        figure = new_figure(WIDTH, HEIGHT)
        title = f"Bundles of fine strands around {concise(first.frequency, 'Hz')}"
        write(figure, EDGE, HEIGHT - 0.32, title, fontsize=LARGE, fontweight="bold")
        subject = f"perfectly transposed, alone, {first.metal.name} at {first.temperature:g} °C"
        write(figure, EDGE, HEIGHT - 0.52, subject, fontsize=NORMAL, color=QUIET)
        panels = [
            figure.add_axes((_LEFT / WIDTH, low / HEIGHT, 1 - (_LEFT + _RIGHT) / WIDTH, _TALL / HEIGHT)) for low in _LOW
        ]
        for k, one in enumerate(found):
            colour = DENSITY(0.3 + 0.65 * k / max(1, len(found) - 1))
            r = one.over(f)
            label = f"{one.count} x {one.strand * 1e3:.3g} mm"
            panels[0].plot(f, r / one.at_rest, color=colour, linewidth=1.4, label=label)
            panels[1].plot(f, r / one.wire(against, f), color=colour, linewidth=1.4)
        _dress(panels[0], first.frequency, "R / Rdc of each")
        _dress(panels[1], first.frequency, f"R over that of {_RIVAL[against]}")
        panels[0].set_xticklabels([])
        panels[1].axhline(1.0, color=INK, linewidth=0.9, zorder=0)
        panels[1].annotate(
            "below 1 the bundle is the better one", (0, 0), xycoords="axes fraction", xytext=(4, 4),
            textcoords="offset points", fontsize=SMALL, color=QUIET,
        )  # fmt: skip
        handles, labels = panels[0].get_legend_handles_labels()
        figure.legend(handles, labels, loc="lower left", bbox_to_anchor=(EDGE / WIDTH, 0.1 / HEIGHT), ncols=4,
                      frameon=False, fontsize=SMALL, handlelength=1.6, borderaxespad=0)  # fmt: skip
    return figure


def _dress(axes: Axes, asked: float, label: str) -> None:
    """Scales, grid and the frequency asked for."""
    axes.set_xscale("log")
    axes.set_yscale("log")
    axes.set_xlim(asked / _SPAN, asked * _SPAN)
    low, high = axes.dataLim.y0, axes.dataLim.y1
    axes.set_ylim(low / 1.2, high * 1.3)
    axes.set_ylabel(label)
    steps = (1, 2, 5) if high < 300 * low else (1,)
    axes.yaxis.set_major_locator(LogLocator(subs=steps, numticks=20))
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: plain(value)))
    axes.yaxis.set_minor_formatter(NullFormatter())
    axes.xaxis.set_major_locator(LogLocator(numticks=20))
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: concise(value, "Hz", 3)))
    axes.grid(color=INK, alpha=0.07, linewidth=0.5)
    axes.axvline(asked, color=QUIET, linewidth=0.7, linestyle=(0, (5, 3)), zorder=0)
    for side in ("right", "top"):
        axes.spines[side].set_visible(False)
