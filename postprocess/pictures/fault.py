"""A fault current in time: currents, forces and heat of the conductors, and the density at a few instants."""

from __future__ import annotations

import math

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure
from matplotlib.ticker import EngFormatter

from crosscurrent.geometries.arrays import BoolArray, FloatArray
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.postprocess.answers.field_values import current_density, density, surfaces, visible_patches
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.solver.time.fault import FaultCourse
from crosscurrent.solver.time.history import FaultHistory
from crosscurrent.solver.time.transient import TimeSamples

from .axial import boxes_of, draw_axis, with_mirrored
from .page import BlankPage
from .panel_layout import EDGE, even_maps
from .panels import caption, draw_outlines, scale_bar
from .raster import painted, show
from .scale import Scale, colour_bar
from .style import DENSITY, DPI, QUIET, SMALL, amount, own_style, plain, printable, shortened
from .views import whole_window

SIZE = (7.4, 6.2)  # [in]
LISTED = 6  # curves
PERIODS = 4  # shown of an oscillation
INSTANTS = 5  # maps in the row
MAPS = (6.8, 4.2)  # room for all maps [in]
BESIDE, UNDER = 0.15, 0.42  # from one map to the next, and for the words between rows [in]
COLOURS = ("#3a1645", "#48808f", "#c06a4b", "#e0a463", "#324d84", "#7a8f3c")


def course_plot(fault: FaultCourse, title: str) -> Figure:
    """Momentary currents and forces at the beginning, and the heat to the end, of the worst history."""
    history = fault.worst
    names = [c.name for c in history.transient.sweep.problem.conductors]
    seen = _beginning(history)
    force = np.hypot(*np.moveaxis(history.force, -1, 0))
    leading = np.argsort(-history.energy[-1])[:LISTED]
    rows = (
        ("current of the conductors", "A", history.currents, seen),
        ("size of the force on them, per metre", "N/m", force, seen),
        ("heat left in them, per metre", "J/m", history.energy, history.resolved),
    )
    with own_style():
        subject = f"fault in {shortened(', '.join(fault.circuits), 40)}: momentary values"
        if len(fault.histories) > 1:
            begun = plain(round(math.degrees(fault.worst_angle)))
            subject += f", begun at {begun}° of {shortened(fault.circuits[0], 20)}"
        sheet = BlankPage.of(title, subject, *SIZE)
        for row, (what, unit, values, shown) in enumerate(rows):
            axes = sheet.axes(0.85, 3.95 - 1.72 * row, SIZE[0] - 2.05, 1.2)
            for rank, k in enumerate(leading):
                colour = COLOURS[rank % len(COLOURS)]
                axes.plot(history.times[shown], values[shown, k], color=colour, linewidth=1.2,
                          label=shortened(printable(names[k]), 16))  # fmt: skip
            _dress(axes, history, shown, f"{what} [{unit}]", unit)
            if row == 0:
                axes.axhline(0, color=QUIET, linewidth=0.4)
                axes.legend(fontsize=SMALL, frameon=False, loc="upper left", bbox_to_anchor=(1.0, 1.05))
        axes.set_xlabel("time", fontsize=SMALL + 0.5)
    return sheet.figure


def _beginning(history: FaultHistory) -> BoolArray:
    """The times of the first periods, or all of a step's."""
    period = min((w.period for w in history.transient.excitations if w), default=math.inf)
    end = min(float(history.times[-1]), PERIODS * period)
    return np.asarray((history.times <= end) & (history.resolved | math.isfinite(period)))


