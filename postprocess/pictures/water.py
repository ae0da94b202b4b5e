"""Temperatures of the water and of the wall along its way, and what more or less flow would do."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import LogLocator, NullLocator

from ...solver.water import Leg, Stream
from .page import Sheet
from .style import INK, QUIET, SMALL, own_style

WIDTH, HEIGHT = 7.6, 3.5  # of the figure [in]
COLD, WALL, BOIL = "#48808f", "#893553", "#c0503c"
PER_MINUTE = 60_000  # m3/s in l/min


def water_picture(stream: Stream, streams: Sequence[Stream], title: str, subject: str) -> Figure:
    """Two panels for a stream and others of more and less flow.

    Parameters
    ----------
    stream : Stream
        As it flows.
    streams : sequence of Stream
        Over flow, rising.
    title, subject : str
    """
    with own_style():
        sheet = Sheet.of(title, subject, WIDTH, HEIGHT)
        _along(sheet.axes(0.6, 0.5, 2.9, HEIGHT - 1.4), stream)
        _over_flow(sheet.axes(4.15, 0.5, 2.9, HEIGHT - 1.4), stream, streams)
    return sheet.figure


def _along(axes: Axes, stream: Stream) -> None:
    start = 0.0
    for k, stage in enumerate(stream.stages):
        end = start + stage[0].passage.length
        for n, leg in enumerate(stage):
            lines = (
                ("water", COLD, "-", (leg.inlet, leg.outlet)),
                ("hottest bore wall", WALL, "-", (leg.inlet + leg.surface - leg.outlet, leg.surface)),
                ("boils", BOIL, ":", (leg.boiling, leg.boiling)),
            )
            for name, colour, style, values in lines:
                axes.plot((start, end), values, color=colour, linestyle=style, label=None if k or n else name)
        if len(stage) > 1:
            _ends(axes, end, stage)
        if len(stream.stages) > 1:
            axes.axvline(end, color=QUIET, linewidth=0.4)
            axes.text(0.5 * (start + end), 1.01, stage[0].passage.name, fontsize=SMALL, color=QUIET, ha="center",
                      transform=axes.get_xaxis_transform(), parse_math=False, clip_on=False)  # fmt: skip
        start = end
    axes.set(xlabel="way of the water [m]", ylabel="temperature [°C]", xlim=(0, start))
    axes.legend(fontsize=SMALL, framealpha=0.7, edgecolor="white", loc="best")


def _ends(axes: Axes, end: float, stage: Sequence[Leg]) -> None:
    """Names of the hottest and the coolest of the walls side by side, where they end."""
    hottest, coolest = (pick(stage, key=lambda leg: leg.surface) for pick in (max, min))
    for leg, side in ((hottest, "bottom"), (coolest, "top")):
        axes.annotate(leg.passage.label, (end, leg.surface), xytext=(-2, 2 if side == "bottom" else -3),
                      textcoords="offset points", fontsize=SMALL, color=QUIET, ha="right", va=side,
                      parse_math=False)  # fmt: skip


def _over_flow(axes: Axes, stream: Stream, streams: Sequence[Stream]) -> None:
    flow = np.array([s.flow for s in streams]) * PER_MINUTE
    axes.plot(flow, [s.outlet for s in streams], color=COLD, label="outlet")
    axes.plot(flow, [s.surface for s in streams], color=WALL, label="hottest wall")
    axes.axvline(stream.flow * PER_MINUTE, color=INK, linewidth=0.6, linestyle="--")
    lowest = min(s.legs[0].inlet for s in streams)
    top = max(3 * (stream.surface - lowest), 1.2 * (min(leg.boiling for leg in stream.legs) - lowest))
    axes.set(xscale="log", xlabel="flow [l/min]", ylabel="temperature [°C]", ylim=(lowest, lowest + top))
    pressure = axes.twinx()
    pressure.plot(flow, [s.drop / 1e5 for s in streams], color=QUIET, linestyle="-.", label="pressure drop")
    pressure.set(yscale="log", ylabel="pressure drop [bar]")
    for ticks in (axes.xaxis, pressure.yaxis):
        ticks.set_major_locator(LogLocator(subs=(1, 2, 5)))
        ticks.set_major_formatter("{x:g}")
        ticks.set_minor_locator(NullLocator())
    lines = [*axes.get_lines()[:2], *pressure.get_lines()]
    names = [str(line.get_label()) for line in lines]
    axes.legend(lines, names, fontsize=SMALL, framealpha=1, edgecolor="white", loc="upper center")
