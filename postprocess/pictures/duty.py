"""Temperatures over one cycle of a duty."""

from __future__ import annotations

import itertools

import numpy as np
from matplotlib.figure import Figure

from crosscurrent.postprocess.answers.units import concise
from crosscurrent.postprocess.topics.duty import Course, duration, shown_times

from .cooling import WARMTH
from .page import BlankPage
from .style import INK, QUIET, SMALL, own_style, printable, shortened

SIZE = (7.0, 3.6)  # [in]
LISTED = 6  # curves


def cycle_plot(course: Course, title: str) -> Figure:
    """One curve for each of the hottest conductors, names at their ends; the time with current shaded."""
    cycle = course.cycle
    assert cycle is not None
    time, unit = shown_times(cycle)
    sought = np.array(course.sought)
    order = sought[np.argsort(-cycle.temperature.max(axis=0)[sought])][:LISTED]
    with own_style():
        current, at = concise(course.current, "A", 4), concise(course.frequency, "Hz")
        sheet = BlankPage.of(title, shortened(f"{course.name} · {current} · {course.times} · {at}", 95), *SIZE)
        axes = sheet.axes(0.6, 0.5, SIZE[0] - 1.7, SIZE[1] - 1.25)
        on = time[-1] * course.on / cycle.time[-1]
        axes.axvspan(0, on, color=WARMTH(0.0), linewidth=0, zorder=0)
        low, high = float(cycle.temperature[:, order].min()), float(cycle.temperature[:, order].max())
        margin = 0.08 * max(high - low, 1.0)
        axes.set_xlim(0, float(time[-1]))
        axes.set_ylim(low - margin, high + margin)
        places = apart([float(cycle.temperature[-1, k]) for k in order], 0.055 * (high - low + 2 * margin))
        for rank, (k, place) in enumerate(zip(order, places, strict=True)):
            colour = WARMTH(1 - 0.75 * rank / max(len(order) - 1, 1))
            axes.plot(time, cycle.temperature[:, k], color=colour, linewidth=1.3)
            name = shortened(printable(course.conductors[k].name), 14)
            axes.annotate(name, (float(time[-1]), place), xytext=(5, 0), textcoords="offset points", va="center",
                          fontsize=SMALL, color=INK, annotation_clip=False, parse_math=False)  # fmt: skip
        axes.annotate(f"current on: {duration(course.on)}", (0.02 * float(time[-1]), high + 0.4 * margin), va="center",
                      fontsize=SMALL, color=QUIET)  # fmt: skip
        axes.set_xlabel(f"time from switching on [{unit}]", fontsize=SMALL + 0.5)
        axes.set_ylabel("temperature [°C]", fontsize=SMALL + 0.5)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
    return sheet.figure


def apart(values: list[float], least: float) -> list[float]:
    """Falling values moved so that neighbours are at least so far from each other."""
    order = sorted(range(len(values)), key=lambda k: -values[k])
    placed = list(values)
    for above, below in itertools.pairwise(order):
        placed[below] = min(placed[below], placed[above] - least)
    return placed
