"""R and L of a ladder over its band beside the sweep it stands for, and how far they are apart."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter, FixedLocator

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.units import concise, counted, error_bar
from crosscurrent.solver.band.foster import Impedance
from crosscurrent.solver.band.ladder import Ladder

from .light_ticks import decades, light_ticks, marks
from .page import BlankPage
from .style import DENSITY, INK, QUIET, SMALL, own_style, printable, shortened

SIZE = (7.4, 5.4)  # [in]
LISTED = 4  # circuits
SAMPLES = 300


def ladder_plot(ladder: Ladder, long: Impedance, circuits: Sequence[str], title: str) -> Figure:
    """Curves of the sweep, dots of the ladder; below, the difference in per cent and the corners of the cells."""
    frequency = np.geomspace(ladder.low, ladder.high, SAMPLES)
    kinds = (
        ("R [ohm/m]", long.resistance(frequency), ladder.foster.resistance(frequency), ladder.resistance_error),
        ("L [H/m]", long.inductance(frequency), ladder.foster.inductance(frequency), ladder.inductance_error),
    )
    names = circuits[:LISTED]
    with own_style():
        subject = (
            f"ladder of {counted(ladder.cells, 'cell')} · "
            f"{concise(ladder.low, 'Hz')} to {concise(ladder.high, 'Hz')} · "
            "lines: sweep, dots: ladder"
        )
        sheet = BlankPage.of(title, subject, *SIZE)
        for column, (label, exact, own, error) in enumerate(kinds):
            left = 0.75 + 3.6 * column
            above, below = sheet.axes(left, 2.35, 2.75, 2.2), sheet.axes(left, 0.55, 2.75, 1.2)
            for k, name in enumerate(names):
                colour = DENSITY(1 - 0.6 * k / max(len(names), 1))
                above.plot(frequency, exact[:, k, k], color=colour, linewidth=1.3, label=shortened(printable(name), 14))
                above.plot(frequency[::12], own[::12, k, k], ".", color=colour, markersize=4)
                below.plot(frequency, 100 * (own[:, k, k] / exact[:, k, k] - 1), color=colour, linewidth=1.0)
            _dress(above, frequency, label)
            if column == 0:
                above.set_yscale("log")
                above.yaxis.set_major_locator(FixedLocator(marks(*above.get_ylim(), decades(exact)).tolist()))
            above.yaxis.set_major_formatter(EngFormatter(sep=""))
            above.yaxis.set_minor_formatter("")
            _dress(below, frequency, "ladder against sweep [%]")
            below.axhline(0, color=QUIET, linewidth=0.4)
            below.axhspan(-100 * error, 100 * error, color=DENSITY(0.12), linewidth=0, zorder=0)
            below.set_title(f"bound {error_bar(error)}; ticks: corners of the cells", fontsize=SMALL, loc="left", pad=3)
            corners = ladder.foster.rates / (2 * np.pi)
            inside = corners[(corners > ladder.low) & (corners < ladder.high)]
            below.plot(inside, np.full(len(inside), 0.03), "|", color=INK, transform=below.get_xaxis_transform())
            below.set_xlabel("frequency [Hz]", fontsize=SMALL + 0.5)
            for axes in (above, below):
                light_ticks(axes)
            if column == 0 and len(names) > 1:
                above.legend(fontsize=SMALL, frameon=False)
    return sheet.figure


def _dress(axes: Axes, frequency: FloatArray, label: str) -> None:
    axes.set_xscale("log")
    axes.set_xlim(float(frequency[0]), float(frequency[-1]))
    axes.set_ylabel(label, fontsize=SMALL + 0.5)
    axes.xaxis.set_major_formatter(EngFormatter(sep=""))
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
