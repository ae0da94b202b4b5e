"""Pictures over frequency: curves of one circuit, and a row of small maps."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter, LogLocator, NullFormatter

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.postprocess.answers.units import concise, error_bar, in_mm_and_thou
from crosscurrent.postprocess.topics.sweep_curves import CORNER, SweepCurves
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.metals.depth import MU0

from .axial import boxes_of, draw_axis
from .kept import KeptCuts
from .light_axes import LightAxes
from .light_ticks import above, beside, decades, light_ticks, marks
from .metal_map import fill
from .panel_layout import even_maps
from .panels import scale_bar
from .scene import MetalScene
from .style import DENSITY, INK, LARGE, NORMAL, QUIET, SMALL, new_figure, own_style, plain, printable, shortened, write
from .unit_axis import unit_axis
from .views import whole_window

WIDTH, HEIGHT = 7.4, 6.4  # of the curves [in]
LEFT, RIGHT, TOP, FOOT, BETWEEN = 0.75, 0.62, 1.2, 1.4, 0.85  # [in]
LINES = ("#893553", "#2f6f8f", "#c98a2b", "#4c7d4a", "#6b4a8a", "#7a7a7a", "#b0503c", "#3f4f9f")
SCALES = "Current density |J| over frequency; each map from 0, palest, to its own figure, darkest; thin skins as a band"
FIGURE = 0.39  # room for a frequency under an axis [in]
FEW = 40  # points below which each is marked
ROOM = 0.1  # share of the axis of R that lies below direct current, whose name stands there
SLIGHT = 1e5  # times below the largest loss at which the axis of losses ends
SHOWN = 8  # conductors with a curve
MAPS, GAP, UNDER = (6.8, 4.0), 0.25, 0.5  # room for the maps, between them and for the words of a row [in]


def curves_figure(curves: SweepCurves, title: str) -> Figure:
    """R, L, loss and current share of one circuit against frequency, with the error band and the corner.

    Where every conductor carries the whole current, no share is drawn.
    """
    with own_style():
        figure = new_figure(WIDTH, HEIGHT)
        write(figure, 0.3, HEIGHT - 0.32, shortened(title, 80), fontsize=LARGE, fontweight="bold")
        ends = " to ".join(concise(float(f), "Hz", 3) for f in curves.frequency[[0, -1]])
        subject = f'circuit "{shortened(curves.circuit.name, 30)}", {ends} (loop, per metre, rms)'
        write(figure, 0.3, HEIGHT - 0.52, subject, fontsize=NORMAL, color=QUIET)
        across = (WIDTH - LEFT - RIGHT - BETWEEN - 0.45) / 2
        up = (HEIGHT - TOP - FOOT - BETWEEN) / 2
        places = [(LEFT + k * (across + BETWEEN + 0.3), FOOT + j * (up + BETWEEN)) for j in (1, 0) for k in (0, 1)]
        draws = (_resistance, _inductance, _losses, *((_shares,) if curves.is_shared else ()))
        for (x, y), draw in zip(places, draws, strict=False):
            wide = across if curves.is_shared or draw is not _losses else WIDTH - LEFT - RIGHT
            axes = figure.add_axes((x / WIDTH, y / HEIGHT, wide / WIDTH, up / HEIGHT), axes_class=LightAxes)
            draw(axes, curves)
            _frequencies(axes, curves, skin=y > FOOT)
            if curves.corner is not None:
                axes.axvline(curves.corner, color=QUIET, linewidth=0.8, linestyle=(0, (4, 3)), zorder=0)
            light_ticks(axes)
        _legend(figure, figure.axes[2], curves)
        widest = tuple(error_bar(bar) for bar in curves.widest)
        notes = f"shaded: error band, at most {widest[0]} of R and {widest[1]} of L"
        if curves.coupled:
            notes += "; R at the terminals, in sweep.csv, also counts power that passes between circuits"
        write(figure, 0.3, 0.36, notes, fontsize=SMALL, color=QUIET)
        write(figure, 0.3, 0.18, printable(_corner(curves)), fontsize=SMALL, color=QUIET)
    return figure


def _corner(curves: SweepCurves) -> str:
    if curves.terminal:
        return "it shares all its conductors: R at its terminals, here its size, also counts power from other circuits"
    if curves.corner is None:
        name, past = curves.resistance_name, np.abs(curves.resistance).min() > CORNER * curves.dc_resistance
        where = "passes 1.41 times its direct-current value below it" if past else "stays below 1.41 times that at rest"
        return f"no corner in this band: {name} {where}"
    first = curves.conductors[0]
    skin = in_mm_and_thou(first.material.skin_depth(curves.corner, first.temperature))
    where = f"where {curves.resistance_name} passes 1.41 times its direct-current value"
    return f"dashed: {concise(curves.corner, 'Hz', 3)}, {where}; skin {skin}"


def _resistance(axes: Axes, curves: SweepCurves) -> None:
    resistance, bar = np.abs(curves.resistance), curves.resistance_error
    rest = curves.dc_resistance
    scaled = unit_axis(axes, resistance, "ohm/m", "R")
    _banded(axes, curves.frequency, scaled(resistance), bar)
    unit = float(scaled(np.array(rest)))
    axes.axhline(unit, color=QUIET, linewidth=0.7)
    axes.annotate("direct current", (1, unit), xycoords=("axes fraction", "data"), xytext=(-2, -2),
                  textcoords="offset points", ha="right", va="top", fontsize=SMALL, color=QUIET,
                  bbox={"facecolor": "white", "linewidth": 0, "pad": 0.5})  # fmt: skip
    axes.set_yscale("log")
    low, high = axes.get_ylim()
    axes.set_ylim(min(low, unit * (unit / high) ** ROOM), high)  # the curve is above its line
    _decades(axes.yaxis, resistance)
    beside(axes, unit, decades(resistance), "R / R at direct current")
    whose = ", of its own losses" if curves.coupled else " at its terminals, size" if curves.terminal else ""
    _head(axes, f"resistance{whose}")


def _inductance(axes: Axes, curves: SweepCurves) -> None:
    inductance, bar = curves.of("inductance"), curves.of("inductance_error")
    scaled = unit_axis(axes, inductance, "H/m", "L")
    _banded(axes, curves.frequency, scaled(inductance), bar)
    low, high = float(scaled(inductance).min()), float(scaled(inductance).max())
    room = 0.08 * max(high - low, 1e-3 * abs(high))
    axes.set_ylim(low - room, high + 2.5 * room)
    _head(axes, "inductance")


def _losses(axes: Axes, curves: SweepCurves) -> None:
    losses, errors = curves.by_conductor("loss"), curves.by_conductor("loss_error")
    scaled = unit_axis(axes, np.concatenate(list(losses.values())), "W/m", "loss")
    lines = {n: (scaled(loss), errors[n]) for n, loss in losses.items()}
    _named(axes, curves, lines)
    axes.set_yscale("log")
    every = np.concatenate([values for values, _ in lines.values()])
    axes.set_ylim(bottom=max(axes.get_ylim()[0], float(every.max()) / SLIGHT))
    _decades(axes.yaxis, every)
    axes.set_title("loss of each conductor", fontsize=NORMAL, loc="left")


def _shares(axes: Axes, curves: SweepCurves) -> None:
    _named(axes, curves, {n: (100 * share, None) for n, share in curves.shares.items()})
    axes.set_ylim(0, 1.05 * max([100.0, *(100 * float(s.max()) for s in curves.shares.values())]))
    if not curves.shares:
        axes.text(0.5, 0.5, "all its conductors are shared", transform=axes.transAxes, ha="center", fontsize=SMALL)
    axes.set_ylabel("|I| over the circuit's [%]")
    axes.set_title("share of the current", fontsize=NORMAL, loc="left")


def _named(axes: Axes, curves: SweepCurves, lines: Mapping[str, tuple[FloatArray, FloatArray | None]]) -> None:
    """A line for each conductor, different dashes where lines may cover each other; of very many the hottest."""
    dashes = ("-", (0, (4, 2)), (0, (1, 1.5)), (0, (6, 2, 1, 2)))
    for k, name in enumerate(_hottest(curves)):
        if name not in lines:
            continue
        (values, errors), colour = lines[name], LINES[k % len(LINES)]
        axes.plot(curves.frequency, values, color=colour, linewidth=1.4, linestyle=dashes[k % len(dashes)],
                  label=printable(shortened(name, 18)))  # fmt: skip
        if errors is not None:
            axes.fill_between(curves.frequency, values * (1 - errors), values * (1 + errors), color=colour, alpha=0.3,
                              linewidth=0)  # fmt: skip


def _hottest(curves: SweepCurves) -> list[str]:
    """Conductors that get a curve: those with most loss at the upper end, in the order of the case."""
    losses = curves.by_conductor("loss")
    chosen = sorted(losses, key=lambda n: -float(losses[n][-1]))[:SHOWN]
    return [name for name in losses if name in chosen]


def _legend(figure: Figure, axes: Axes, curves: SweepCurves) -> None:
    """One for both panels, under them."""
    handles, labels = axes.get_legend_handles_labels()
    more = len(curves.by_conductor("loss")) - len(labels)
    legend = figure.legend(
        handles, labels, loc="lower left", bbox_to_anchor=(0.3 / WIDTH, 0.5 / HEIGHT), ncols=4, frameon=False,
        fontsize=SMALL, handlelength=2.6, borderaxespad=0, borderpad=0,
        title=f"and {more} with less loss" if more else None, title_fontsize=SMALL, alignment="left",
    )  # fmt: skip
    for text in legend.get_texts():
        text.set_parse_math(False)


def _banded(axes: Axes, frequency: FloatArray, values: FloatArray, bar: FloatArray) -> None:
    axes.fill_between(frequency, values * (1 - bar), values * (1 + bar), color=LINES[0], alpha=0.3, linewidth=0)
    axes.plot(frequency, values, color=LINES[0], linewidth=1.4, marker="." if len(values) < FEW else None)


def _decades(axis: object, values: FloatArray) -> None:
    axis.set_major_locator(LogLocator(subs=decades(values), numticks=20))  # type: ignore[attr-defined]
    axis.set_minor_formatter(NullFormatter())  # type: ignore[attr-defined]
    axis.set_major_formatter(FuncFormatter(lambda value, _: plain(value)))  # type: ignore[attr-defined]


def _head(axes: Axes, text: str) -> None:
    axes.annotate(
        text,
        (0, 1),
        xycoords="axes fraction",
        xytext=(5, -5),
        textcoords="offset points",
        va="top",
        fontsize=NORMAL,
        color=INK,
        bbox={"boxstyle": "square,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
    )


def _frequencies(axes: Axes, curves: SweepCurves, *, skin: bool) -> None:
    """Frequency below; above, where asked for, the skin depth that belongs to it."""
    axes.set_xscale("log")
    axes.set_xlim(float(curves.frequency[0]), float(curves.frequency[-1]))
    at = marks(*axes.get_xlim()).tolist()
    room = max(1, int(axes.get_position().width * WIDTH / FIGURE))
    named = set(at[:: -math.ceil(len(at) / room)]) if at else set()
    axes.xaxis.set_major_locator(FixedLocator(at))
    axes.xaxis.set_minor_formatter(NullFormatter())
    axes.xaxis.set_major_formatter(FuncFormatter(lambda value, _: concise(value, "Hz", 3) if value in named else ""))
    axes.tick_params(axis="x", labelsize=SMALL - 0.5)
    axes.grid(color=INK, alpha=0.07, linewidth=0.5)
    if not skin:
        return
    first = curves.conductors[0]
    sigma, mu = first.material.conductivity_at(first.temperature), MU0 * first.material.permeability
    constant = 1e3 / np.sqrt(np.pi * mu * sigma)  # mm sqrt(Hz)
    low, high = (constant / np.sqrt(axes.get_xlim()))[::-1].tolist()
    title = f"skin depth in {first.material.name} at {first.temperature:g} °C [mm]"
    above(axes, {float((constant / depth) ** 2): depth for depth in marks(low, high).tolist()}, title)


def maps_figure(solutions: Sequence[Solution], title: str) -> Figure:
    """Small maps of |J|, each from nothing to its own largest mean over a pixel, in the order given."""
    kept = KeptCuts()
    scenes = [MetalScene(solution, kept=kept) for solution in solutions]
    window = whole_window(scenes[0].named, 0.04).window
    aspect = float((window[1, 0] - window[0, 0]) / (window[1, 1] - window[0, 1]))
    width, columns = even_maps(aspect, len(scenes), MAPS, GAP, UNDER)
    tall, rows = width / aspect, -(-len(scenes) // columns)
    height = 0.75 + rows * (tall + UNDER) + 0.35
    with own_style():
        page = max(columns * (width + GAP) + GAP, 6.4)
        figure = new_figure(page, height)
        write(figure, GAP, height - 0.32, shortened(title, int(page / 0.1)), fontsize=LARGE, fontweight="bold")
        write(figure, GAP, height - 0.52, SCALES,
              fontsize=NORMAL, color=QUIET)  # fmt: skip
        for number, scene in enumerate(scenes):
            row, column = divmod(number, columns)
            left, low = GAP + column * (width + GAP), height - 0.75 - row * (tall + UNDER) - 0.25 - tall
            axes = figure.add_axes((left / page, low / height, width / page, tall / height), axes_class=LightAxes)
            colours = ScalarMappable(scene.scale.norm, DENSITY)
            fill(scene, axes, window, width, _painter(colours))
            axes.set_axis_off()
            if scene.axial:
                draw_axis(axes, boxes_of(scene.parts), directions=False, said=not number)
            label = f"{scene.at}: to {plain(scene.scale.high, 2)} A/mm²"
            write(figure, left, low + tall + 0.07, label, fontsize=SMALL)
            if number == len(scenes) - 1:
                scale_bar(axes)
    return figure


def _painter(colours: ScalarMappable) -> Callable[[ComplexArray], FloatArray]:
    return lambda j: np.asarray(colours.to_rgba(1e-6 * np.abs(j)))
