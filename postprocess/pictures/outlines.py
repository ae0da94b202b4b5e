"""A picture of outlines as they were found in a file, before anything is solved."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.inscribed import largest_inscribed_circle
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.shapes import Shape

from .axial import draw_axis
from .style import DENSITY, INK, LARGE, QUIET, SMALL, new_figure, own_style, printable, shortened, write

WIDTH, TALLEST, EDGE = 7.4, 7.0, 0.3  # of the figure and its margin [in]
NAMED = 60  # outlines that get their name


def draw_outlines(
    title: str, groups: Mapping[str, tuple[Shape, ...]], unit: str, *, axial: bool = False
) -> Figure:
    """All shapes on one scale, a colour for each group.

    Parameters
    ----------
    title : str
    groups : mapping of str to tuple of Shape
        Shapes by layer; [m] when the unit is "mm".
    unit : str
        What the axes count in.
    axial : bool
        Whether they go round an axis: drawn cut along it, with what is left of it.
    """
    factor = 1e3 if unit == "mm" else 1.0
    right, groups = groups, _with_left(groups) if axial else groups
    boxes = np.array([s.outer.bounds for shapes in groups.values() for s in shapes]).reshape(-1, 2, 2) * factor
    low, high = (boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)) if len(boxes) else (np.zeros(2), np.ones(2))
    span = np.maximum(high - low, 1e-3 * (high - low).max())
    height = float(np.clip(WIDTH * span[1] / span[0], 1.2, TALLEST)) + 1.3
    with own_style():
        figure = new_figure(WIDTH, height)
        write(figure, EDGE, height - 0.35, shortened(title, 80), fontsize=LARGE, fontweight="bold")
        subject = f"closed outlines in {unit}; each is named by its layer, region or conductor, and its number"
        write(figure, EDGE, height - 0.55, subject, fontsize=SMALL, color=QUIET)
        axes = figure.add_axes((0.55 / WIDTH, 0.45 / height, 1 - 0.85 / WIDTH, 1 - 1.15 / height))
        axes.set_aspect("equal", adjustable="box")
        room = 0.04 * span.max()
        axes.set_xlim(low[0] - room, high[0] + room)
        axes.set_ylim(low[1] - room, high[1] + room)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
        if axial:
            draw_axis(axes, list(boxes), directions=False)
            axes.set_xlabel(f"r [{unit}], right of the axis", fontsize=SMALL)
            axes.set_ylabel(f"z [{unit}]", fontsize=SMALL)
        few = sum(len(shapes) for shapes in right.values()) <= NAMED
        for k, (name, shapes) in enumerate(groups.items()):
            colour = DENSITY(0.2 + 0.5 * k / max(1, len(groups) - 1))
            for number, shape in enumerate(shapes, 1):
                axes.add_patch(PathPatch(_path(shape, factor), facecolor=colour, edgecolor=INK, linewidth=0.6))
                if few and number <= len(right[name]):
                    x, y = largest_inscribed_circle(shape.outer, shape.holes)[0] * factor
                    label = printable(name if len(right[name]) == 1 else f"{name}.{number}")
                    box = {"facecolor": "white", "edgecolor": "none", "alpha": 0.75, "pad": 1.0}
                    axes.text(x, y, shortened(label, 24), fontsize=SMALL, ha="center", va="center", bbox=box,
                              parse_math=False)  # fmt: skip
    return figure


def _with_left(groups: Mapping[str, tuple[Shape, ...]]) -> dict[str, tuple[Shape, ...]]:
    """With the mirror images of shapes that do not lie across the axis, after them."""
    return {
        name: (*shapes, *(s.mirrored(left_right=True) for s in shapes if s.outer.bounds[0, 0] > 0))
        for name, shapes in groups.items()
    }


def _path(shape: Shape, factor: float) -> Path:
    """Fine chords; the holes run the other way."""
    loops = [_chords(shape.outer), *(_chords(hole)[::-1] for hole in shape.holes)]
    points = np.concatenate([np.concatenate((loop, loop[:1])) for loop in loops]) * factor
    codes = [code for loop in loops for code in (Path.MOVETO, *[Path.LINETO] * (len(loop) - 1), Path.CLOSEPOLY)]
    return Path(points, codes)


def _chords(outline: Outline) -> FloatArray:
    pieces = np.maximum(1, np.ceil(np.abs(outline.sweeps) / np.radians(4))).astype(int)
    side = np.repeat(np.arange(len(pieces)), pieces)
    fraction = np.concatenate([np.arange(n) / n for n in pieces])
    return outline.at(side, fraction)[0]
