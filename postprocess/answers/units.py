"""Numbers as engineers write them."""

from __future__ import annotations

import math
from collections.abc import Sequence

INCH = 0.0254  # [m]
THOU = 1e-3 * INCH  # a thousandth of an inch [m]
NOTABLE = 1.0  # difference of temperatures that is told [K]
_PREFIX = {-15: "f", -12: "p", -9: "n", -6: "u", -3: "m", 0: "", 3: "k", 6: "M", 9: "G", 12: "T"}
MICROTESLA = (1e-7, 1e-2)  # fields that the trade says in uT, other prefix or not [T]


NEAR = 10.0  # a column whose largest and smallest numbers are not further apart shows them with one prefix


def engineering(value: float | None, unit: str, digits: int = 4, *, like: float | None = None) -> str:
    """A number with a prefix that leaves one to three digits before the point; masses and fields as the trade has them.

    `like` is another number, whose prefix is taken.

    Examples
    --------
    >>> engineering(1.557911e-3, "ohm/m", 5)
    '1.5579 mohm/m'
    >>> engineering(0.9775, "kg/m"), engineering(1234.0, "kg"), engineering(1.5e-3, "T")
    ('977.5 g/m', '1234 kg', '1500 uT')
    >>> engineering(None, "ohm/m")
    '-'
    """
    if value is None:
        return "-"
    if value == 0 or not math.isfinite(value):
        return f"{value:g} {unit}"
    grams = unit.startswith("kg")
    value, like = (1e3 * value, like and 1e3 * like) if grams else (value, like)
    own = _exponent(value, digits)
    power = min(12, max(-15, _power(like or value, unit, digits)))
    decimals = max(0, digits - 1 - (own - power))
    return f"{value / 10.0**power:.{decimals}f} {_PREFIX[power]}{unit.removeprefix('k') if grams else unit}"


def _exponent(value: float, digits: int) -> int:
    """That of a number as it is written with so many digits: 2 for 999.94 in four of them, 3 for 999.96."""
    return int(f"{value:.{digits - 1}e}".partition("e")[2])


