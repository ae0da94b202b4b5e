"""Map of the field around a section, with contours at stated levels."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LogNorm
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.ticker import FuncFormatter
from scipy.ndimage import distance_transform_edt

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.solver.field.probe import Probe
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.survey import Survey, in_metal

from .axial import boxes_of, draw_axis, with_mirrored
from .panels import scale_bar
from .style import FIELD, INK, LARGE, NORMAL, QUIET, SMALL, new_figure, own_style, plain, shortened, write

WIDE, TALL = 7.0, 5.2  # the map [in]
LEFT, HEAD, FOOT = 0.35, 0.75, 0.95  # [in]
ACROSS = 160  # points of the grid
MOST = 12.0  # widest window, in sizes of the section
BESIDE = 1.15  # times a level, below which another is named with it
METAL = "#cfc6b4"


def stray_field_map(solution: Solution, title: str, levels: Sequence[float], marks: Mapping[str, FloatArray]) -> Figure:
    """|B| around the section on a logarithmic scale, contours at levels [T], named points and lines (1 or 2, 2) [m]."""
    grid = _FieldGrid.of(solution, levels, [*marks.values()])
    tall = WIDE * float(np.ptp(grid.y) / np.ptp(grid.x))
    width, height = WIDE + 2 * LEFT, HEAD + tall + FOOT
    with own_style():
        page = new_figure(width, height)
        at = concise(solution.frequency, "Hz") if solution.frequency else "direct current"
        write(page, LEFT, height - 0.33, shortened(title, 80), fontsize=LARGE, weight="bold")
        subject = f"Flux density |B| around the section, rms · {at}"
        write(page, LEFT, height - 0.56, subject, fontsize=NORMAL, color=QUIET)
        axes = page.add_axes((LEFT / width, FOOT / height, WIDE / width, tall / height))
        (left, right), (bottom, top) = grid.x[[0, -1]], grid.y[[0, -1]]
        shown = axes.imshow(
            grid.strength, extent=(left, right, bottom, top), origin="lower", cmap=FIELD,
            norm=LogNorm(grid.low, grid.high), interpolation="bilinear", aspect="equal",
        )  # fmt: skip
        _contours(axes, grid, levels)
        section = solution.problem.section
        for part in with_mirrored(section.parts, section.crosses) if section.axial else section.parts:
            for outline in part.all_outlines:
                axes.add_patch(PathPatch(_path(outline), facecolor=METAL, edgecolor=INK, linewidth=0.6, zorder=3))
        beyond = _marks(axes, grid, marks)
        if beyond:
            write(page, LEFT, 0.28, shortened(f"beyond the map: {', '.join(beyond)}", 60), fontsize=SMALL)
        axes.set_xlim(left, right)
        axes.set_ylim(bottom, top)
        axes.set_xticks([])
        axes.set_yticks([])
        if section.axial:
            draw_axis(axes, boxes_of(section.parts))
        scale_bar(axes)
        bar = page.add_axes((0.56, 0.42 / height, 0.38, 0.12 / height))
        page.colorbar(shown, cax=bar, orientation="horizontal")
        bar.xaxis.set_major_formatter(FuncFormatter(lambda tesla, _: plain(1e6 * tesla)))
        bar.set_title("|B|, rms [µT]", fontsize=SMALL + 0.5, loc="left", pad=3)
        bar.tick_params(which="minor", length=0)
    return page


@dataclass(frozen=True, eq=False)
class _FieldGrid:
    """|B| on a grid around the section.

    Attributes
    ----------
    middle, half : (2,) float, float
        Middle and half width of the window [m].
    x, y : (ACROSS,) float
        [m]
    strength : (ACROSS, ACROSS) float
        Row by row from the bottom, carried on below the metal [T].
    low, high : float
        Ends of the scale of colours [T].
    """

    middle: FloatArray
    half: float
    x: FloatArray
    y: FloatArray
    strength: FloatArray
    low: float
    high: float

    @classmethod
    def of(cls, solution: Solution, levels: Sequence[float], marks: Sequence[FloatArray]) -> _FieldGrid:
        """The window that three sections fill, or the lowest of the levels [T], or the marks (1 or 2, 2) [m]."""
        probe, survey = Probe(solution.fine), Survey(solution)
        middle, half = _window(solution, probe, levels, marks)
        x = middle[0] + half * np.linspace(-1, 1, ACROSS)
        y = middle[1] + half * np.linspace(-1, 1, ACROSS) * TALL / WIDE
        grid = np.stack(np.meshgrid(x, y), axis=-1)
        places = survey.solved_places(grid.reshape(-1, 2))
        strength = np.maximum(probe.strength(places), 1e-300).reshape(grid.shape[:2])
        metal = in_metal(places, solution).reshape(grid.shape[:2])
        high, low = float(strength[~metal].max()), float(np.quantile(strength[~metal], 0.01))
        # the metal is drawn over: the air's colours and contours run on below it, else its edge would be ragged
        strength = strength[tuple(distance_transform_edt(metal, return_distances=False, return_indices=True))]
        low = min([max(low, high * 1e-6), *(0.7 * level for level in levels if level > high * 1e-6)])
        return cls(middle, half, x, y, strength, low, high)


def _contours(axes: Axes, grid: _FieldGrid, levels: Sequence[float]) -> None:
    """Lines at the levels that occur, each named at the top of its longest piece; such as lie side by side together."""
    drawn = sorted({level for level in levels if grid.strength.min() < level < grid.high})
    if not drawn:
        return
    lines = axes.contour(grid.x, grid.y, grid.strength, levels=drawn, colors=[INK], linewidths=0.9)
    longest = [max(level, key=lambda piece: float(np.ptp(piece, axis=0).sum())) for level in lines.allsegs]
    tops = {level: tuple(piece[piece[:, 1].argmax()]) for level, piece in zip(drawn, longest, strict=True)}
    named = _named(drawn)
    axes.clabel(lines, levels=list(named), fmt=named, fontsize=SMALL, inline=True, manual=[tops[one] for one in named])


def _named(levels: Sequence[float]) -> dict[float, str]:
    """Rising levels that are named, with their names; what is less than `BESIDE` times one is named with it.

    Examples
    --------
    >>> _named([2.7e-5, 2.73e-5, 1e-4])
    {2.7e-05: '27 µT, 27.3 µT', 0.0001: '100 µT'}
    """
    named: dict[float, str] = {}
    for level in levels:
        words = concise(level, "T", 3).replace(" u", " µ")
        last = next(reversed(named), None)
        if last is not None and level < BESIDE * last:
            named[last] += f", {words}"
        else:
            named[level] = words
    return named


def _marks(axes: Axes, grid: _FieldGrid, marks: Mapping[str, FloatArray]) -> list[str]:
    """Points and lines that lie in the window, with their names; the names of the others."""
    beyond = []
    for name, places in marks.items():
        if _half(places, grid.middle) > grid.half:
            beyond.append(name)
        else:
            axes.plot(*places.T, color=INK, marker="+", markersize=7, linestyle=(0, (4, 3)), linewidth=0.9, zorder=4)
            axes.annotate(
                shortened(name, 24), places[0], xytext=(4, 4), textcoords="offset points", fontsize=SMALL, zorder=4,
                bbox={"boxstyle": "round,pad=0.1", "fc": "white", "ec": "none", "alpha": 0.8},
            )  # fmt: skip
    return beyond


def _half(places: FloatArray, middle: FloatArray) -> float:
    """Half width of a window that shows them [m]."""
    return float((np.abs(places - middle) / (1.0, TALL / WIDE)).max()) / 0.97


def _window(
    solution: Solution, probe: Probe, levels: Sequence[float], marks: Sequence[FloatArray]
) -> tuple[FloatArray, float]:
    """Middle and half width [m]: three sections, or as far as the marks or the lowest level, within limits."""
    bounds = solution.problem.section.bounds
    middle, size = bounds.mean(axis=0), solution.problem.section.size
    if solution.problem.axial:
        middle, size = middle * (0.0, 1.0), max(size, 2 * float(bounds[1, 0]))
    half = 0.9 * size
    rays = np.array([[1.0, 0.0], [0.0, TALL / WIDE], [-1.0, 0.0], [0.0, -TALL / WIDE]])
    rays = rays[[0, 1, 3]] if solution.problem.axial else rays
    lowest = min(levels, default=np.inf)
    while half < MOST * size / 2 and probe.strength(middle + 0.95 * half * rays).max() > lowest:
        half *= 1.15
    asked = (_half(places, middle) for places in marks)
    return middle, max([half, *(1.02 * far for far in asked if 1.02 * far <= MOST * size / 2)])


def _path(outline: Outline) -> Path:
    places = outline.at(np.arange(len(outline.points))[:, None], np.arange(32) / 32)[0].reshape(-1, 2)
    return Path(np.concatenate((places, places[:1])))
