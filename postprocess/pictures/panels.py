"""What is drawn over a painted panel: outlines, names, captions, scale bars."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from ...geometries.outline import FloatArray
from ...geometries.section import Part
from ..samples import Surface
from .arrange import CELL
from .style import DPI, INK, QUIET, SMALL, length_text, printable, round_below, shortened

SHOWN = 6  # pixels of a coat above which its inner boundary is drawn
LETTER = 0.075  # room for a letter of a name [in]
NARROW = 0.055  # mean width of a letter of a caption [in]


def inches_wide(axes: Axes) -> float:
    """Width of an axes on the page [in]."""
    return float(axes.get_window_extent().width) / DPI


def draw_outlines(axes: Axes, outlines: Sequence[Surface], parts: Sequence[Part], line: float) -> None:
    """Surfaces of the conductors, and the base metal under coats that can be seen."""
    for outline in outlines:
        _closed(axes, outline.position, line)
    left, right = axes.get_xlim()
    pixel = (right - left) / (inches_wide(axes) * DPI)
    for part in parts:
        if part.coats and sum(part.coats) > SHOWN * pixel:
            base = part.shape.outer
            places = base.at(np.arange(len(base.points))[:, None], np.arange(64) / 64)[0]
            _closed(axes, places.reshape(-1, 2), 0.35)


def _closed(axes: Axes, places: FloatArray, line: float) -> None:
    chain = Path(np.concatenate((places, places[:1])))
    axes.add_patch(PathPatch(chain, fill=False, edgecolor=INK, linewidth=line))


def caption(axes: Axes, text: str) -> None:
    """A line above a panel."""
    if text:
        letters = int(max(inches_wide(axes), CELL) / NARROW)
        shown = shortened(printable(text), letters)
        axes.set_title(shown, fontsize=SMALL, loc="left", pad=3, color=QUIET, parse_math=False)


def name_parts(parts: Sequence[Part], axes: Axes) -> None:
    """Names of the parts that have room for them."""
    window = np.array([axes.get_xlim(), axes.get_ylim()]).T
    per_metre = inches_wide(axes) / float(window[1, 0] - window[0, 0])
    for part in parts:
        box = part.shape.outer.bounds
        seen = np.array([np.maximum(box[0], window[0]), np.minimum(box[1], window[1])])
        room = (seen[1] - seen[0]) * per_metre
        if room[0] > LETTER * len(part.name) + 0.1 and room[1] > 0.18:
            x, y = map(float, seen.mean(axis=0))
            axes.text(
                x, y, printable(part.name), ha="center", va="center", fontsize=SMALL, parse_math=False,
                bbox={"boxstyle": "round,pad=0.2", "facecolor": "white", "edgecolor": "none", "alpha": 0.75},
            )  # fmt: skip


def scale_bar(axes: Axes, *, skin: float = np.inf) -> None:
    """A bar of a round length under the lower left corner of a map, and beside it one of a skin depth [m]."""
    left, right = axes.get_xlim()
    inches = inches_wide(axes)
    length = round_below(max(0.25, 0.5 / inches) * (right - left))
    _bar(axes, left, length, length_text(length))
    start = left + 0.62 * (right - left)
    if start + skin < right:
        _bar(axes, start, skin, "skin depth")
    axes.set_xlim(left, right)


def _bar(axes: Axes, start: float, length: float, text: str) -> None:
    under = axes.get_xaxis_transform()
    y = -0.09 * DPI / float(axes.get_window_extent().height)
    axes.plot(
        [start, start + length], [y, y], linewidth=2.0, solid_capstyle="butt", color=INK, transform=under,
        clip_on=False,
    )  # fmt: skip
    axes.annotate(
        text, (start + length, y), xycoords=under, xytext=(4, 0), textcoords="offset points", va="center",
        fontsize=SMALL, annotation_clip=False,
    )  # fmt: skip
