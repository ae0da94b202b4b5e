"""Ticks as one row of marks: each as an object of its own, those of a log scale cost more than the curves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, cast

import numpy as np
from matplotlib import rcParams
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.markers import TICKDOWN, TICKLEFT, TICKRIGHT, TICKUP
from matplotlib.ticker import NullLocator
from matplotlib.transforms import Transform

from crosscurrent.geometries.arrays import FloatArray

from .style import QUIET, SMALL, plain

FINER = (1, 2, 5), (1, 1.5, 2, 3, 5, 7), (1, 1.2, 1.5, 2, 2.5, 3, 4, 5, 6, 8), tuple(0.1 * k for k in range(10, 100))
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


def marks(low: float, high: float, digits: Sequence[float] = (1,)) -> FloatArray:
    """Round values between two: some digits of every decade, or finer ones where these are not two.

    Examples
    --------
    >>> marks(3.0, 2000.0).tolist(), marks(190.0, 900.0).tolist(), marks(2.2, 4.6).tolist()
    ([10.0, 100.0, 1000.0], [200.0, 500.0], [2.5, 3.0, 4.0])
    """
    decade = 10.0 ** np.arange(np.floor(np.log10(low)), np.ceil(np.log10(high)) + 1)
    found = np.zeros(0)
    for chosen in (digits, *FINER):
        every = np.round(decade[:, None] * np.array(chosen), 12).ravel()
        found = every[(every >= low * (1 - 1e-9)) & (every <= high * (1 + 1e-9))]
        if len(found) > 1:
            break
    return np.asarray(found)


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
    values = marks(low, high, digits).tolist()
    _marks(axes, "y", np.array(values) * unit, 1.0, TICKRIGHT, "major", transform)
    _marks(axes, "y", marks(low, high, range(1, 10)) * unit, 1.0, TICKRIGHT, "minor", transform)
    for value in values:
        axes.annotate(plain(value), (1, value * unit), xycoords=transform, xytext=(LABEL, 0),
                      textcoords="offset points", ha="left", va="center_baseline", fontsize=SMALL, color=QUIET,
                      annotation_clip=False)  # fmt: skip
    longest = max((len(plain(v)) for v in values), default=0)
    axes.annotate(title, (1, 0.5), xycoords="axes fraction", xytext=(LABEL + DIGIT * longest + 2.0, 0), rotation=90,
                  textcoords="offset points", ha="left", va="center", fontsize=SMALL)  # fmt: skip
