"""Temperatures of the water and of the wall along its way, and what more or less flow would do."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.ticker import LogLocator, NullLocator

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.water.circuit import Branch, Stream

from .page import LETTER, BlankPage
from .style import INK, QUIET, SMALL, own_style

WIDTH, HEIGHT = 7.6, 3.55  # of the figure [in]
UNDER, ABOVE = 0.8, 0.8  # room under the panels for their scales and what the curves are, above them for titles [in]
COLD, WALL, BOIL = "#48808f", "#893553", "#c0503c"
PER_MINUTE = 60_000  # m3/s in l/min
BOILS: dict[str, Any] = {"color": BOIL, "marker": "o", "markersize": 4, "linestyle": "none"}


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
        sheet = BlankPage.of(title, subject, WIDTH, HEIGHT)
        _along(sheet.axes(0.6, UNDER, 2.9, HEIGHT - UNDER - ABOVE), stream)
        _over_flow(sheet.axes(4.15, UNDER, 2.9, HEIGHT - UNDER - ABOVE), stream, streams)
    return sheet.figure


def _along(axes: Axes, stream: Stream) -> None:
    start, boils = 0.0, False
    places = []
    for k, stage in enumerate(stream.stages):
        end = start + stage[0].passage.length
        for n, branch in enumerate(stage):
            names = (None, None, None) if k or n else ("water", "hottest bore wall", "boils")
            axes.plot((start, end), (branch.boiling, branch.boiling), color=BOIL, linestyle=":", label=names[2])
            if not boils:
                _branch(axes, branch, start, names[:2])
        boils = boils or any(branch.margin < 0 for branch in stage)
        if len(stage) > 1 and not boils:
            _ends(axes, end, stage)
        if len(stream.stages) > 1:
            axes.axvline(end, color=QUIET, linewidth=0.4)
            places.append((0.5 * (start + end), stage[0].passage.name))
        start = end
    _names(axes, places, start)
    axes.set(xlabel="way of the water [m]", ylabel="temperature [°C]", xlim=(0, start))
    _told(axes, axes.get_lines())


def _names(axes: Axes, places: Sequence[tuple[float, str]], whole: float) -> None:
    """Names of bores above their places, as far as there is room: the first, the last, then those between."""
    inches = axes.get_window_extent().width / axes.figure.dpi / whole
    room = [(x - 0.5 * LETTER * len(name) / inches, x + 0.5 * LETTER * len(name) / inches) for x, name in places]
    written: list[int] = []
    for k in (0, len(places) - 1, *range(1, len(places) - 1)) if places else ():
        left, right = room[k]
        if all(right + LETTER / inches < room[n][0] or room[n][1] + LETTER / inches < left for n in written):
            written.append(k)
            axes.text(places[k][0], 1.01, places[k][1], fontsize=SMALL, color=QUIET, ha="center",
                      transform=axes.get_xaxis_transform(), parse_math=False, clip_on=False)  # fmt: skip


def _branch(axes: Axes, branch: Branch, start: float, names: Sequence[str | None]) -> None:
    """Water and wall along a bore, up to where the water boils at the wall."""
    film = branch.surface - branch.outlet
    share = 1.0
    if branch.margin < 0:
        share = float(np.clip((branch.boiling - branch.inlet - film) / (branch.outlet - branch.inlet), 0, 1))
    end = start + share * branch.passage.length
    outlet = branch.inlet + share * (branch.outlet - branch.inlet)
    axes.plot((start, end), (branch.inlet, outlet), color=COLD, label=names[0])
    axes.plot((start, end), (branch.inlet + film, outlet + film), color=WALL, label=names[1])
    if branch.margin < 0:
        axes.plot(end, outlet + film, **BOILS)


def _ends(axes: Axes, end: float, stage: Sequence[Branch]) -> None:
    """Names of the hottest and the coolest of the walls side by side, where they end."""
    hottest, coolest = (pick(stage, key=lambda branch: branch.surface) for pick in (max, min))
    for branch, side in ((hottest, "bottom"), (coolest, "top")):
        axes.annotate(branch.passage.label, (end, branch.surface), xytext=(-2, 2 if side == "bottom" else -3),
                      textcoords="offset points", fontsize=SMALL, color=QUIET, ha="right", va=side,
                      parse_math=False)  # fmt: skip


def _over_flow(axes: Axes, stream: Stream, streams: Sequence[Stream]) -> None:
    whole = np.array([s.flow for s in streams]) * PER_MINUTE
    margin = np.array([min(branch.margin for branch in s.branches) for s in streams])
    flow, outlet, surface, drop = _until_it_boils(
        margin, np.array([whole, [s.outlet for s in streams], [s.surface for s in streams], [s.drop for s in streams]])
    )
    axes.plot(flow, outlet, color=COLD, label="outlet")
    axes.plot(flow, surface, color=WALL, label="hottest wall")
    if len(flow) and flow[0] > whole[0]:
        axes.plot(flow[0], surface[0], **BOILS, label="boils with less")
    axes.axvline(stream.flow * PER_MINUTE, color=INK, linewidth=0.6, linestyle="--")
    lowest = min(s.branches[0].inlet for s in streams)
    top = max(3 * (stream.surface - lowest), 1.2 * (min(branch.boiling for branch in stream.branches) - lowest))
    axes.set(xscale="log", xlabel="flow [l/min]", ylabel="temperature [°C]", ylim=(lowest, lowest + top),
             xlim=(0.95 * whole[0], 1.05 * whole[-1]))  # fmt: skip
    pressure = axes.twinx()
    pressure.plot(flow, drop / 1e5, color=QUIET, linestyle="-.", label="pressure drop")
    pressure.set(yscale="log", ylabel="pressure drop [bar]")
    for ticks in (axes.xaxis, pressure.yaxis):
        ticks.set_major_locator(LogLocator(subs=(1, 2, 5)))
        ticks.set_major_formatter("{x:g}")
        ticks.set_minor_locator(NullLocator())
    _told(axes, (*axes.get_lines(), *pressure.get_lines()))


def _told(axes: Axes, lines: Sequence[Line2D]) -> None:
    """What curves are, below the scale, where none of them runs."""
    named = [line for line in lines if not str(line.get_label()).startswith("_")]
    axes.legend(named, [str(line.get_label()) for line in named], fontsize=SMALL, frameon=False, ncols=2,
                loc="upper center", bbox_to_anchor=(0.5, -0.21), borderpad=0, handlelength=2.5)  # fmt: skip


def _until_it_boils(margin: FloatArray, curves: FloatArray) -> FloatArray:
    """Curves (4, n) over flow, the first, from the lowest flow on at which nothing boils; none if all does."""
    boiling = np.flatnonzero(margin < 0)
    if not len(boiling):
        return curves
    last = int(boiling[-1])
    if last + 1 == len(margin):
        return curves[:, :0]
    share = margin[last] / (margin[last] - margin[last + 1])
    edge = np.exp((1 - share) * np.log(curves[:, last]) + share * np.log(curves[:, last + 1]))
    return np.column_stack((edge, curves[:, last + 1 :]))
