"""The trade-off of two aims: all designs, and those that no other beats in both."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.transforms import Bbox

from crosscurrent.geometries.arrays import FloatArray

from ..light_ticks import light_ticks
from ..panel_layout import EDGE
from ..style import DPI, INK, POINTS, SMALL, own_style, shortened
from .data import DesignAt, DesignGroup, StudyDesigns, StudyScale
from .looks import LETTER, LINES, SHAPES, SHOWN, WIDTH, counted, named, page_of, plain_frame, say_nothing, tally
from .scales import ShownScale, brief

TALL, LEFT, BESIDE, ABOVE, UNDER = 4.2, 0.85, 1.6, 0.1, 0.45  # [in]
LABELS, TRIED = 7, 20  # designs of the front that are labelled, and that are tried
NEAR = 4.0  # of a label to a dot that it would touch [pixels]
MANY, DENSE = 300, 20  # designs, and those of the front, above which dots are smaller
EIGHT = ((-1, -1), (1, 1), (-1, 0), (0, -1), (1, 0), (0, 1), (1, -1), (-1, 1))
AROUND = tuple((a * dx, a * dy) for a in (9, 18, 30) for dx, dy in EIGHT)  # of a label from its design [pt]

ACROSS, UP = {-1: "right", 0: "center", 1: "left"}, {-1: "top", 0: "center", 1: "bottom"}  # of a label, by the side


def front_figure(designs: StudyDesigns, front: Sequence[DesignAt], title: str, subject: str) -> Figure:
    """All designs by two figures, with the front of those that keep every limit and that none beats in both.

    Parameters
    ----------
    designs : StudyDesigns
        Of whose figures the first two are drawn, across and up.
    front : sequence of DesignAt
    title, subject : str

    Examples
    --------
    >>> from crosscurrent.postprocess.pictures.study.data import DesignGroup
    >>> gap = np.array([[1e-3], [2e-3], [4e-3]])
    >>> figures = np.array([[90.0, 3.0], [80.0, 4.0], [85.0, 5.0]])
    >>> group = DesignGroup("", gap, figures, 0 * figures, np.zeros((3, 0)))
    >>> scales = StudyScale("loss", "W/m"), StudyScale("mass", "kg/m")
    >>> designs = StudyDesigns((group,), (StudyScale("gap", "m"),), scales)
    >>> figure = front_figure(designs, [DesignAt(0, 0), DesignAt(0, 1)], "Feed", "85 kHz")
    >>> sorted(text.get_text() for text in figure.axes[0].texts)
    ['1 mm', '2 mm']
    """
    groups = designs.groups
    every = np.stack([designs.column("figures", k) for k in (0, 1)], axis=1)
    across, up = (ShownScale.of(scale, every[:, k]) for k, scale in enumerate(designs.figures[:2]))
    wide = WIDTH - LEFT - (BESIDE if any(g.name for g in groups) else EDGE)
    with own_style():
        page, foot = page_of(title, subject, ABOVE + TALL + UNDER, _notes(designs, front))
        axes = page.axes(LEFT, foot + UNDER, wide, TALL)
        across.along(axes.xaxis, every[:, 0])
        up.along(axes.yaxis, every[:, 1])
        axes.set_xlabel(across.title(int(wide / LETTER)), fontsize=SMALL + 0.5)
        axes.set_ylabel(up.title(int(TALL / LETTER)), fontsize=SMALL + 0.5)
        plain_frame(axes)
        light_ticks(axes)
        if not np.isfinite(every).all(axis=1).any():
            say_nothing(axes, "no design has both figures")
            return page.figure
        _designs(axes, groups, across, up)
        ordered = sorted(front, key=lambda at: float(groups[at.group].figures[at.row, 0]))
        found = np.array([groups[at.group].figures[at.row, :2] for at in ordered]).reshape(-1, 2)
        x, y = across.in_unit(found[:, 0]), up.in_unit(found[:, 1])
        axes.plot(x, y, color=INK, linewidth=1.1, marker="o", zorder=3, gid="front",
                  markersize=3.5 if len(front) < DENSE else 2)  # fmt: skip
        dots = np.stack([across.in_unit(every[:, 0]), up.in_unit(every[:, 1])], axis=1)
        dots = axes.transData.transform(dots[np.isfinite(dots).all(axis=1)])
        words = [_label_words(groups[at.group], at.row, designs.varied) for at in ordered]
        _label(axes, np.stack([x, y], axis=1), words, dots)
    return page.figure


def _notes(designs: StudyDesigns, front: Sequence[DesignAt]) -> list[str]:
    total, broken, faulty = tally(designs)
    told = f"{counted(total, 'design')}, {len(front)} on the front (dark line: none is better in both)"
    notes = [told if front else f"{counted(total, 'design')}, none on a front"]
    if broken:
        notes.append(f"hollow: breaks a limit, {counted(broken, 'design')}")
    if faulty:
        notes.append(f"not drawn: {counted(faulty, 'design')} with a fault, without figures")
    if front and designs.varied:
        notes.append("labels: " + ", ".join(scale.label for scale in designs.varied))
    if len(designs.groups) > SHOWN:
        notes.append(f"alternatives from the {SHOWN}th on share a mark")
    return notes


def _designs(axes: Axes, groups: Sequence[DesignGroup], across: ShownScale, up: ShownScale) -> None:
    """Pale marks, one shape and colour for each alternative; their names beside."""
    size = 4.5 if sum(len(g.values) for g in groups) < MANY else 2.2
    for k, group in enumerate(groups):
        look = min(k, SHOWN - 1)
        x, y = across.in_unit(group.figures[:, 0]), up.in_unit(group.figures[:, 1])
        for which, face, gid in ((~group.broken, LINES[look], "kept"), (group.broken, "none", "broken")):
            axes.plot(x[which], y[which], linestyle="none", marker=SHAPES[look], markersize=size, color=LINES[look],
                      markerfacecolor=face, markeredgewidth=0.6, alpha=0.45, gid=gid)  # fmt: skip
        if group.name and k < SHOWN:
            name = "others" if k == SHOWN - 1 < len(groups) - 1 else named(group, 22)
            axes.plot([], [], linestyle="none", marker=SHAPES[look], markersize=4.5, color=LINES[look], label=name)
    if any(g.name for g in groups):
        legend = axes.legend(loc="upper left", bbox_to_anchor=(1.01, 1.0), frameon=False, fontsize=SMALL,
                             handletextpad=0.2, borderaxespad=0)  # fmt: skip
        for text in legend.get_texts():
            text.set_parse_math(False)


def _label_words(group: DesignGroup, row: int, varied: Sequence[StudyScale]) -> str:
    values = [brief(s, float(v)) for s, v in zip(varied, group.values[row], strict=True)]
    return shortened(", ".join([*values, *([shortened(group.name, 20)] if group.name else [])]), 44)


def _label(axes: Axes, places: FloatArray, words: Sequence[str], dots: FloatArray) -> None:
    """Labels at both ends of the front and in between, wherever one stands free of the others and of the front."""
    shown = axes.transData.transform(places)
    line = np.concatenate([np.linspace(a, b, 24) for a, b in pairwise(shown)] or [shown])
    room, taken = axes.get_window_extent().padded(-3), list[Bbox]()
    for k in _spread_out(shown):
        if len(taken) == LABELS:
            return
        measured = axes.text(0.5, 0.5, words[k], fontsize=SMALL, transform=axes.transAxes, parse_math=False)
        size = np.array(measured.get_window_extent().size)
        measured.remove()
        found = _free_place(shown[k], size, room, line, dots, taken)
        if found is None:
            continue
        (dx, dy), box = found
        taken.append(box)
        axes.annotate(
            words[k], places[k], xytext=(dx, dy), textcoords="offset points", fontsize=SMALL, zorder=4,
            ha=ACROSS[np.sign(dx)], va=UP[np.sign(dy)], parse_math=False,
            bbox={"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none", "alpha": 0.8},
            arrowprops={"arrowstyle": "-", "color": INK, "linewidth": 0.4, "shrinkA": 0, "shrinkB": 2,
                        "relpos": (0.5 - 0.5 * np.sign(dx), 0.5 - 0.5 * np.sign(dy))},
        )  # fmt: skip


def _free_place(
    at: FloatArray, size: FloatArray, room: Bbox, line: FloatArray, dots: FloatArray, taken: Sequence[Bbox]
) -> tuple[tuple[float, float], Bbox] | None:
    """Of the free places for a label round a design, the first of those that cover the fewest other designs."""
    free = []
    for offset in AROUND:
        low = at + np.array(offset) * DPI / POINTS + 0.5 * (np.sign(offset) - 1) * size
        box = Bbox([low, low + size])
        inside = room.x0 <= box.x0 and box.x1 <= room.x1 and room.y0 <= box.y0 and box.y1 <= room.y1
        if inside and not box.count_contains(line) and not any(box.overlaps(other.padded(2)) for other in taken):
            free.append((offset, box))
    return min(free, key=lambda one: one[1].padded(NEAR).count_contains(dots), default=None)


def _spread_out(shown: FloatArray) -> list[int]:
    """Numbers of some places: the ends first, then always that which is farthest from those before."""
    order = list(dict.fromkeys([0, len(shown) - 1])) if len(shown) else []
    while len(order) < min(len(shown), TRIED):
        apart = np.min([np.hypot(*(shown - shown[k]).T) for k in order], axis=0)
        apart[order] = -1.0
        order.append(int(np.argmax(apart)))
    return order
