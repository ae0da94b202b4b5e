"""One panel of a map: a coloured field between the designs, contour lines, borders of limits, the designs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.colors import LogNorm, Normalize
from matplotlib.text import Text
from matplotlib.ticker import LogLocator, MaxNLocator
from matplotlib.tri import Triangulation

from crosscurrent.geometries.arrays import FloatArray

from ..style import FIELD, INK, SMALL, digits_apart, plain
from .data import DesignGroup, SearchPath, StudyDesigns
from .field import Spanned, smooth
from .looks import LINES, clear_of_each_other, say_nothing
from .scales import ShownScale

SHADES, LEVELS = 24, 9
MOST = 0.6  # of the designs whose slopes are known, above which borders follow them
FEW = 150  # designs of a panel below which their dots are larger
BORDERS = ("-", (0, (5, 1.5)), (0, (1.5, 1.5)), (0, (6, 1.5, 1.5, 1.5)))
WHITE = {"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none", "alpha": 0.8}
HATCH = (0.11, 0.11, 0.13, 0.55)
NOWHERE = "too few designs for a field"


@dataclass(frozen=True, eq=False)
class MapScales:
    """What the panels of a map share.

    Attributes
    ----------
    across, up, colour : ShownScale
        Of both varied values and of the figure.
    norm : Normalize
        Of the colours.
    """

    across: ShownScale
    up: ShownScale
    colour: ShownScale
    norm: Normalize

    @classmethod
    def of(cls, designs: StudyDesigns, number: int) -> MapScales:
        """For one figure of all designs: colours from the least to the largest.

        Examples
        --------
        >>> from crosscurrent.postprocess.pictures.study.data import DesignGroup, StudyScale
        >>> group = DesignGroup("", np.ones((2, 2)), np.array([[90.0], [80.0]]), np.zeros((2, 1)), np.zeros((2, 0)))
        >>> scale = StudyScale("gap", "m")
        >>> shared = MapScales.of(StudyDesigns((group,), (scale, scale), (StudyScale("loss", "W/m"),)), 0)
        >>> shared.norm.vmin, shared.norm.vmax, shared.levels()
        (80.0, 90.0, [82.0, 84.0, 86.0, 88.0])
        """
        across, up = (ShownScale.of(scale, designs.column("values", k)) for k, scale in enumerate(designs.varied))
        figures = designs.column("figures", number)
        colour = ShownScale.of(designs.figures[number], figures)
        finite = colour.in_unit(figures[np.isfinite(figures)])
        low, high = (float(finite.min()), float(finite.max())) if len(finite) else (0.0, 1.0)
        if low == high:
            low, high = colour.span(figures)
        return cls(across, up, colour, LogNorm(low, high) if colour.by_ratios else Normalize(low, high))

    def ends(self) -> tuple[float, float]:
        """Of the colours."""
        return float(self.norm.vmin or 0.0), float(self.norm.vmax or 0.0)

    def levels(self) -> list[float]:
        """Of the contour lines and along the colour bar: round figures."""
        low, high = self.ends()
        by_ratios = self.colour.by_ratios and high > 10 * low
        marks = LogLocator(subs=(1, 2, 5)) if by_ratios else MaxNLocator(LEVELS, steps=[1, 2, 2.5, 5, 10])
        return [float(level) for level in marks.tick_values(low, high) if low < level < high]


def map_panel(
    axes: Axes, designs: StudyDesigns, at: int, number: int, scales: MapScales, searches: Sequence[SearchPath]
) -> None:
    """Draw one figure of one alternative.

    Parameters
    ----------
    axes : Axes
    designs : StudyDesigns
        With two varied values.
    at, number : int
        Of the group and of the figure.
    scales : MapScales
    searches : sequence of SearchPath
        Those in this group.
    """
    group, best = designs.groups[at], designs.best
    spanned = Spanned.of(group.values, scales.across, scales.up)
    numbered = _field(axes, group, spanned, number, scales)
    borders = _borders(axes, group, spanned, scales)
    _dots(axes, group, spanned)
    for search in searches:
        x, y = scales.across.in_unit(search.values[:, 0]), scales.up.in_unit(search.values[:, 1])
        axes.plot(x, y, color=LINES[0], linewidth=0.9, marker="s", markevery=[0], markersize=3.5, gid="search")
    names = [] if best is None or best.group != at else [_best(axes, spanned, best.row)]
    clear_of_each_other([*names, *borders, *numbered])


def _dots(axes: Axes, group: DesignGroup, spanned: Spanned) -> None:
    few = len(group.values) < FEW
    for which, face, mark, size in (
        (~group.broken & ~group.faulty, INK, "o", 2.2), (group.broken, "white", "o", 2.2), (group.faulty, INK, "x", 3.0)
    ):  # fmt: skip
        axes.plot(spanned.x[which], spanned.y[which], linestyle="none", marker=mark, color=INK, alpha=0.7,
                  markerfacecolor=face, markersize=size if few else 0.5 * size, markeredgewidth=0.4)  # fmt: skip


def _best(axes: Axes, spanned: Spanned, row: int) -> Text:
    """A ring round the best design, and its name on the side where there is room."""
    place = float(spanned.x[row]), float(spanned.y[row])
    axes.plot(*place, marker="o", markersize=8, markerfacecolor="none", color=INK, markeredgewidth=1.2, gid="best")
    right, high = np.array(axes.transAxes.inverted().transform(axes.transData.transform(place))) > 0.5
    return axes.annotate(
        "best", place, xytext=(-8 if right else 8, -8 if high else 8), textcoords="offset points", fontsize=SMALL,
        ha="right" if right else "left", va="top" if high else "bottom", bbox=WHITE,
    )  # fmt: skip


def _field(axes: Axes, group: DesignGroup, spanned: Spanned, number: int, scales: MapScales) -> list[Text]:
    """Colours and contour lines; the values that stand on these."""
    (low, high), norm = scales.ends(), scales.norm
    z = scales.colour.in_unit(group.figures[:, number])
    triangulation = spanned.where(np.isfinite(z))
    if triangulation is None:
        if group.faulty.all():
            say_nothing(axes)
        else:
            axes.scatter(spanned.x, spanned.y, c=z, norm=norm, cmap=FIELD, s=40, linewidths=0.4, edgecolors=INK)
            axes.annotate(NOWHERE, (0.03, 0.95), xycoords="axes fraction", va="top", fontsize=SMALL, bbox=WHITE)
        return []
    z = np.nan_to_num(z, nan=low)
    shown, z = _between(triangulation, z, slopes_of(group.figure_slopes, number), scales, scales.colour.factor)
    shades = np.geomspace(low, high, SHADES) if scales.colour.by_ratios else np.linspace(low, high, SHADES)
    axes.tricontourf(shown, z, levels=shades, norm=norm, cmap=FIELD, extend="both")
    levels = scales.levels()
    if not levels or not np.ptp(z[np.unique(shown.triangles)]):
        return []
    lines = axes.tricontour(shown, z, levels=levels, colors=INK, linewidths=0.45)
    digits = digits_apart(*scales.ends())
    texts = axes.clabel(lines, inline=False, fontsize=SMALL - 1, fmt=lambda value: plain(value, digits))
    for text in texts:
        text.set_bbox({**WHITE, "alpha": 0.6, "boxstyle": "square,pad=0"})
    return list(texts)


def is_smooth(values: FloatArray, slopes: FloatArray | None, scales: MapScales) -> bool:
    """Whether what is drawn between designs follows slopes (n, 2): most have some, and both axes are even."""
    if slopes is None or scales.across.by_ratios or scales.up.by_ratios or not np.isfinite(values).any():
        return False
    return bool(np.isfinite(slopes[np.isfinite(values)]).all(axis=1).mean() > MOST)


def slopes_of(of: FloatArray | None, number: int) -> FloatArray | None:
    """Those of one figure or limit, (n, 2)."""
    return None if of is None else of[:, number]


def _between(
    known: Triangulation, values: FloatArray, slopes: FloatArray | None, scales: MapScales, factor: float = 1.0
) -> tuple[Triangulation, FloatArray]:
    """Triangles and values to draw: as the slopes run where these are known, else straight from design to design."""
    if slopes is None or not is_smooth(values, slopes, scales):
        return known, values
    return smooth(known, values, factor * slopes / [scales.across.factor, scales.up.factor])


def _borders(axes: Axes, group: DesignGroup, spanned: Spanned, scales: MapScales) -> list[Text]:
    """Where each limit is passed, with its number, and hatches over what breaks one."""
    texts: list[Text] = []
    for j in range(group.margins.shape[1]):
        margin = group.margins[:, j]
        known = spanned.where(np.isfinite(margin) & ~group.faulty)
        if known is None or not (margin > 0).any():
            continue
        over, values = [0.0, float(np.nanmax(margin)) + 1.0], np.nan_to_num(margin)
        known, values = _between(known, values, slopes_of(group.margin_slopes, j), scales)
        hatches = axes.tricontourf(known, values, levels=over, colors="none", hatches=["////"])
        hatches.set_edgecolor(HATCH)
        hatches.set_linewidth(0.0)
        if np.nanmin(margin) > 0:
            continue
        look = {"colors": INK, "linewidths": 1.3, "linestyles": [BORDERS[j % len(BORDERS)]]}
        passed = axes.tricontour(known, values, levels=[0.0], **look)
        longest = max((np.asarray(piece) for piece in passed.allsegs[0]), key=len, default=np.zeros((0, 2)))
        if len(longest):
            place = longest[int((0.3 + 0.4 * (j % 2)) * (len(longest) - 1))]
            box = {"boxstyle": "circle,pad=0.2", "facecolor": "white", "edgecolor": INK, "linewidth": 0.5}
            texts.append(axes.annotate(str(j + 1), place, ha="center", va="center", fontsize=SMALL - 0.5, bbox=box))
    return texts
