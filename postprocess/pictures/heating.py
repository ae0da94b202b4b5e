"""A work piece heated in time: its temperatures over time, and a map of them at the end, cut along the axis."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.colorbar import Colorbar
from matplotlib.colors import Normalize
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.field_values import visible_patches
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.postprocess.topics.duty import duration
from crosscurrent.postprocess.topics.heating import HeatingAnswer

from .axial import boxes_of, draw_axis
from .cooling import LEAST, WARMTH
from .duty import apart
from .page import BlankPage
from .raster import painted, show
from .style import DPI, INK, QUIET, SMALL, own_style, shortened

SIZE = (7.4, 4.0)  # [in]
MAP = (2.1, 2.5)  # largest map [in]
CURVES = {
    "hottest": ("hottest", WARMTH(0.95), "-"), "surface": ("all faces", WARMTH(0.8), "-."), "mean": ("mean", INK, "--"),
    "core": ("core", WARMTH(0.6), "-"),
}  # fmt: skip
AROUND = 0.06  # of a map, beside the piece
STEPS = 16  # chords of each side of an outline


def heating_picture(answer: HeatingAnswer, title: str) -> Figure:
    """Curves of the hottest point, all faces, mean and core on the left, the map at the end on the right.

    Parameters
    ----------
    answer : HeatingAnswer
        That was followed to its end.
    title : str
        Of the case.
    """
    first, last = (engineering(power, "W", 3) for power in answer.power)
    power = first if first == last else f"{first} to {last}"
    with own_style():
        subject = f"Heating of {answer.name} · {power} · {answer.at}"
        sheet = BlankPage.of(title, shortened(subject, 95), *SIZE)
        _curves(sheet.axes(0.62, 0.5, 3.55, SIZE[1] - 1.25), answer)
        window = _window(answer)
        wide, high = (float(v) for v in window[1] - window[0])
        scale = min(MAP[0] / wide, MAP[1] / high)
        left = 5.0 + (MAP[0] - wide * scale) / 2
        axes = sheet.axes(left, 0.72 + (MAP[1] - high * scale) / 2, wide * scale, high * scale)
        colours = _map(axes, answer, window, wide / (wide * scale * DPI))
        bar = Colorbar(sheet.axes(5.0, 0.5, MAP[0], 0.11), colours, orientation="horizontal", ticks=MaxNLocator(4))
        bar.outline.set_linewidth(0.5)
        bar.ax.set_xlabel(f"temperature [°C] after {duration(answer.run.duration)}", fontsize=SMALL)
    return sheet.figure


def _curves(axes: Axes, answer: HeatingAnswer) -> None:
    last = float(answer.time[-1])
    unit, size = ("h", 3600.0) if last >= 7200 else ("min", 60.0) if last >= 120 else ("s", 1.0)
    time = answer.time / size
    low = min(float(answer.courses[name].min()) for name in CURVES)
    high = max(max(float(answer.courses[name].max()) for name in CURVES), low + LEAST)
    margin = 0.06 * (high - low)
    told = {words: (float(answer.courses[name][-1]), INK) for name, (words, _, _) in CURVES.items()}
    for name, (_, colour, line) in CURVES.items():
        axes.plot(time, answer.courses[name], color=colour, linestyle=line, linewidth=1.3)
    if answer.until is not None and low < answer.until < high:
        axes.axhline(answer.until, color=QUIET, linewidth=0.6, linestyle=(0, (4, 3)), zorder=0)
        told["until"] = answer.until, QUIET
    ends = sorted(((value, words, colour) for words, (value, colour) in told.items()), reverse=True)
    places = apart([value for value, _, _ in ends], 0.06 * (high - low + 2 * margin))
    for (value, words, colour), place in zip(ends, places, strict=True):
        axes.annotate(f"{words} {value:.0f}", (float(time[-1]), place), xytext=(4, 0), va="center",
                      textcoords="offset points", fontsize=SMALL, color=colour, annotation_clip=False)  # fmt: skip
    axes.set_xlim(0, float(time[-1]))
    axes.set_ylim(low - margin, high + margin)
    axes.set_xlabel(f"time [{unit}]", fontsize=SMALL + 0.5)
    axes.set_ylabel("temperature [°C]", fontsize=SMALL + 0.5)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)


def _window(answer: HeatingAnswer) -> FloatArray:
    """Around both halves of the piece [m]."""
    assert answer.found is not None
    (_, low), (right, high) = answer.found.surface.part.bounds
    room = AROUND * max(2 * right, high - low)
    return np.array([[-right - room, low - room], [right + room, high + room]])


def _map(axes: Axes, answer: HeatingAnswer, window: FloatArray, pixel: float) -> ScalarMappable:
    assert answer.found is not None
    piece = answer.run.piece
    field = np.full(piece.elements.count, np.nan)
    field[piece.unknowns] = answer.run.temperatures(np.array([answer.run.duration]))[0]
    low, high = float(np.nanmin(field)), float(np.nanmax(field))
    room = max(0.0, LEAST - (high - low)) / 2
    colours = ScalarMappable(Normalize(low - room, high + room), WARMTH)
    flow = answer.found.solutions[0][1].fine
    paints = [
        (p.position, p.corners, np.asarray(colours.to_rgba(piece.elements.value(field, p.rows, p.places).ravel())))
        for p in visible_patches(flow, piece.rows, window, pixel, metal=True)
    ]
    show(axes, painted(window, pixel, paints), window)
    part = answer.found.surface.part
    for shape in (part.shape, *part.pieces):
        for outline in (shape.outer, *shape.holes):
            chain = outline.at(np.arange(len(outline.points))[:, None], np.arange(STEPS) / STEPS)[0].reshape(-1, 2)
            for sign in (1.0, -1.0):
                axes.plot(*(np.concatenate((chain, chain[:1])) * (sign, 1.0)).T, color=INK, linewidth=0.6)
    draw_axis(axes, boxes_of([part]))
    axes.set_title(f"cut along the axis, {concise(2 * float(part.bounds[1][0]) * 1e3, 'mm', 4)} across",
                   fontsize=SMALL, loc="left", pad=17, color=QUIET)  # fmt: skip
    return colours
