"""The picture of a plating: resistance against the thickness of the last layer, with the band of what a bath makes."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, LogLocator, NullFormatter
from numpy.typing import ArrayLike

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.units import THOU, concise
from crosscurrent.solver.metals.finish import PlatingFinish, plating_answer

from .style import DENSITY, INK, LARGE, NORMAL, QUIET, SMALL, digits_apart, new_figure, own_style, plain, write

WIDTH, HEIGHT, EDGE = 7.4, 4.7, 0.3  # of the figure and its margin [in]
THIN, THICK = 0.03, 6.0  # ends of the curves, in skin depths of the outer metal
STEEP = 4.0  # span of the ratio from which its axis is logarithmic


def draw_plating(title: str, finishes: Sequence[PlatingFinish]) -> Figure:
    """Curves for one finish at several frequencies.

    Parameters
    ----------
    title : str
    finishes : sequence of PlatingFinish
        The same metals at different frequencies.
    """
    with own_style():
        figure = new_figure(WIDTH, HEIGHT)
        write(figure, EDGE, HEIGHT - 0.32, title.replace(" um ", " µm "), fontsize=LARGE, fontweight="bold")
        first = finishes[0]
        subject = f"resistance per square against the thickness of the {first.outer.name}, {first.temperature:g} °C"
        write(figure, EDGE, HEIGHT - 0.52, subject, fontsize=NORMAL, color=QUIET)
        axes = figure.add_axes((0.58 / WIDTH, 0.8 / HEIGHT, 1 - 0.95 / WIDTH, 1 - 1.85 / HEIGHT))
        depths = [finish.depth for finish in finishes]
        thickness = np.geomspace(THIN * min(depths), THICK * max(depths), 600)
        for k, finish in enumerate(finishes):
            _curve(axes, finish, thickness, DENSITY(0.9 - 0.55 * k / max(1, len(finishes) - 1)))
        _levels(axes, first)
        axes.set_xlim(thickness[0] * 1e6, thickness[-1] * 1e6)
        _scales(axes, first)
        axes.legend(frameon=False, fontsize=SMALL, loc="best", handlelength=1.6)
        write(figure, EDGE, 0.16, " ".join(_notes(axes, first)), fontsize=SMALL, color=QUIET)
    return figure


def _curve(axes: Axes, finish: PlatingFinish, thickness: FloatArray, colour: tuple[float, float, float, float]) -> None:
    band = finish.band(thickness)
    if band is not None:
        axes.fill_between(
            thickness * 1e6, band[0] / finish.bare, band[1] / finish.bare, color=colour, alpha=0.18, linewidth=0
        )
    label = concise(finish.frequency, "Hz")
    axes.plot(thickness * 1e6, finish.resistance(thickness) / finish.bare, color=colour, linewidth=1.4, label=label)
    answer = plating_answer(finish)
    if answer.enough:
        height = finish.resistance(np.array([answer.enough])) / finish.bare
        axes.plot(answer.enough * 1e6, height, "o", markersize=5, color=colour)
    if answer.lowest:
        place, lowest = answer.lowest
        axes.plot(place * 1e6, lowest / finish.bare, "o", markersize=5, markerfacecolor="white", markeredgecolor=colour)


def _thou(um: ArrayLike) -> FloatArray:
    return np.asarray(um, dtype=float) * 1e-6 / THOU


def _um(thou: ArrayLike) -> FloatArray:
    return np.asarray(thou, dtype=float) * THOU * 1e6


def _levels(axes: Axes, finish: PlatingFinish) -> None:
    levels = {f"bare {finish.base.name}": 1.0, f"solid {finish.outer.name}": finish.solid / finish.bare}
    for name, level in levels.items():
        axes.axhline(level, color=QUIET, linewidth=0.7, linestyle=(0, (5, 3)), zorder=0)
        above = level == max(levels.values())
        axes.annotate(
            name, (0, level), xycoords=("axes fraction", "data"), xytext=(4, 2.5 if above else -2.5),
            textcoords="offset points", va="bottom" if above else "top", fontsize=SMALL, color=QUIET,
        )  # fmt: skip


def _notes(axes: Axes, finish: PlatingFinish) -> list[str]:
    dots = any(line.get_marker() == "o" for line in axes.get_lines())
    notes = ["Filled dot: more buys less than 1 %. Open ring: lowest."] if dots else []
    if finish.is_uncertain:
        notes.append("Shaded: from the poorest to the best plate; line: every metal as good as its bulk.")
    return notes


def _scales(axes: Axes, finish: PlatingFinish) -> None:
    axes.set_xscale("log")
    low, high = axes.dataLim.y0, axes.dataLim.y1
    if high > STEEP * low:
        axes.set_yscale("log")
        axes.yaxis.set_major_locator(LogLocator(subs=(1, 2, 5)))
        axes.yaxis.set_minor_formatter(NullFormatter())
        axes.set_ylim(low / 1.35, high * 1.3)
    else:
        axes.set_ylim(low - 0.08 * (high - low), high + 0.08 * (high - low))
    digits = digits_apart(*axes.get_ylim())
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: plain(value, digits)))
    axes.set_xlabel(f"thickness of the {finish.outer.name} [µm]")
    axes.set_ylabel(f"resistance against bare {finish.base.name}")
    above = axes.secondary_xaxis("top", functions=(_thou, _um))
    above.set_xlabel("[thou]")
    for axis in (axes.xaxis, above.xaxis):
        axis.set_major_locator(LogLocator(subs=(1, 2, 5), numticks=30))
        axis.set_minor_locator(LogLocator(subs=(), numticks=1))
        axis.set_major_formatter(FuncFormatter(lambda value, _: plain(value)))
    axes.grid(axis="x", color=INK, alpha=0.07, linewidth=0.5)
    axes.spines["right"].set_visible(False)