def _power(value: float, unit: str, digits: int) -> int:
    """The power of ten of a number's prefix; of a mass no more than kilograms."""
    power = 3 * (_exponent(value, digits) // 3)
    if unit.startswith("kg"):
        return min(power, 3)
    return -6 if unit == "T" and MICROTESLA[0] <= abs(value) < MICROTESLA[1] else power


def together(values: Sequence[float | None], unit: str, digits: int = 4) -> list[str]:
    """The numbers of one column: with one prefix, that of the largest, where they are near each other.

    Examples
    --------
    >>> together([900.0, None, 1250.0], "A")
    ['0.9000 kA', '-', '1.250 kA']
    >>> together([0.5, 1250.0], "A")
    ['500.0 mA', '1.250 kA']
    """
    sizes = [abs(value) for value in values if value]
    largest = max(sizes, default=0.0)
    like = largest if sizes and largest <= NEAR * min(sizes) else None
    return [engineering(value, unit, digits, like=like) for value in values]


def concise(value: float, unit: str, digits: int = 6) -> str:
    """A number with a prefix and no more digits than it needs: for what the user stated.

    Examples
    --------
    >>> concise(0.0062, "m"), concise(85e3, "Hz"), concise(0.0, "m")
    ('6.2 mm', '85 kHz', '0 m')
    """
    number, _, rest = engineering(value, unit, digits).partition(" ")
    return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {rest}"


def significant(value: float, digits: int) -> str:
    """A number with so many significant digits, or all before its point, and never a power of ten.

    Examples
    --------
    >>> significant(1111.4, 3), significant(0.12, 3), significant(1.2e-5, 1), significant(999.96, 4)
    ('1111', '0.12', '0.00001', '1000')
    """
    if value == 0 or not math.isfinite(value):
        return f"{value:g}"
    decimals = max(0, digits - 1 - _exponent(value, digits))
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def between(low: float, high: float, unit: str) -> str:
    """A band, with the digits that tell its ends apart and the prefix of the larger.

    Examples
    --------
    >>> between(1.544e-3, 1.6021e-3, "ohm/m"), between(71.25, 75.0, "degC")
    ('1.544 to 1.602 mohm/m', '71.2 to 75.0 degC')
    >>> between(1.00001e-6, 1.00002e-6, "H/m")
    '1.0000100 to 1.0000200 uH/m'
    """
    if unit in ("degC", "K"):
        return f"{low:.1f} to {high:.1f} {unit}"
    digits = band_digits(low, high)
    like = max(low, high, key=abs)
    first, last = (engineering(end, unit, digits, like=like) for end in (low, high))
    return f"{first.split()[0]} to {last}"


def band_digits(low: float, high: float) -> int:
    """How many digits tell both ends of a band, and what lies between, apart."""
    apart = math.ceil(math.log10(max(abs(low), abs(high)) / (high - low))) + 2 if high > low else 0
    return min(9, max(4, apart))


def error_bar(relative: float | None) -> str:
    """A relative bound with one significant digit, rounded up.

    Examples
    --------
    >>> error_bar(1.23e-5), error_bar(4e-7)
    ('0.002 %', '< 0.0001 %')
    """
    if relative is None:
        return "-"
    percent = 100 * relative
    if percent == 0:
        return "0 %"
    power = math.floor(math.log10(percent) + 1e-9)
    leading = math.ceil(percent / 10.0**power - 1e-9)
    if leading == 10:
        leading, power = 1, power + 1
    return f"{leading * 10.0**power:.{max(0, -power)}f} %" if power >= -4 else "< 0.0001 %"


def share_with_bar(share: float, error: float) -> str:
    """A share in per cent; its bound is in points of per cent, not a part of the share, and rounded up.

    Examples
    --------
    >>> share_with_bar(0.87273, 0.0214), share_with_bar(0.9, 3e-7)
    ('87.27 % +- 3 points', '90.00 % +- 0.01 points')
    """
    return f"{100 * share:.2f} % +- {error_bar(max(error, 1e-4)).removesuffix(' %')} points"


def counted(number: int, what: str) -> str:
    """How many of something.

    Examples
    --------
    >>> counted(1, "cell"), counted(7, "cell")
    ('1 cell', '7 cells')
    """
    return f"{number} {what}{'' if number == 1 else 's'}"


def permeability(real: float, loss: float) -> str:
    """A relative permeability, complex where it loses power.

    Examples
    --------
    >>> permeability(200.0, 0.0), permeability(2200.0, 15.0)
    ('200', '2200 - j15')
    """
    return f"{real:g} - j{loss:g}" if loss else f"{real:g}"


def in_mm_and_thou(length: float) -> str:
    """A length as the trade writes it: in brackets thou, from an inch on inches.

    Examples
    --------
    >>> in_mm_and_thou(0.209e-3), in_mm_and_thou(0.24)
    ('0.209 mm (8.23 thou)', '240 mm (9.45 in)')
    """
    millimetres = f"{length * 1e3:.3g}" if length < 0.9995 else f"{length * 1e3:.0f}"
    if length >= INCH:
        return f"{millimetres} mm ({length / INCH:.3g} in)"
    return f"{millimetres} mm ({length / THOU:.3g} thou)"


def temperatures(low: float, high: float | None) -> str:
    """One temperature [degC], or the range of several.

    Examples
    --------
    >>> temperatures(71.55, 71.55), temperatures(44.79, 62.84)
    ('71.5 degC', '45 to 63 degC')
    """
    if high is None or high - low < NOTABLE:
        return f"{round(low, 1):g} degC"
    return f"{low:.0f} to {high:.0f} degC"


def frequency_words(frequency: float) -> str:
    """A frequency [Hz] in a sentence.

    Examples
    --------
    >>> frequency_words(85e3), frequency_words(0.0)
    ('85 kHz', 'direct current')
    """
    return concise(frequency, "Hz") if frequency else "direct current"


def frequency_tag(frequency: float) -> str:
    """A frequency [Hz] as part of a file's name.

    Examples
    --------
    >>> frequency_tag(85e3), frequency_tag(13.56e6), frequency_tag(0.0)
    ('85kHz', '13.56MHz', 'direct-current')
    """
    return concise(frequency, "Hz").replace(" ", "") if frequency else "direct-current"
