"""Map of the temperature of the metal."""

from __future__ import annotations

import numpy as np
from matplotlib.cm import ScalarMappable
from matplotlib.colorbar import Colorbar
from matplotlib.colors import LinearSegmentedColormap, Normalize
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

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
LISTED = 6  # conductors named in the notes


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
    inside = balance.field[np.isfinite(balance.field)]
    low, high = float(inside.min()), float(inside.max())
    room = max(0.0, LEAST - (high - low)) / 2
    colours = ScalarMappable(Normalize(low - room, high + room), WARMTH)
    hottest, place = balance.hottest
    worst = int(hottest.argmax())
    with own_style():
        page = lay_out(
            title, f"Temperature in air · {scene.at}", scene.views, lambda _: _notes(scene, state), zoomed=False
        )
        for panel, axes in page.panels:
            window = panel.view.window
            pixel = float(panel.view.extent[0]) / (panel.width * DPI)
            rows = np.arange(len(balance.conduction.elements.mesh.triangles))
            paints = [
                (p.position, p.corners, np.asarray(colours.to_rgba(
                    balance.conduction.elements.value(balance.field, p.rows, p.places).ravel()
                )))
                for p in visible_patches(scene.flow, rows, window, pixel, metal=True)
            ]  # fmt: skip
            show(axes, painted(window, pixel, paints), window)
            draw_outlines(axes, scene.outlines, scene.parts, 0.6)
            scale_bar(axes)
            caption(axes, panel.view.caption)
            ringed = panel.view.shows(place[worst])
            name_parts(scene.named, axes, place[worst] if ringed else None)
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
    order = np.argsort(-hottest)
    lines = []
    for k in order[:LISTED]:
        high = f"{state.hottest[k]:.0f}" if state.bounded else "no end"
        name = shortened(scene.conductors[k].name, 30)
        spread = float(np.ptp(balance.field[balance.conduction.unknowns_of(int(k))]))
        warm = f"{plain(float(hottest[k]), 3)} °C ({state.coldest[k]:.0f} to {high})"
        lines.append(f"{name}: {warm}, even to {spread:.2g} K")
    if len(order) > LISTED:
        lines.append(f"and {len(order) - LISTED} more, cooler")
    return [*lines, f"air {plain(balance.exchange.cooling.air)} °C; ring: the hottest point"]
