"""How a limit, its figure and the figure's bar are written: with the digits that show why it passes or fails."""

from __future__ import annotations

import math
from dataclasses import dataclass

from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.postprocess.answers.noise import or_none
from crosscurrent.postprocess.answers.units import engineering, error_bar

ALIKE = 10.0  # ratio of figure and limit up to which they share a prefix and their last digit
LEAST, MOST = 4, 10  # significant digits
CLOSEST = 0.01  # share of the margin that decides the digits at the finest, where the bar ends next to the limit


@dataclass(frozen=True)
class Shown:
    """A verdict's figures as text.

    Attributes
    ----------
    value, allowed : str
        With as many digits as tell them, and the end of the bar, apart.
    bar : str
        Absolute, rounded up; empty where there is none.
    margin : str
        "-" where it has no end.
    """

    value: str
    allowed: str
    bar: str
    margin: str


def shown(v: Verdict) -> Shown:
    """The figures of a verdict, the last digits of all three of one place.

    Examples
    --------
    >>> from crosscurrent.postprocess.answers.chapter import Measured
    >>> shown(Verdict("temperature_bare", 98.0, Measured(98.04, 0.01, "degC")))
    Shown(value='98.04 degC', allowed='98.00 degC', bar='0.01 K', margin='0.04 K')
    >>> shown(Verdict("loss", 100.0, Measured(1.5, 0.02, "W/m"))).value
    '1.500 W/m'
    >>> shown(Verdict("waste", 0.3, Measured(0.2468, 0.0001, ""))).value  # a share
    '24.7 %'
    """
    value, error, unit = v.found.value, v.found.error, v.found.unit
    if not v.found.known:
        return Shown(in_words(v, value), in_words(v, v.allowed), "", change(v, abs(v.margin)))
    place = _last_place(v)
    if unit in ("degC", "K"):
        decimals = max(1, -place)
        texts = [f"{x:.{decimals}f}" for x in (value, v.allowed, abs(v.margin))]
        up = math.ceil(error * 10.0**decimals - 1e-6) / 10.0**decimals
        return Shown(
            f"{texts[0]} {unit}", f"{texts[1]} {unit}", f"{up:.{decimals}f} K" if error else "", f"{texts[2]} K"
        )
    of_bar = min(place, math.floor(math.log10(error))) if error else place
    bar = math.ceil(error / 10.0**of_bar - 1e-9) * 10.0**of_bar
    if not unit:
        decimals = max(1, -place - 2)
        up = math.ceil(100 * bar * 10.0**decimals - 1e-6) / 10.0**decimals / 100
        texts = [f"{100 * x:.{decimals}f} %" for x in (value, v.allowed, up)]
        return Shown(texts[0], texts[1], texts[2] if error else "", change(v, abs(v.margin)))
    near = v.allowed / ALIKE < abs(value) < v.allowed * ALIKE
    like = v.allowed if near else None
    digits = [_digits(x, place) if near else LEAST for x in (value, v.allowed)]
    return Shown(
        or_none(engineering(value, unit, digits[0], like=like), value, error if error < v.allowed else -1.0),
        engineering(v.allowed, unit, digits[1]),
        engineering(bar, unit, _digits(bar, of_bar, 1), like=like) if error else "",
        change(v, abs(v.margin)),
    )


def _last_place(v: Verdict) -> int:
    """Power of ten of the last digit that tells the figure, with its bar, from the limit."""
    left = abs(v.margin)
    step = max(min(left, abs(left - v.found.error)), CLOSEST * left)
    size = max(abs(v.allowed), abs(v.found.value))
    lowest = math.floor(math.log10(size)) + 1 - MOST if size else 0
    return max(lowest, math.floor(math.log10(0.5 * step))) if step else lowest + MOST - LEAST


def _digits(value: float, place: int, least: int = LEAST) -> int:
    """Significant digits of a number down to a place."""
    return max(least, math.floor(math.log10(abs(value))) - place + 1) if value else least


def in_words(v: Verdict, value: float) -> str:
    """A figure of the verdict's unit by itself."""
    if not math.isfinite(value):
        return "not known" if v.found.error else "no end"
    if not v.found.unit:
        return f"{100 * value:.{LEAST}g} %"
    return f"{value:.1f} degC" if v.found.unit == "degC" else engineering(value, v.found.unit, LEAST)


def change(v: Verdict, value: float) -> str:
    """A difference of two figures of the verdict's unit."""
    if not math.isfinite(value):
        return "-"
    if not v.found.unit:
        return f"{100 * value:.3g} %"
    return f"{value:.1f} K" if v.found.unit == "degC" else engineering(value, v.found.unit, 3)


def table_bar(v: Verdict) -> str:
    """The bar in a column of its own: of temperatures in kelvin, of all else relative."""
    if not v.found.known:
        return "-"
    if v.found.unit in ("degC", "K"):
        return shown(v).bar or "0 K"
    return error_bar(abs(v.found.error / v.found.value)) if v.found.value else "-"
