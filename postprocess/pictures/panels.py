"""What is drawn over a painted panel: outlines, names, captions, scale bars."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import LineCollection
from matplotlib.patches import PathPatch
from matplotlib.path import Path

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.part import Part
from crosscurrent.postprocess.answers.field_values import OutlineSurface

from .panel_layout import CELL
from .style import DPI, INK, QUIET, SMALL, length_text, printable, round_below, shortened

SHOWN = 6  # pixels of a coat above which its inner boundary is drawn
UNDER, SECOND = 0.09, 0.15  # a scale bar below its map, and the next one below that [in]
NARROW = 0.055  # mean width of a letter of a caption [in]


def inches_wide(axes: Axes) -> float:
    """Width of an axes on the page [in]."""
    return float(axes.get_window_extent().width) / DPI


def draw_outlines(axes: Axes, outlines: Sequence[OutlineSurface], parts: Sequence[Part], line: float) -> None:
    """Surfaces of the conductors, and the base metal under coats that can be seen."""
    for outline in outlines:
        _drawn(axes, outline.position, line, closed=outline.closed)
    left, right = axes.get_xlim()
    pixel = (right - left) / (inches_wide(axes) * DPI)
    for part in parts:
        if part.coats and sum(part.coats) > SHOWN * pixel:
            base = part.shape.outer
            places = base.at(np.arange(len(base.points))[:, None], np.arange(64) / 64)[0]
            _drawn(axes, places.reshape(-1, 2), 0.35)


def _drawn(axes: Axes, places: FloatArray, line: float, *, closed: bool = True) -> None:
    chain = Path(np.concatenate((places, places[:1])) if closed else places)
    axes.add_artist(PathPatch(chain, fill=False, edgecolor=INK, linewidth=line))


def draw_levels(axes: Axes, lines: Iterable[tuple[FloatArray, bool]]) -> None:
    """Level lines over a map, those without room as hairlines."""
    window = axes.get_xlim(), axes.get_ylim()
    found = list(lines)
    for wide, look in ((False, {"linewidths": 0.15, "alpha": 0.4}), (True, {"linewidths": 0.45})):
        pieces = [piece for piece, room in found if room == wide]
        axes.add_collection(LineCollection(pieces, colors=INK, **look), autolim=False)
    axes.set(xlim=window[0], ylim=window[1])


def caption(axes: Axes, text: str, brief: str = "") -> None:
    """A line above a panel; the brief one where the other finds no room."""
    if text:
        letters = int(max(inches_wide(axes), CELL) / NARROW)
        shown = shortened(printable(brief if brief and len(text) > letters else text), letters)
        axes.set_title(shown, fontsize=SMALL, loc="left", pad=3, color=QUIET, parse_math=False)


def scale_bar(axes: Axes) -> None:
    """A bar of a round length under the lower left corner of a map."""
    left, right = axes.get_xlim()
    inches = inches_wide(axes)
    length = round_below(max(0.25, 0.5 / inches) * (right - left))
    _bar(axes, left, length, length_text(length), UNDER)


def skin_bar(axes: Axes, skin: float, metal: str) -> None:
    """A bar of a skin depth [m] under the scale bar, if the map is wide enough for it and its name."""
    left, right = axes.get_xlim()
    if skin < right - left:
        letters = int((inches_wide(axes) * (1 - skin / (right - left))) / NARROW)
        depth = length_text(skin)
        texts = (f"skin depth in {metal}: {depth}", f"skin depth {depth}", "skin depth")
        fitting = [text for text in texts if len(text) < letters]
        if fitting:
            _bar(axes, left, skin, fitting[0], UNDER + SECOND)


def _bar(axes: Axes, start: float, length: float, text: str, below: float) -> None:
    limits = axes.get_xlim()
    under = axes.get_xaxis_transform()
    y = -below * DPI / float(axes.get_window_extent().height)
    axes.plot(
        [start, start + length], [y, y], linewidth=2.0, solid_capstyle="butt", color=INK, transform=under,
        clip_on=False,
    )  # fmt: skip
    axes.annotate(
        text, (start + length, y), xycoords=under, xytext=(4, 0), textcoords="offset points", va="center",
        fontsize=SMALL, annotation_clip=False,
    )  # fmt: skip
    axes.set_xlim(*limits)
