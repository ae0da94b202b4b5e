"""A periodic current in time, and what its harmonics carry and cost."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter, FuncFormatter, NullLocator

from crosscurrent.postprocess.answers.noise import figure, with_bar, within
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.solver.time.harmonics import HarmonicLoss
from crosscurrent.solver.time.spectrum import Samples

from .page import BlankPage
from .style import DENSITY, INK, QUIET, SMALL, own_style, shortened

SIZE = (7.4, 5.2)  # [in]
SHOWN = 40  # harmonics
LEAST = 1e-6  # share below which a bar ends


def waveform_plot(loss: HarmonicLoss, samples: Samples | None, circuits: Sequence[str], title: str) -> Figure:
    """The current over two periods of its lowest harmonic; below, shares of its square and of the loss."""
    spectrum = loss.spectrum
    lowest = float(spectrum.frequency[spectrum.frequency > 0].min(initial=np.inf))
    period = 1 / lowest if np.isfinite(lowest) else 1.0
    times = np.linspace(0, 2 * period, 1601)
    with own_style():
        subject = (
            f"{shortened(', '.join(circuits), 40)} · {engineering(spectrum.rms, 'A')} rms · "
            f"{with_bar(loss.total, loss.error / loss.total, 'W/m')} · "
            f"R = {figure(loss.resistance, within(loss.resistance, loss.error / loss.total), 'ohm/m')}"
        )
        sheet = BlankPage.of(title, subject, *SIZE)
        above, below = sheet.axes(0.75, 2.75, SIZE[0] - 1.05, 1.65), sheet.axes(0.75, 0.75, SIZE[0] - 1.05, 1.35)
        above.axhline(0, color=QUIET, linewidth=0.4)
        above.plot(times, spectrum.current(times), color=DENSITY(0.75), linewidth=1.3)
        if samples is not None:
            given = np.concatenate([samples.times + n * period for n in range(-1, 3)])
            above.plot(given, np.tile(samples.currents, 4), ".", color=INK, markersize=2.5 if len(given) < 400 else 1.2)
        above.set_xlim(0, 2 * period)
        above.xaxis.set_major_formatter(EngFormatter("s", sep=" "))
        above.yaxis.set_major_formatter(EngFormatter("A", sep=" "))
        above.set_title(f"current{', dots: samples' if samples else ''} (momentary values)", fontsize=SMALL, loc="left")
        order = np.argsort(-loss.shares)[:SHOWN]
        order = order[loss.shares[order] > LEAST]
        order = order[np.argsort(spectrum.frequency[order])]
        place = np.arange(len(order))
        square = np.abs(spectrum.phasors[order]) ** 2 / spectrum.rms**2
        shares = {"the square of the current": square, "the loss": loss.shares[order]}
        for k, (what, share) in enumerate(shares.items()):
            height = 100 * np.maximum(share, LEAST)
            below.bar(place - 0.2 + 0.4 * k, height, 0.38, color=DENSITY(0.35 + 0.4 * k), label=f"share of {what}")
        below.set_yscale("log")
        below.set_ylim(100 * max(LEAST, 0.3 * float(np.maximum(loss.shares[order], square).min())), 200)
        below.yaxis.set_major_formatter(FuncFormatter(lambda share, _: f"{share:g} %"))
        below.yaxis.set_minor_locator(NullLocator())
        labels = [concise(float(f), "Hz", 4) if f else "0" for f in spectrum.frequency[order]]
        below.set_xticks(
            place, labels, rotation=60 if len(order) > 6 else 0, ha="right" if len(order) > 6 else "center"
        )
        below.legend(fontsize=SMALL, frameon=False, loc="upper right", ncols=2, bbox_to_anchor=(1, 1.22))
        for axes in (above, below):
            for side in ("top", "right"):
                axes.spines[side].set_visible(False)
    return sheet.figure
