"""How alternatives are told apart, never by colour alone, and what the pictures of a study share."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.text import Text
from matplotlib.transforms import Bbox

from crosscurrent.geometries.arrays import FloatArray

from ..label_columns import spread
from ..page import HEAD, LINE, BlankPage, wrapped
from ..panel_layout import EDGE
from ..style import DPI, INK, QUIET, SMALL, printable, shortened
from .data import DesignGroup, StudyDesigns
from .scales import words

LINES = ("#893553", "#2f6f8f", "#c98a2b", "#4c7d4a", "#6b4a8a", "#5c5c66", "#b0503c", "#3f4f9f")
DASHES = ("-", (0, (5, 1.5)), (0, (1.2, 1.2)), (0, (6, 1.5, 1.2, 1.5)))
SHAPES = ("o", "s", "^", "D", "v", "P", "X", "p")
SHOWN = len(LINES)  # alternatives that are told apart
WIDTH = 7.4  # of a page [in]
ROW = 0.13  # from one small label to the next [in]
LETTER = 0.0565  # mean width of a letter of one [in]
NOTHING = "no design has this figure"


def page_of(title: str, subject: str, height: float, notes: Sequence[str]) -> tuple[BlankPage, float]:
    """A page for a body of a height [in] with notes under it; and where the body ends below [in]."""
    lines = wrapped([printable(note) for note in notes], WIDTH - 2 * EDGE)
    foot = 0.2 + LINE * len(lines)
    page = BlankPage.of(printable(title), shortened(printable(subject), 105), WIDTH, HEAD + height + foot)
    page.lines(lines, EDGE, foot - 0.2)
    return page, foot


def chosen(designs: StudyDesigns, most: int) -> list[int]:
    """Numbers of the groups that are shown: the first ones, and that of the best design in any case.

    Examples
    --------
    >>> from crosscurrent.postprocess.pictures.study.data import DesignAt
    >>> empty = DesignGroup("", *(np.zeros((0, 0)),) * 4)
    >>> chosen(StudyDesigns((empty,) * 9, (), (), (), DesignAt(8, 0)), 3)
    [0, 1, 8]
    """
    found = list(range(min(len(designs.groups), most)))
    if designs.best is not None and designs.best.group not in found:
        found[-1] = designs.best.group
    return found


def named(group: DesignGroup, letters: int) -> str:
    """A group's name in so many letters."""
    return shortened(printable(group.name), letters)


def best_words(designs: StudyDesigns) -> list[str]:
    """The best design as a line: what was varied, which alternative, what it came to; none without one."""
    if designs.best is None:
        return []
    group, row = designs.groups[designs.best.group], designs.best.row
    values = [f"{s.label} {words(s, float(v))}" for s, v in zip(designs.varied, group.values[row], strict=True)]
    found = [f"{s.label} {words(s, float(v))}" for s, v in zip(designs.figures, group.figures[row], strict=True)]
    return [f"best: {', '.join([*([group.name] if group.name else []), *values])}: {', '.join(found)}"]


def tally(designs: StudyDesigns) -> tuple[int, int, int]:
    """How many designs there are, how many break a limit, and how many have a fault."""
    groups = designs.groups
    broken, faulty = sum(int(g.broken.sum()) for g in groups), sum(int(g.faulty.sum()) for g in groups)
    return sum(len(g.values) for g in groups), broken, faulty


def counted(number: int, what: str) -> str:
    """A number of things.

    Examples
    --------
    >>> counted(1, "design"), counted(3, "design")
    ('1 design', '3 designs')
    """
    return f"{number} {what}{'' if number == 1 else 's'}"


def plain_frame(axes: Axes) -> None:
    """Only the two sides that carry the scales, and a quiet grid."""
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.grid(color=INK, alpha=0.07, linewidth=0.5)
    axes.set_axisbelow(True)


