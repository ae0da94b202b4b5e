"""Minor ticks as one row of marks: each as an object of its own, those of a log scale cost more than the curves."""

from __future__ import annotations

from typing import Any, cast

import numpy as np
from matplotlib import rcParams
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.markers import TICKDOWN, TICKLEFT
from matplotlib.ticker import NullLocator


def light_ticks(axes: Axes) -> None:
    """Draw the minor ticks of both axes, without labels, where they stand now; limits may not change after that."""
    for axis, mark, transform in (
        (axes.xaxis, TICKDOWN, axes.get_xaxis_transform()),
        (axes.yaxis, TICKLEFT, axes.get_yaxis_transform()),
    ):
        low, high = sorted(axis.get_view_interval())
        every = np.asarray(axis.get_minorticklocs(), dtype=float)
        at = every[(every >= low) & (every <= high)]
        axis.set_minor_locator(NullLocator())
        if not len(at):
            continue
        name, settings = axis.axis_name, cast(Any, rcParams)
        look: dict[str, Any] = {
            "marker": mark, "markersize": settings[f"{name}tick.minor.size"], "color": settings[f"{name}tick.color"],
            "markeredgewidth": settings[f"{name}tick.minor.width"],
        }  # fmt: skip
        places = (at, np.zeros(len(at))) if name == "x" else (np.zeros(len(at)), at)
        axes.add_artist(Line2D(*places, transform=transform, linestyle="none", clip_on=False, zorder=2.01, **look))
