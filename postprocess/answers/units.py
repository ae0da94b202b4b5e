"""Numbers as engineers write them."""

from __future__ import annotations

import math
from collections.abc import Sequence

THOU = 25.4e-6  # a thousandth of an inch [m]
_PREFIX = {-15: "f", -12: "p", -9: "n", -6: "u", -3: "m", 0: "", 3: "k", 6: "M", 9: "G", 12: "T"}


NEAR = 10.0  # a column whose largest and smallest numbers are not further apart shows them with one prefix


def engineering(value: float | None, unit: str, digits: int = 4, *, like: float | None = None) -> str:
    """A number with a prefix that leaves one to three digits before the point.

    `like` is another number, whose prefix is taken.

    Examples
    --------
    >>> engineering(1.557911e-3, "ohm/m", 5)
    '1.5579 mohm/m'
    >>> engineering(None, "ohm/m")
    '-'
    """
    if value is None:
        return "-"
    if value == 0 or not math.isfinite(value):
        return f"{value:g} {unit}"
    power = min(12, max(-15, 3 * math.floor(math.log10(abs(like or value) * (1 + 10.0**-digits)) / 3)))
    scaled = value / 10.0**power
    decimals = max(0, digits - 1 - math.floor(math.log10(abs(scaled) * (1 + 0.5 * 10.0**-digits))))
    return f"{scaled:.{decimals}f} {_PREFIX[power]}{unit}"


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


def in_mm_and_thou(length: float) -> str:
    """A length as the trade writes it.

    Examples
    --------
    >>> in_mm_and_thou(0.209e-3)
    '0.209 mm (8.23 thou)'
    """
    millimetres, thousandths = (f"{x:.3g}" if x < 999.5 else f"{x:.0f}" for x in (length * 1e3, length / THOU))
    return f"{millimetres} mm ({thousandths} thou)"


def frequency_tag(frequency: float) -> str:
    """A frequency [Hz] as part of a file's name.

    Examples
    --------
    >>> frequency_tag(85e3), frequency_tag(13.56e6), frequency_tag(0.0)
    ('85kHz', '13.56MHz', 'direct-current')
    """
    return concise(frequency, "Hz").replace(" ", "") if frequency else "direct-current"