def say_nothing(axes: Axes, text: str = NOTHING) -> None:
    """In an axes without anything to show."""
    axes.annotate(text, (0.5, 0.5), xycoords="axes fraction", ha="center", va="center", fontsize=SMALL, color=QUIET,
                  bbox={"facecolor": "white", "edgecolor": "none"})  # fmt: skip


def names_beside(axes: Axes, ends: Sequence[tuple[float, float]], names: Sequence[str], colours: Sequence[str]) -> None:
    """Names in a column right of an axes, each near the end (x, y) of its line and led to it."""
    box = axes.get_window_extent()
    shown = np.array([axes.transData.transform(end) for end in ends]).reshape(-1, 2)
    heights = (shown[:, 1] - box.y0) / DPI
    order = np.lexsort((-np.arange(len(names)), heights))
    places = spread(heights[order], ROW, max(box.height / DPI, ROW * len(names)))
    for k, place in zip(order.tolist(), places.tolist(), strict=True):
        axes.annotate(
            names[k], ends[k], xytext=(1 + 0.16 * DPI / box.width, place * DPI / box.height), va="center",
            textcoords="axes fraction", fontsize=SMALL, color=colours[k], annotation_clip=False, parse_math=False,
            arrowprops={"arrowstyle": "-", "color": colours[k], "linewidth": 0.4, "shrinkA": 1, "shrinkB": 2,
                        "relpos": (0, 0.5)},
        )  # fmt: skip


def row_above(axes: Axes, at: Sequence[float], texts: Sequence[str], room: float) -> None:
    """Short texts in a row over an axes, each as near to its place along x as a room [in] for each allows.

    Of the same text at places that are nearer to each other than that, one is written.
    """
    box = axes.get_window_extent()
    shown = (np.array([axes.transData.transform((x, axes.get_ylim()[0]))[0] for x in at]) - box.x0) / DPI
    order: list[int] = []
    for k in np.argsort(shown, kind="stable").tolist():
        if not any(texts[k] == texts[o] and shown[k] - shown[o] < room for o in order):
            order.append(k)
    places = spread(shown[order], room, box.width / DPI)
    for k, place in zip(order, places.tolist(), strict=True):
        axes.annotate(
            texts[k], (at[k], 1), xycoords=("data", "axes fraction"), textcoords="axes fraction",
            xytext=(place * DPI / box.width, 1 + 0.15 * DPI / box.height), ha="center", va="center", fontsize=SMALL,
            annotation_clip=False,
            arrowprops={"arrowstyle": "-", "color": QUIET, "linewidth": 0.4, "shrinkB": 0, "relpos": (0.5, 0)},
        )  # fmt: skip


def throughout(designs: StudyDesigns, limit: int) -> str:
    """Of a limit that no border of a picture shows: who keeps it."""
    known = np.concatenate([np.zeros(0), *(g.margins[~g.faulty, limit] for g in designs.groups)])
    known = known[np.isfinite(known)]
    return "not known" if not len(known) else "broken throughout" if known.min() > 0 else "kept throughout"


def clear_of_each_other(texts: Sequence[Text]) -> None:
    """Take off what would stand on a text that comes before it."""
    boxes: list[Bbox] = []
    for text in texts:
        box = text.get_window_extent()
        if any(box.overlaps(other) for other in boxes):
            text.remove()
        else:
            boxes.append(box)


def crossings(along: FloatArray, margin: FloatArray, *, by_ratios: bool) -> list[float]:
    """Where a margin passes zero between neighbours along a rising axis.

    Examples
    --------
    >>> crossings(np.array([1.0, 2.0, 3.0]), np.array([-0.5, 0.5, np.nan]), by_ratios=False)
    [1.5]
    """
    known = np.isfinite(margin)
    x, m = (np.log(along[known]) if by_ratios else along[known]), margin[known]
    turns = np.flatnonzero((m[:-1] > 0) != (m[1:] > 0))
    found = [float(x[k] + (x[k + 1] - x[k]) * m[k] / (m[k] - m[k + 1])) for k in turns]
    return [float(np.exp(f)) for f in found] if by_ratios else found


