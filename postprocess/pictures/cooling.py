"""Map of the temperature of the metal."""

from __future__ import annotations

import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.colorbar import Colorbar
from matplotlib.colors import LinearSegmentedColormap, Normalize
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.field_values import visible_patches
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.heat.ampacity import State

from .labels import name_parts
from .page import lay_out
from .panels import caption, draw_outlines, scale_bar
from .raster import painted, show
from .scene import Scene
from .style import DPI, INK, SMALL, own_style, plain, shortened

# lightness falls steadily from cool slate over straw to ember, so that it reads in grey
WARMTH = LinearSegmentedColormap.from_list(
    "crosscurrent.warmth", ["#e9eef0", "#b9ccd1", "#d9bf86", "#d98a4b", "#b24a2f", "#5f1720"]
)
LEAST = 1.0  # span of the colours [K]
HELD = (0.80, 0.80, 0.79, 1.0)  # what keeps its temperature
LISTED = 6  # conductors named in the notes
EVEN = 0.1  # finest difference told [K]


def temperature_map(solution: Solution, answers: Answers, state: State, title: str) -> Figure:
    """Temperature in every conductor, a ring at the hottest point.

    Parameters
    ----------
    solution : Solution
    answers : Answers
        Of the same solution.
    state : State
        The temperatures.
    title : str
        Of the case.
    """
    scene, balance = Scene(solution, answers, title), state.balance
    kept = balance.exchange.cooling.held
    sought = [k for k, c in enumerate(scene.conductors) if c.name not in kept]
    inside = np.concatenate([balance.field[balance.conduction.unknowns_of(k)] for k in sought])
    low, high = float(inside.min()), float(inside.max())
    room = max(0.0, LEAST - (high - low)) / 2
    colours = ScalarMappable(Normalize(low - room, high + room), WARMTH)
    hottest, place = balance.hottest
    worst = max(sought, key=lambda k: float(hottest[k]))

    def painting(rows: IntArray, places: FloatArray) -> FloatArray:
        found = np.asarray(colours.to_rgba(balance.conduction.elements.value(balance.field, rows, places)))
        found[~np.isin(balance.conduction.elements.mesh.part[rows], sought)] = HELD
        return np.asarray(found.reshape(-1, 4))

    with own_style():
        page = lay_out(
            title, f"Temperature in air · {scene.at}", scene.views, lambda _: _notes(scene, state), zoomed=False
        )
        for panel, axes in page.panels:
            window = panel.view.window
            pixel = float(panel.view.extent[0]) / (panel.width * DPI)
            rows = np.arange(len(balance.conduction.elements.mesh.triangles))
            paints = [
                (p.position, p.corners, painting(p.rows, p.places))
                for p in visible_patches(scene.flow, rows, window, pixel, metal=True)
            ]
            show(axes, painted(window, pixel, paints), window)
            draw_outlines(axes, scene.seen, scene.named, 0.6)
            scale_bar(axes)
            caption(axes, panel.view.caption)
            ringed = panel.view.shows(place[worst])
            name_parts(scene.named, axes, place[worst] if ringed else None, scene.marks, axial=scene.axial)
            scene.dress(axes)
            if ringed:
                for colour, line in (("white", 2.4), (INK, 0.9)):
                    axes.plot(*place[worst], marker="o", markersize=9, markerfacecolor="none", markeredgecolor=colour,
                              markeredgewidth=line, clip_on=False)  # fmt: skip
        bar = Colorbar(page.bar, colours, orientation="horizontal", ticks=MaxNLocator(5))
        bar.outline.set_linewidth(0.5)
        page.bar.set_title("temperature [°C]", fontsize=SMALL + 0.5, loc="left", pad=3)
    return page.figure


def _notes(scene: Scene, state: State) -> list[str]:
    balance = state.balance
    hottest = balance.hottest[0]
    names = [c.name for c in scene.conductors]
    held = [k for k, name in enumerate(names) if name in balance.exchange.cooling.held]
    order = [k for k in np.argsort(-hottest) if k not in held]
    lines = []
    for k in order[:LISTED]:
        high = f"{state.hottest[k]:.0f}" if state.bounded else "no end"
        name = shortened(scene.conductors[k].name, 30)
        spread = float(np.ptp(balance.field[balance.conduction.unknowns_of(int(k))]))
        low = f"{state.coldest[k]:.0f}"
        band = f" ({low} to {high})" if low != high else ""
        lines.append(f"{name}: {plain(float(hottest[k]), 3)} °C{band}, even to {max(spread, EVEN):.2g} K")
    if len(order) > LISTED:
        lines.append(f"and {len(order) - LISTED} more, cooler")
    lines += [f"{shortened(names[k], 30)}: held at {plain(float(balance.mean[k]))} °C (grey)" for k in held[:LISTED]]
    return [*lines, f"air {plain(balance.exchange.cooling.air)} °C; ring: the hottest point"]
