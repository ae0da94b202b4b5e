"""R and L of a ladder over its band beside the sweep it stands for, and how far they are apart."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter, FixedLocator, FuncFormatter

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.units import concise, counted, error_bar
from crosscurrent.solver.band.foster import Impedance
from crosscurrent.solver.band.ladder import Ladder

from .light_ticks import decades, light_ticks, marks
from .page import BlankPage
from .style import DENSITY, INK, QUIET, SMALL, own_style, plain, printable, shortened
from .unit_axis import unit_axis

SIZE = (7.4, 5.4)  # [in]
LISTED = 4  # circuits
SAMPLES = 300


def ladder_plot(ladder: Ladder, long: Impedance, circuits: Sequence[str], title: str) -> Figure:
    """Curves of the sweep, dots of the ladder; below, the difference in per cent and the corners of the cells."""
    frequency = np.geomspace(ladder.low, ladder.high, SAMPLES)
    kinds = (
        ("R", "ohm/m", long.resistance(frequency), ladder.foster.resistance(frequency), ladder.resistance_error),
        ("L", "H/m", long.inductance(frequency), ladder.foster.inductance(frequency), ladder.inductance_error),
    )
    names = circuits[:LISTED]
    with own_style():
        subject = (
            f"ladder of {counted(ladder.cells, 'cell')} · "
            f"{concise(ladder.low, 'Hz')} to {concise(ladder.high, 'Hz')} · "
            "lines: sweep, dots: ladder"
        )
        sheet = BlankPage.of(title, subject, *SIZE)
        for column, (letter, unit, exact, own, error) in enumerate(kinds):
            left = 0.75 + 3.6 * column
            above, below = sheet.axes(left, 2.35, 2.75, 2.2), sheet.axes(left, 0.55, 2.75, 1.2)
            scaled = unit_axis(above, exact, unit, letter)
            for k, name in enumerate(names):
                colour = DENSITY(1 - 0.6 * k / max(len(names), 1))
                one, other = scaled(exact[:, k, k]), scaled(own[:, k, k])
                above.plot(frequency, one, color=colour, linewidth=1.3, label=shortened(printable(name), 14))
                above.plot(frequency[::12], other[::12], ".", color=colour, markersize=4)
                below.plot(frequency, 100 * (own[:, k, k] / exact[:, k, k] - 1), color=colour, linewidth=1.0)
            _dress(above, frequency)
            if column == 0:
                above.set_yscale("log")
                above.yaxis.set_major_locator(FixedLocator(marks(*above.get_ylim(), decades(exact)).tolist()))
                above.yaxis.set_major_formatter(FuncFormatter(lambda value, _: plain(value)))
                above.yaxis.set_minor_formatter("")
            _dress(below, frequency)
            below.set_ylabel("ladder against sweep [%]")
            below.axhline(0, color=QUIET, linewidth=0.4)
            below.axhspan(-100 * error, 100 * error, color=DENSITY(0.12), linewidth=0, zorder=0)
            corners = ladder.foster.rates / (2 * np.pi)
            inside = corners[(corners > ladder.low) & (corners < ladder.high)]
            ticks = "; ticks: corners of the cells" if len(inside) else ""
            below.set_title(f"bound {error_bar(error)}{ticks}", fontsize=SMALL, loc="left", pad=3)
            below.plot(inside, np.full(len(inside), 0.03), "|", color=INK, transform=below.get_xaxis_transform())
            below.set_xlabel("frequency [Hz]", fontsize=SMALL + 0.5)
            for axes in (above, below):
                light_ticks(axes)
            if column == 0 and len(names) > 1:
                above.legend(fontsize=SMALL, frameon=False)
    return sheet.figure


def _dress(axes: Axes, frequency: FloatArray) -> None:
    axes.set_xscale("log")
    axes.set_xlim(float(frequency[0]), float(frequency[-1]))
    axes.yaxis.label.set_fontsize(SMALL + 0.5)
    axes.xaxis.set_major_formatter(EngFormatter(sep=""))
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
