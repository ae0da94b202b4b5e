"""What the pictures of a study show, as plain data: scales, limits, and designs in groups."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray


@dataclass(frozen=True)
class StudyScale:
    """What runs along an axis: a varied value or a figure.

    Attributes
    ----------
    label : str
        "gap", "loss".
    unit : str
        Of the values, in SI as in the answers: "m", "W/m", "ohm/m", "kg/m", "degC"; empty for counts and ratios.
    by_ratios : bool
        Whether the axis is logarithmic, where all values allow it.
    """

    label: str
    unit: str
    by_ratios: bool = False


@dataclass(frozen=True)
class StudyLimit:
    """A limit that designs keep or break.

    Attributes
    ----------
    name : str
        "temperature at most 90 °C".
    figure : int or None
        Which of the figures it is set on, if that is shown.
    value : float
        Of the limit [SI]; NaN where no shown figure has it.
    """

    name: str
    figure: int | None = None
    value: float = float("nan")


@dataclass(frozen=True, eq=False)
class DesignGroup:
    """Designs of one alternative: a metal, a count, or all there are.

    Attributes
    ----------
    name : str
        Empty where there is only one alternative.
    values : (n, v) float
        Varied values [SI].
    figures : (n, k) float
        [SI]; NaN all along where a design has a fault.
    errors : (n, k) float
        Absolute error bars of the figures; NaN or 0 where there is none.
    margins : (n, m) float
        Over each limit: figure over limit minus 1, positive where it is broken, NaN where not known.
    margin_slopes, figure_slopes : (n, m, v) and (n, k, v) float, optional
        Of margins and figures over the varied values; NaN where not known.

    Raises
    ------
    ValueError
        The arrays are not of as many designs, or not two-dimensional.

    Examples
    --------
    >>> gap = np.array([[1e-3], [2e-3], [4e-3]])
    >>> loss = np.array([[90.0], [np.nan], [120.0]])
    >>> group = DesignGroup("copper", gap, loss, 0.01 * loss, loss / 100 - 1)
    >>> group.faulty.tolist(), group.broken.tolist()
    ([False, True, False], [False, False, True])
    """

    name: str
    values: FloatArray
    figures: FloatArray
    errors: FloatArray
    margins: FloatArray
    margin_slopes: FloatArray | None = None
    figure_slopes: FloatArray | None = None
    faulty: BoolArray = field(init=False)
    broken: BoolArray = field(init=False)

    def __post_init__(self) -> None:
        arrays = (self.values, self.figures, self.errors, self.margins)
        if any(a.ndim != 2 for a in arrays) or len({len(a) for a in arrays}) > 1:
            shapes = ", ".join(str(a.shape) for a in arrays)
            raise ValueError(f"values, figures, errors and margins need a row for each design; found {shapes}")
        object.__setattr__(self, "faulty", np.isnan(self.figures).all(axis=1))
        object.__setattr__(self, "broken", (self.margins > 0).any(axis=1) & ~self.faulty)


@dataclass(frozen=True)
class DesignAt:
    """One design among the groups: number of the group, row in it."""

    group: int
    row: int


@dataclass(frozen=True, eq=False)
class StudyDesigns:
    """All designs of a study that a picture shows.

    Attributes
    ----------
    groups : tuple of DesignGroup
        Alternatives.
    varied : tuple of StudyScale
        Of the varied values, (v,).
    figures : tuple of StudyScale
        (k,)
    limits : tuple of StudyLimit
        (m,)
    best : DesignAt or None

    Raises
    ------
    ValueError
        The columns of a group are not those of the scales and limits.

    Examples
    --------
    >>> gap = np.array([[1e-3], [2e-3], [4e-3]])
    >>> group = DesignGroup("copper", gap, 9e4 * gap, 90 * gap, np.zeros((3, 0)))
    >>> scales = (StudyScale("gap", "m"),), (StudyScale("loss", "W/m"),)
    >>> designs = StudyDesigns((group, group), *scales, best=DesignAt(1, 0))
    >>> designs.only([1]).best, designs.only([0]).best
    (DesignAt(group=0, row=0), None)
    """

    groups: tuple[DesignGroup, ...]
    varied: tuple[StudyScale, ...]
    figures: tuple[StudyScale, ...]
    limits: tuple[StudyLimit, ...] = ()
    best: DesignAt | None = None

    def __post_init__(self) -> None:
        wanted = len(self.varied), len(self.figures), len(self.limits)
        for group in self.groups:
            found = group.values.shape[1], group.figures.shape[1], group.margins.shape[1]
            if found != wanted or group.errors.shape != group.figures.shape:
                raise ValueError(
                    f'group "{group.name}": columns of values, figures and margins are {found}, '
                    f"but there are {wanted} varied values, figures and limits; errors need the shape of figures"
                )

    def only(self, numbers: Sequence[int]) -> StudyDesigns:
        """Some of the groups; the best design where it is among them."""
        best = self.best
        if best is not None:
            best = DesignAt(numbers.index(best.group), best.row) if best.group in numbers else None
        return replace(self, groups=tuple(self.groups[k] for k in numbers), best=best)

    def column(self, name: Literal["values", "figures"], number: int) -> FloatArray:
        """One varied value or figure of all designs, (n,) [SI]."""
        return np.concatenate([np.zeros(0), *(getattr(group, name)[:, number] for group in self.groups)])


@dataclass(frozen=True, eq=False)
class SearchPath:
    """Where one start of a search went.

    Attributes
    ----------
    group : int
    values : (s, 2) float
        Of both varied values, step by step [SI].
    """

    group: int
    values: FloatArray


@dataclass(frozen=True)
class CauseShare:
    """What one cause does to a figure.

    Attributes
    ----------
    name : str
    value : str
        With its tolerance, as words: "1.5 mm +- 0.1 mm".
    low, high : float
        The figure where this cause alone is at the lower and at the upper end of its range [SI].
    share : float
        Of the width of the band, 0 to 1; NaN where it is not known.
    """

    name: str
    value: str
    low: float
    high: float
    share: float = float("nan")


@dataclass(frozen=True)
class CauseBand:
    """The band of one figure and what makes it.

    Attributes
    ----------
    figure : StudyScale
    nominal, low, high : float
        The figure as drawn up, and the ends of its band [SI].
    causes : tuple of CauseShare
    """

    figure: StudyScale
    nominal: float
    low: float
    high: float
    causes: tuple[CauseShare, ...]


@dataclass(frozen=True)
class PhaseOrder:
    """An order of phases along a stack.

    Attributes
    ----------
    cells : tuple of str
        Phase of each bar, in the order in which they stand: ("L1", "L2", "L3", "L3", "L2", "L1").
    figure : float
        What it comes to [SI].
    """

    cells: tuple[str, ...]
    figure: float
