"""Where copper earns its money: outlines whose colour says what moving each wall outward does to the loss."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.cm import ScalarMappable
from matplotlib.collections import LineCollection
from matplotlib.colorbar import Colorbar
from matplotlib.colors import LinearSegmentedColormap, Normalize
from matplotlib.figure import Figure
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.ticker import FuncFormatter

from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.field.wall_gains import WallGains

from .axial import FLIP, boxes_of, draw_axis, views, with_mirrored
from .labels import name_parts
from .page import lay_out
from .panels import caption, scale_bar
from .scale import Scale
from .style import QUIET, SMALL, own_style, plain
from .views import group_windows

MARGIN = 0.06  # of air around the conductors
GROWN = 1e-4  # by which a wall is moved [m]
PER = 1e-3  # length of wall that the figures are for [m]
WIDE = 3.2  # of the outlines [pt]
GAIN = LinearSegmentedColormap.from_list(
    "crosscurrent.gain", ["#1f3f77", "#4f8dbd", "#b9d3df", "#e6e2da", "#efb98f", "#c0503c", "#6b1d33"]
)


def wall_picture(
    found: WallGains, parts: Sequence[Part], title: str, subject: str, crosses: Sequence[bool] | None = None
) -> Figure:
    """Outlines in the colour of what a tenth of a millimetre more metal does to the loss.

    Parameters
    ----------
    found : WallGains
    parts : sequence of Part
    title, subject : str
        Of the case; at which frequency.
    crosses : sequence of bool, optional
        Round an axis: which parts lie on it. The left half is the mirror image of the right one.
    """
    shown_parts = parts if crosses is None else with_mirrored(parts, crosses)
    shown = GROWN * PER * found.gain
    steps = np.diff(found.places, axis=1)
    scale = Scale.of(np.abs(shown).ravel(), np.hypot(steps[..., 0], steps[..., 1]).ravel())
    norm = Normalize(-scale.high, scale.high, clip=True)
    pieces = np.stack((found.places[:, :-1], found.places[:, 1:]), axis=2).reshape(-1, 2, 2)
    if crosses is not None:
        pieces, shown = np.concatenate((pieces, pieces * FLIP)), np.concatenate((shown, shown))
    notes = ["blue: metal added there lowers the loss of all conductors; red: it raises it",
             "the currents are kept; where the wall is plated, its last layer grows"]  # fmt: skip
    with own_style():
        windows = group_windows(parts, MARGIN) if crosses is None else views(shown_parts, len(parts), MARGIN)
        page = lay_out(title, subject, windows, lambda panels: notes, zoomed=False)
        for panel, axes in page.panels:
            window = panel.view.window
            axes.set(xlim=window[:, 0], ylim=window[:, 1], xticks=[], yticks=[])
            axes.set_aspect("equal")
            for part in shown_parts:  # those of strands as a medium have no metal to add to
                _outlined(axes, part)
            lines = LineCollection(list(pieces), cmap=GAIN, norm=norm, linewidths=WIDE, capstyle="round")
            lines.set_array(shown.ravel())
            axes.add_collection(lines, autolim=False)
            if crosses is not None:
                draw_axis(axes, boxes_of(shown_parts))
            scale_bar(axes)
            caption(axes, panel.view.caption)
            name_parts(shown_parts, axes, axial=crosses is not None)
        bar = Colorbar(
            page.bar, ScalarMappable(norm, GAIN), orientation="horizontal", ticks=[-scale.high, 0.0, scale.high],
            extend="both" if scale.clipped else "neither", extendfrac=0.03, format=FuncFormatter(lambda t, _: plain(t)),
        )  # fmt: skip
        bar.outline.set_linewidth(0.5)
        page.bar.set_title("loss gained [W/m per mm of wall]", fontsize=SMALL + 0.5, loc="left", pad=3)
    return page.figure


def _outlined(axes: Axes, part: Part) -> None:
    base = part.shape.outer
    places = base.at(np.arange(len(base.points))[:, None], np.arange(64) / 64)[0].reshape(-1, 2)
    axes.add_artist(PathPatch(Path(places, closed=True), fill=False, edgecolor=QUIET, linewidth=0.5))
