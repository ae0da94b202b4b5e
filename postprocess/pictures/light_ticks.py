"""Ticks as one row of marks: each as an object of its own, those of a log scale cost more than the curves."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

import numpy as np
from matplotlib import rcParams
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.markers import TICKDOWN, TICKLEFT, TICKRIGHT, TICKUP
from matplotlib.ticker import LogLocator, NullLocator
from matplotlib.transforms import Transform

from crosscurrent.geometries.arrays import FloatArray

from .style import QUIET, SMALL, plain

LABEL, DIGIT = 6.0, 0.64 * SMALL  # from an axis to its figures, and the width of one digit [pt]


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
        _marks(axes, axis.axis_name, at, 0.0, mark, "minor", transform)


def _marks(axes: Axes, name: str, at: FloatArray, side: float, mark: object, kind: str, transform: Transform) -> None:
    """A row of marks at places along an axis, on one side of the axes: 0 or 1."""
    settings = cast(Any, rcParams)
    look: dict[str, Any] = {
        "marker": mark, "markersize": settings[f"{name}tick.{kind}.size"], "color": settings[f"{name}tick.color"],
        "markeredgewidth": settings[f"{name}tick.{kind}.width"],
    }  # fmt: skip
    across = np.full(len(at), side)
    places = (at, across) if name == "x" else (across, at)
    axes.add_artist(Line2D(*places, transform=transform, linestyle="none", clip_on=False, zorder=2.01, **look))


def decades(values: FloatArray) -> tuple[int, ...]:
    """The digits that are marked in each decade of a log scale."""
    return (1, 2, 5) if np.abs(values).max() < 300 * max(np.abs(values).min(), 1e-300) else (1,)


def above(axes: Axes, places: Mapping[float, float], title: str) -> None:
    """Other values above a finished horizontal axis: what stands at its places, and what that is."""
    transform = axes.get_xaxis_transform()
    _marks(axes, "x", np.array(list(places)), 1.0, TICKUP, "major", transform)
    for place, value in places.items():
        axes.annotate(plain(value), (place, 1), xycoords=transform, xytext=(0, LABEL), textcoords="offset points",
                      ha="center", va="baseline", fontsize=SMALL, color=QUIET, annotation_clip=False)  # fmt: skip
    axes.annotate(title, (0.5, 1), xycoords="axes fraction", xytext=(0, LABEL + 1.15 * SMALL + 4.0),
                  textcoords="offset points", ha="center", va="baseline", fontsize=SMALL)  # fmt: skip


def beside(axes: Axes, unit: float, digits: tuple[int, ...], title: str) -> None:
    """A finished vertical log axis again on its right, in another unit."""
    low, high = (limit / unit for limit in sorted(axes.get_ylim()))
    transform = axes.get_yaxis_transform()
    ticks: dict[str, FloatArray] = {}
    for kind, subs in (("major", digits), ("minor", range(1, 10))):
        every = np.asarray(LogLocator(subs=subs, numticks=20).tick_values(low, high))
        ticks[kind] = every[(every >= low) & (every <= high)]
        _marks(axes, "y", ticks[kind] * unit, 1.0, TICKRIGHT, kind, transform)
    for value in ticks["major"].tolist():
        axes.annotate(plain(value), (1, value * unit), xycoords=transform, xytext=(LABEL, 0),
                      textcoords="offset points", ha="left", va="center_baseline", fontsize=SMALL, color=QUIET,
                      annotation_clip=False)  # fmt: skip
    longest = max((len(plain(v)) for v in ticks["major"].tolist()), default=0)
    axes.annotate(title, (1, 0.5), xycoords="axes fraction", xytext=(LABEL + DIGIT * longest + 2.0, 0), rotation=90,
                  textcoords="offset points", ha="left", va="center", fontsize=SMALL)  # fmt: skip