def _dress(axes: Axes, history: FaultHistory, shown: BoolArray, what: str, unit: str) -> None:
    times = history.times[shown]
    oscillates = any(math.isfinite(w.period) for w in history.transient.excitations if w)
    if not oscillates:
        axes.set_xscale("log")
        axes.set_yscale("log" if unit == "J/m" else "linear")
    axes.set_xlim(0.0 if oscillates else float(times[0]), float(times[-1]))
    axes.xaxis.set_major_formatter(EngFormatter("s", sep=" "))
    axes.yaxis.set_major_formatter(EngFormatter(unit, sep=" "))
    axes.set_title(what, fontsize=SMALL + 0.5, loc="left", pad=3)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def instants(history: FaultHistory) -> FloatArray:
    """Times at which the row of maps is drawn: over the first period, or evenly on a log scale, (5,) [s]."""
    period = min((w.period for w in history.transient.excitations if w), default=math.inf)
    if math.isfinite(period):
        return np.asarray(period * np.array([0.02, 0.1, 0.25, 0.5, 0.9]))
    return np.asarray(float(history.times[-1]) * np.geomspace(1e-4, 1, INSTANTS))


def density_row(fault: FaultCourse, title: str) -> Figure:
    """|J| at a few instants of the worst history, one scale for all."""
    times = instants(fault.worst)
    now = fault.worst.transient.at(times)
    section = now.transient.sweep.problem.section
    parts = with_mirrored(section.parts, section.crosses) if section.axial else section.parts
    window = whole_window(parts, 0.03).window
    aspect = float(np.divide(*np.ptp(window, axis=0)))
    width, columns = even_maps(aspect, len(times), MAPS, BESIDE, UNDER)
    height, rows = width / aspect, -(-len(times) // columns)
    scale = _scale(now)
    with own_style():
        subject = f"momentary current density |J| after the fault begins in {shortened(', '.join(fault.circuits), 40)}"
        wide = 2 * EDGE + columns * (width + BESIDE)
        sheet = BlankPage.of(title, subject, max(wide, 6.0), rows * (height + UNDER) + 1.63)
        for k, time in enumerate(times):
            row, column = divmod(k, columns)
            low = 1.05 + (rows - 1 - row) * (height + UNDER)
            axes = sheet.axes(EDGE + column * (width + BESIDE), low, width, height)
            _paint(axes, now, k, window, width, scale)
            drive = now.drive[k][[w is not None for w in now.transient.excitations]]
            caption(axes, f"{concise(float(time), 's', 3).replace(' u', ' µ')}: {amount(float(drive[0]), 'A', 3)}")
            if k == len(times) - 1:
                scale_bar(axes)
        bar = sheet.axes(EDGE, 0.3, 3.3, 0.13)
        colour_bar(bar, scale, DENSITY, "|J|, momentary [A/mm²]")
        note = f"above each map: time, and current of {shortened(fault.circuits[0], 30)}"
        sheet.lines([note], EDGE + 3.6, 0.36)
    return sheet.figure


def _scale(now: TimeSamples) -> Scale:
    """Of |J| at all instants together [A/mm2]."""
    values, areas = [], []
    for k in range(len(now.times)):
        flow = now.flow(k)
        d = flow.discretisation
        places, weights = quadrature(2 * d.order)
        metal = d.elements.metal
        values.append(1e-6 * np.abs(current_density(flow, metal, places)).ravel())
        areas.append((d.elements.measure(metal, places) * weights).ravel())
    return Scale.of(np.concatenate(values), np.concatenate(areas))


def _paint(axes: Axes, now: TimeSamples, number: int, window: FloatArray, width: float, scale: Scale) -> None:
    flow = now.flow(number)
    colours = ScalarMappable(scale.norm, DENSITY)
    pixel = float(window[1, 0] - window[0, 0]) / (width * DPI)
    patches = visible_patches(flow, flow.discretisation.elements.metal, window, pixel)
    paints = [(p.position, p.corners, np.asarray(colours.to_rgba(1e-6 * np.abs(density(flow, p))))) for p in patches]
    show(axes, painted(window, pixel, paints), window)
    outlines = surfaces(flow)
    if flow.problem.axial:
        outlines += [o.mirrored() for o in outlines]
        draw_axis(axes, boxes_of(flow.problem.section.parts), directions=False, said=not number)
    draw_outlines(axes, outlines, flow.problem.section.parts, 0.5)
