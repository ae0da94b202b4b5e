"""Axes in the units that engineers read, and amounts in words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axis import XAxis, YAxis
from matplotlib.ticker import FuncFormatter, LogLocator, MaxNLocator, NullFormatter

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.units import THOU, concise, engineering, in_mm_and_thou

from ..style import digits_apart, plain, printable, shortened
from .data import StudyScale

PREFIXED = ("m", "ohm/m", "H/m", "W/m", "V/m", "F/m", "N/m", "kg/m", "ohm", "H", "W", "V", "A", "F", "N", "kg", "Hz",
            "Pa", "T")  # fmt: skip
OWN = {"degC": ("°C", 1.0), "A/m2": ("A/mm²", 1e-6), "S/m": ("MS/m", 1e-6), "share": ("%", 100.0), "": ("", 1.0)}
POWERS = {"p": -12, "n": -9, "u": -6, "m": -3, "k": 3, "M": 6, "G": 9}
MILLIMETRES = (1e-4, 1.0)  # lengths that are told in them [m]
ROUNDING = 1e-9  # of a figure, within which designs have the same
MARGIN = 0.06  # of an axis beyond its values
FINE = 100.0  # ratio of the ends below which a logarithmic axis has labels between the powers of ten


@dataclass(frozen=True)
class ShownScale:
    """A scale with the unit that suits some values.

    Attributes
    ----------
    scale : StudyScale
    unit : str
        As it is written.
    factor : float
        From SI to it.
    by_ratios : bool
        Whether the axis is logarithmic: asked for, and no value stands against it.
    """

    scale: StudyScale
    unit: str
    factor: float
    by_ratios: bool

    @classmethod
    def of(cls, scale: StudyScale, values: FloatArray) -> ShownScale:
        """For values [SI], of which some may be NaN.

        Examples
        --------
        >>> shown = ShownScale.of(StudyScale("gap", "m"), np.array([1e-3, np.nan, 8e-3]))
        >>> shown.title(20), shown.in_unit(np.array([2e-3])).tolist()
        ('gap [mm]', [2.0])
        """
        finite = values[np.isfinite(values)]
        by_ratios = scale.by_ratios and bool(len(finite)) and bool((finite > 0).all())
        if scale.unit in OWN:
            return cls(scale, *OWN[scale.unit], by_ratios)
        if scale.unit not in PREFIXED:
            return cls(scale, scale.unit, 1.0, by_ratios)
        largest = float(np.abs(finite).max(initial=0.0)) or 1.0
        if scale.unit == "m" and MILLIMETRES[0] <= largest < MILLIMETRES[1]:
            return cls(scale, "mm", 1e3, by_ratios)
        sign = engineering(largest, scale.unit, 3).split(" ")[1]
        base = scale.unit.replace("kg", "g")
        prefix = sign.removesuffix(base)
        power = POWERS.get(prefix, 0) - (3 if base != scale.unit else 0)
        return cls(scale, prefix.replace("u", "µ") + base.replace("ohm", "Ω"), 10.0**-power, by_ratios)

    def in_unit(self, values: FloatArray | float) -> FloatArray:
        """Values [SI] as they stand along the axis."""
        return np.asarray(values, dtype=float) * self.factor

    def title(self, letters: int) -> str:
        """What the axis is called in lines of so many letters, the unit below where it does not fit beside."""
        unit = f"[{self.unit}]" if self.unit else ""
        label = printable(self.scale.label)
        if len(label) + 1 + len(unit) <= letters or not unit:
            return f"{shortened(label, letters)} {unit}".rstrip()
        return f"{shortened(label, letters)}\n{unit}"

    def along(self, axis: XAxis | YAxis, values: FloatArray, beside: Sequence[float] = ()) -> None:
        """Span an axis over values [SI], and over others where they are not far off; round ticks."""
        low, high = self.span(values, beside)
        if axis.axis_name == "x":
            axis.axes.set(xscale="log" if self.by_ratios else "linear", xlim=(low, high))
        else:
            axis.axes.set(yscale="log" if self.by_ratios else "linear", ylim=(low, high))
        if self.by_ratios and high > 3 * low:
            axis.set_major_locator(LogLocator(subs=(1, 2, 5) if high < FINE * low else (1,), numticks=12))
        else:
            axis.set_major_locator(MaxNLocator(6, steps=[1, 2, 5, 10], integer=self._counts(values)))
        axis.set_minor_formatter(NullFormatter())
        digits = digits_apart(low, high)
        axis.set_major_formatter(FuncFormatter(lambda value, _: plain(value, digits)))

    def _counts(self, values: FloatArray) -> bool:
        finite = values[np.isfinite(values)]
        return not self.unit and bool((finite == np.round(finite)).all())

    def span(self, values: FloatArray, beside: Sequence[float] = ()) -> tuple[float, float]:
        """Ends of an axis over values [SI], in its unit; further ones widen it to no more than double.

        Examples
        --------
        >>> ShownScale.of(StudyScale("loss", "W/m"), np.zeros(0)).span(np.zeros(0))
        (0.0, 1.0)
        """
        finite = self.in_unit(values[np.isfinite(values)])
        if not len(finite):
            return 0.0, 1.0
        further = self.in_unit(np.array(beside, dtype=float))
        further = further[np.isfinite(further) & ((further > 0) | (not self.by_ratios))]
        if self.by_ratios:
            finite, further = np.log(finite), np.log(further)
        low, high = float(finite.min()), float(finite.max())
        same = math.isclose(low, high, rel_tol=ROUNDING)
        room = high - low if not same else 0.1 if self.by_ratios else 0.1 * abs(low) or 1.0
        if same:
            return self._back(low - room, high + room)
        near = further[(further > low - room) & (further < high + room)]
        low, high = float(min(low, *near, high)), float(max(high, *near, low))
        return self._back(low - MARGIN * room, high + MARGIN * room)

    def _back(self, low: float, high: float) -> tuple[float, float]:
        return (math.exp(low), math.exp(high)) if self.by_ratios else (low, high)


def words(scale: StudyScale, value: float, digits: int = 4) -> str:
    """An amount [SI] with its unit, lengths in thou as well.

    Examples
    --------
    >>> words(StudyScale("gap", "m"), 0.0032), words(StudyScale("loss", "W/m"), 1234.5)
    ('3.2 mm (126 thou)', '1.234 kW/m')
    >>> words(StudyScale("coat", "m"), 27.4e-6)
    '27.4 µm (1.08 thou)'
    >>> words(StudyScale("temperature", "degC"), 85.0), words(StudyScale("bars", ""), 4.0)
    ('85 °C', '4')
    >>> words(StudyScale("waste", "share"), 0.4819)
    '48.19 %'
    """
    if not math.isfinite(value):
        return "not known"
    if scale.unit == "m" and abs(value) < MILLIMETRES[0]:
        return f"{brief(scale, value)} ({plain(value / THOU)} thou)"
    if scale.unit == "m":
        return in_mm_and_thou(value)
    return brief(scale, value, digits)


def brief(scale: StudyScale, value: float, digits: int = 3) -> str:
    """The same without the inch-pound unit, for places with little room.

    Examples
    --------
    >>> brief(StudyScale("gap", "m"), 0.00032), brief(StudyScale("R", "ohm/m"), 2.5e-6)
    ('0.32 mm', '2.5 µΩ/m')
    """
    if scale.unit == "m" and MILLIMETRES[0] <= abs(value) < MILLIMETRES[1]:
        return f"{plain(1e3 * value, digits)} mm"
    if scale.unit in PREFIXED:
        number, _, unit = concise(value, scale.unit, digits).partition(" ")
        return f"{number} {unit.replace('u', 'µ', 1)}".replace("ohm", "Ω").replace("-", "\u2212")
    unit, factor = OWN.get(scale.unit, (scale.unit, 1.0))
    return f"{plain(value * factor, digits)} {unit}".rstrip()
