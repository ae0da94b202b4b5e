"""What each cause explains of the difference between measured and calculated, and what the explanation leaves."""

from __future__ import annotations

import textwrap

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FuncFormatter, LogLocator, NullFormatter

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.postprocess.topics.diagnosis import worded
from crosscurrent.solver.meter.diagnosis import Diagnosis, Explanation

from .light_ticks import light_ticks
from .page import BlankPage
from .style import DENSITY, INK, NORMAL, QUIET, SMALL, own_style, printable, write

Colour = str | tuple[float, float, float, float]
SIZE = (7.4, 5.5)  # [in]
LEFT, ACROSS, BETWEEN = 0.72, 2.85, 0.7  # first panel, width of each, room between them [in]
MEASURED, FIRST, OTHER = "#2f6f8f", DENSITY(0.8), DENSITY(0.45)
STYLES = ("--", ":", "-.")
COVERED = 2.0
MARGIN = 1.25  # of the axes over what was measured
LETTERS = 118  # in a line of the legend


def diagnosis_figure(found: Diagnosis, title: str) -> Figure:
    """The difference over what is calculated, each cause's part of it, and below what the best two leave."""
    with own_style():
        subject = "measured less calculated, over calculated; lines: what the causes make of it; below: what they leave"
        sheet = BlankPage.of(title, printable(subject), *SIZE)
        f = found.frequencies
        shown = [one for one in found.explanations if one.causes][:2]
        for k, letter in enumerate("RL"):
            left = LEFT + k * (ACROSS + BETWEEN)
            above, below = sheet.axes(left, 2.75, ACROSS, 1.85), sheet.axes(left, 1.35, ACROSS, 0.95)
            known = (found.resistance, found.reactance)[k]
            measured = (found.measured_resistance, found.measured_reactance)[k]
            error = (found.resistance_uncertainty, found.reactance_uncertainty)[k]
            base = known[found.rows]
            above.errorbar(f[found.rows], 100 * (measured / base - 1), 100 * COVERED * error / base, fmt=".",
                           color=MEASURED, markersize=3.5, elinewidth=0.8)  # fmt: skip
            for one, colour in zip(shown, (FIRST, OTHER), strict=False):
                _curves(above, one, f, known, k, colour, apart=one is shown[0])
            above.set_title(f"{letter}: difference [%]", fontsize=NORMAL, loc="left", pad=3)
            _reach(above, 100 * (measured / base - 1))
            _residuals(below, found, shown, f[found.rows], k)
            for axes in (above, below):
                _dress(axes, float(f[0]), float(f[-1]), f[found.rows])
        _legend(sheet, shown)
    return sheet.figure


def _curves(
    axes: Axes, one: Explanation, f: FloatArray, known: FloatArray, k: int, colour: Colour, *, apart: bool
) -> None:  # fmt: skip
    whole = (one.resistance, one.reactance)[k]
    axes.plot(f, 100 * (whole / known - 1), color=colour, linewidth=1.4)
    if apart and len(one.causes) > 1:
        for cause, style in zip(one.causes, STYLES, strict=False):
            part = (cause.resistance, cause.reactance)[k]
            axes.plot(f, 100 * part / known, style, color=colour, linewidth=1.0)


def _residuals(axes: Axes, found: Diagnosis, shown: list[Explanation], f: FloatArray, k: int) -> None:
    axes.axhspan(-COVERED, COVERED, color=QUIET, alpha=0.12, linewidth=0, zorder=0)
    axes.axhline(0, color=QUIET, linewidth=0.5)
    largest = 3.0
    for one, colour in zip(shown or [found.bare], (FIRST, OTHER), strict=False):
        left = (one.left_resistance, one.left_reactance)[k]
        axes.plot(f, left, ".", color=colour, markersize=3.5)
        largest = max(largest, float(np.abs(left).max()))
    axes.set_ylim(-1.15 * largest, 1.15 * largest)
    axes.set_ylabel("left / u", fontsize=SMALL + 0.5)
    axes.set_xlabel("frequency", fontsize=SMALL + 0.5)


def _reach(axes: Axes, values: FloatArray) -> None:
    """Curves beyond the band may run off: the axis is that of what was measured."""
    low, high = min(float(values.min()), 0.0), max(float(values.max()), 0.0)
    middle, half = (low + high) / 2, max((high - low) / 2, 0.05)
    axes.set_ylim(middle - MARGIN * half, middle + MARGIN * half)
    axes.axhline(0, color=QUIET, linewidth=0.5)


def _dress(axes: Axes, low: float, high: float, measured: FloatArray) -> None:
    axes.set_xscale("log")
    axes.set_xlim(low, high)
    for start, end in ((low, float(measured[0])), (float(measured[-1]), high)):
        axes.axvspan(start, end, color=QUIET, alpha=0.06, linewidth=0, zorder=0)
    axes.xaxis.set_major_locator(LogLocator(numticks=6))
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: concise(value, "Hz", 3)))
    axes.tick_params(axis="both", labelsize=SMALL - 0.5)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.grid(color=INK, alpha=0.07, linewidth=0.5)
    light_ticks(axes)


def _legend(sheet: BlankPage, shown: list[Explanation]) -> None:
    """What the lines are, under the panels; grey is where nothing was measured."""
    dots = "measured, bar: 2 u of meter and calculation together; grey: not measured"
    rows: list[tuple[Colour, str, str]] = [(MEASURED, ".", dots)]
    for one, colour in zip(shown, (FIRST, OTHER), strict=False):
        rows.append((colour, "-", worded(one)))
        if one is shown[0] and len(one.causes) > 1:
            names = zip(STYLES, (cause.name for cause in one.causes), strict=False)
            rows += [(colour, style, f"its part: {name}") for style, name in names]
    axes = sheet.axes(LEFT, 0.12, 0.32, 0.8)
    axes.set_axis_off()
    axes.set(xlim=(0, 1), ylim=(0, 1))
    for number, (shade, style, text) in enumerate(rows[:6]):
        y = 0.92 - 0.16 * number
        x = [0.5] if style == "." else [0, 1]
        axes.plot(x, [y] * len(x), style, color=shade, linewidth=1.2, markersize=4)
        line = textwrap.shorten(text, LETTERS, placeholder=" …")
        write(sheet.figure, LEFT + 0.4, 0.12 + 0.8 * y, line, fontsize=SMALL, color=INK, va="center")
