"""Text with a unit in, SI numbers out: a plain number and a unit of the strict list in `units`."""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterable
from functools import cache, lru_cache
from typing import Self

from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.solver.metals.wire_tables import GAUGES, WireError, gauge_diameter

from .units import DIMENSIONS, TRAPS, Dimension


class QuantityError(CrosscurrentError, ValueError):
    """Text that is not a quantity of the wanted dimension; says what was expected, found, and what to do."""

    def __init__(self, expected: str, found: str, hint: str = "") -> None:
        self.expected, self.found, self.hint = expected, found, hint
        super().__init__(f"expected {expected}, found {found}" + (f"; {hint}" if hint else ""))


LONGEST = 200  # letters of a quantity
_TOLERANCE = "+-"
_WIDTHS = {"temperature": "temperature rise"}  # of what a tolerance is where zero is no origin
_NUMBER = re.compile(
    r"(?P<sign>[+-]?) ?(?:(?P<whole>[0-9]+) )?(?P<top>[0-9]+)/(?P<bottom>[0-9]+)(?P<unit> .*|[^0-9.].*)?"
    r"|(?P<decimal>[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]+)?)(?P<rest>.*)"
)
_SIGNS = str.maketrans(
    {"\u2212": "-", "\u00b5": "u", "\u03bc": "u", "\u00b7": "*", "\u22c5": "*", "\u00b2": "2"}
    | {"\u00a0": " ", "\u2009": " ", "\u202f": " ", "\u03a9": "ohm", "\u2126": "ohm", "\u00b0": "deg"}
)


_READ_ONLY = ("G", "mG")  # units that are understood and not written: a limit of "100 uT" would read "1 G"
_RARE = ("l/h",)  # a flow of "1.4 l/min" would read "84 l/h"
_STRAND = "strand diameter"  # the one length that may be a gauge number
_GAUGE = re.compile(r" *AWG[ #]*([0-9]{1,4}) *", re.IGNORECASE)
_PARTS = {"\u00bc": "1/4", "\u00bd": "1/2", "\u00be": "3/4"}


def parse(text: str, dimension: str) -> float:
    """The SI value of a quantity written as text with a unit.

    Parameters
    ----------
    text : str
        A number, decimal ("0.4 um", "1e3 A") or a fraction ("1/4 in", "1 1/2 in"), and a unit; behind it perhaps a
        tolerance as on a drawing ("6 mm +- 0.1 mm", "6 mm +- 2 %"), see `tolerance`. Of a strand also "AWG 38".
    dimension : str
        A key of `DIMENSIONS`.

    Returns
    -------
    float
        In SI units; temperatures in degC, angles in rad, percentages as a ratio.

    Raises
    ------
    QuantityError
        No number, no unit, a unit of another dimension, an unknown unit, a value out of range.

    Notes
    -----
    100 %IACS is 58 MS/m at 20 degC (International Annealed Copper Standard; IEC 60028).

    Examples
    --------
    >>> round(parse("8 thou", "length") * 1e6, 6)
    203.2
    >>> round(parse("100 %IACS", "conductivity"))
    58000000
    """
    wanted = DIMENSIONS[dimension]
    nominal, sign, _ = text.partition(_TOLERANCE) if _TOLERANCE in text else text.partition("\u00b1")
    if dimension == _STRAND and (gauge := _GAUGE.fullmatch(nominal)):
        value = result = _of_gauge(int(gauge[1]), text)
    else:
        number, value, unit = _split(nominal, wanted)
        if unit not in wanted.units:
            raise _wrong_unit(text, number, unit, wanted)
        result = wanted.to_si(value, unit)
    if sign:
        tolerance(text, dimension)
    low, high = _range(dimension)
    if not (low <= result <= high or (wanted.zero and result == 0)):
        zero = "0 or " if wanted.zero else ""
        expected = f"{wanted.noun}, {zero}from {wanted.low} to {wanted.high}"
        raise QuantityError(expected, f'"{text}"', _sign_hint(value, result, dimension))
    return result


def _of_gauge(gauge: int, text: str) -> float:
    try:
        return gauge_diameter(gauge)
    except WireError:
        expected = f"a strand from AWG {GAUGES[0]} to AWG {GAUGES[1]}"
        raise QuantityError(expected, f'"{text}"', 'write its diameter, such as "0.1 mm"') from None


def tolerance(text: str, dimension: str) -> float | None:
    """What stands behind "+-", in SI units (temperatures in K); None where there is none.

    Raises
    ------
    QuantityError
        It is no such quantity or share, negative, or a share of all and more.

    Examples
    --------
    >>> tolerance("6 mm +- 0.1 mm", "length"), tolerance("70 degC +- 5 K", "temperature"), tolerance("6 mm", "length")
    (0.0001, 5.0, None)
    >>> round(tolerance("58 MS/m +- 2 %", "conductivity"))
    1160000
    """
    nominal, sign, behind = text.replace("\u00b1", _TOLERANCE).partition(_TOLERANCE)
    if not sign:
        return None
    try:
        width = behind.strip()
        if width.endswith("%") and dimension != "ratio":
            share = _spread(width, "ratio")
            if share >= 1:
                raise QuantityError("less than 100 %", f'"{width}"')
            return abs(parse(nominal, dimension)) * share
        return _spread(width, _WIDTHS.get(dimension, dimension))
    except QuantityError as error:
        raise QuantityError(f"a tolerance behind +-, {error.expected}", error.found, error.hint) from None


class Toleranced(float):
    """A quantity that had a tolerance behind it, in SI units: a case made in Python keeps it.

    Examples
    --------
    >>> Toleranced(0.006, 1e-4) == 0.006, Toleranced(0.006, 1e-4).tolerance
    (True, 0.0001)
    """

    tolerance: float

    def __new__(cls, value: float, tolerance: float) -> Self:
        """A number with its tolerance."""
        made = super().__new__(cls, value)
        made.tolerance = tolerance
        return made

    def __getnewargs__(self) -> tuple[float, float]:  # type: ignore[override]
        """What pickle and copies make it of."""
        return float(self), self.tolerance


class InTotal(float):
    """A figure that is one per metre in plane sections, as it is round an axis: in total."""


def write_tolerance(spread: float, dimension: str) -> str:
    """What stands behind a quantity that has a tolerance.

    Examples
    --------
    >>> write_tolerance(1e-4, "length"), write_tolerance(5.0, "temperature")
    (' +- 0.1 mm', ' +- 5 K')
    """
    return f" {_TOLERANCE} {write_quantity(spread, _WIDTHS.get(dimension, dimension))}"


def with_tolerance_of(text: str, other: str) -> str:
    """A quantity with the tolerance that stands behind another one, as that says it.

    Examples
    --------
    >>> with_tolerance_of("8 mm", "6 mm +- 2 %"), with_tolerance_of("8 mm", "6 mm")
    ('8 mm +- 2 %', '8 mm')
    """
    _, sign, spread = other.replace("\u00b1", _TOLERANCE).partition(_TOLERANCE)
    return f"{text} {_TOLERANCE} {spread.strip()}" if sign else text


def _spread(text: str, dimension: str) -> float:
    """A width, which may be below the least that such a quantity itself may be."""
    wanted = DIMENSIONS[dimension]
    number, value, unit = _split(text, wanted)
    if unit not in wanted.units:
        raise _wrong_unit(text, number, unit, wanted)
    if value < 0:
        raise QuantityError(wanted.noun, f'"{text.strip()}"', "write it without the minus sign")
    return wanted.to_si(value, unit)


def read_quantity(value: object, dimension: str) -> float:
    """As `parse`, for a value of any kind out of a case file: a number without a unit is refused.

    Raises
    ------
    QuantityError
        No quantity of that dimension, or one out of its range.

    Examples
    --------
    >>> read_quantity("85 kHz", "frequency")
    85000.0
    """
    if isinstance(value, str):
        return parse(value, dimension)
    wanted = DIMENSIONS[dimension]
    expected = f"{wanted.noun} with a unit such as {wanted.examples}"
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        unit = next(iter(wanted.units))
        guess = f"such as {wanted.examples}" if unit == "%" else f'"{value} {unit}"'
        raise QuantityError(expected, f"the bare number {value}", f"write it in quotes with its unit, {guess}")
    listed = isinstance(value, (list, tuple))
    raise QuantityError(expected, kind(value), "write it without brackets" if listed else f"write {wanted.examples}")


def as_frequency(value: float | str) -> float:
    """A frequency [Hz] given as text or as a number.

    Raises
    ------
    QuantityError
        The text is no frequency.
    """
    return parse(value, "frequency") if isinstance(value, str) else float(value)


@lru_cache(maxsize=4096)
def write_quantity(value: float, dimension: str) -> str:
    """Text that `parse` reads as this value, in the commonest unit unless another saves two characters.

    Parameters
    ----------
    value : float
        In SI units; temperatures in degC, angles in rad, percentages as a ratio.
    dimension : str
        A key of `DIMENSIONS`.

    Examples
    --------
    >>> write_quantity(0.006, "length"), write_quantity(85e3, "frequency"), write_quantity(1e-3, "ratio")
    ('6 mm', '85 kHz', '0.1 %')
    """
    wanted = DIMENSIONS[dimension]
    numbers = {unit: wanted.of_si(value, unit) for unit in wanted.units if unit not in _READ_ONLY}
    common = next(iter(numbers))
    for digits in (6, 12, 17):
        rounded = {unit: f"{number:.{digits}g}" for unit, number in numbers.items()}
        exact = [u for u, text in rounded.items() if wanted.to_si(float(text), u) == value]
        if exact:
            # as short as can be, the common unit counting one less; 13.56 MHz before 13560 kHz, 60 ms before 0.06 s
            costs = {u: (_length(rounded[u], u) + (u != common), u != common, "." not in rounded[u]) for u in exact}
            best = min(costs, key=lambda u: costs[u])
            return f"{rounded[best]} {best}"
    return f"{rounded[common]} {common}"


def _length(number: str, unit: str) -> int:
    """Of a quantity as a reader takes it: zeros after the point and rare units make it longer than it is."""
    return len(number + unit) + number.startswith("0.0") + 2 * (unit in _RARE)


def kind(value: object) -> str:
    """What a value out of a TOML file is, for messages: '"text"', "a list", "the number 4"."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return f"the number {value}"
    if isinstance(value, str):
        return f'"{value}"'
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        return "a table"
    return "a list" if isinstance(value, (list, tuple)) else f"a {type(value).__name__}"


def _split(text: str, wanted: Dimension) -> tuple[str, float, str]:
    """The number as written, its value, and the unit with its spelling evened out."""
    expected = f"{wanted.noun} with a unit such as {wanted.examples}"
    if len(text) > LONGEST:
        raise QuantityError(expected, f"text of {len(text)} letters", f"write {wanted.examples}")
    plain = " ".join(text.translate(_SIGNS).split())
    dashed = re.match(r"([0-9]+) ?- ?([0-9]+/[0-9]+.*)", plain)
    if dashed:
        raise QuantityError(expected, f'"{text}"', f'write "{dashed[1]} {dashed[2]}"')
    match = _NUMBER.fullmatch(plain)
    if match is None:
        raise QuantityError(expected, f'"{text}"', _number_hint(plain, wanted))
    if match["decimal"] is not None:
        number, value, rest = match["decimal"], float(match["decimal"]), match["rest"]
    else:
        rest = match["unit"] or ""
        number = plain[: len(plain) - len(rest)]
        if int(match["bottom"]) == 0:
            raise QuantityError(expected, f'"{text}"', "a fraction cannot have 0 below its stroke")
        value = int(match["whole"] or 0) + int(match["top"]) / int(match["bottom"])
        value = -value if match["sign"] == "-" else value
    if not math.isfinite(value):
        raise QuantityError(expected, f'"{text}"', "the number is too large")
    unit = re.sub(r" ?([*/()]) ?", r"\1", rest.strip())
    unit = re.sub(r"[ -]", "*", unit.replace("% ", "%").replace("mm^2", "mm2"))
    if unit == "":
        common = next(iter(wanted.units))
        raise QuantityError(expected, f'"{text}" (no unit)', f'write "{number} {common}" if {common} is meant')
    if unit[0] in "0123456789.,_'\u00bc\u00bd\u00be" and unit not in wanted.units:
        raise QuantityError(expected, f'"{text}"', _number_hint(plain, wanted))
    return number, value, unit


def _number_hint(plain: str, wanted: Dimension) -> str:
    """What to do about text that does not begin with one plain number."""
    comma = re.match(r"([+-]?[0-9]+),([0-9]+)(.*)", plain)
    if comma:
        point = f'"{comma[1]}.{comma[2]}{comma[3]}"'
        if len(comma[2]) == 3:
            return f'a comma is not read: write {point} or "{comma[1]}{comma[2]}{comma[3]}"'
        return f"write a decimal point: {point}"
    spaced = re.match(r"([+-]?[0-9]+(?:[ _'][0-9]{3})+)\b(.*)", plain)
    if spaced:
        joined = re.sub(r"[ _']", "", spaced[1])
        return f'write the number in one piece: "{joined}{spaced[2]}"'
    if any(sign in plain for sign in _PARTS):
        written = plain
        for sign, part in _PARTS.items():
            written = re.sub(f"(?<=[0-9]) ?{sign}", f" {part}", written).replace(sign, part)
        return f'write "{written}"'
    if re.match(r"[0-9.]", plain):
        return f"write one plain number, then the unit: {wanted.examples}"
    return f"begin with a number, for example {wanted.examples}"


def _wrong_unit(text: str, number: str, unit: str, wanted: Dimension) -> QuantityError:
    expected = f"{wanted.noun} with a unit such as {wanted.examples}"
    trap = 'write "AWG {n}"' if unit.lower() == "awg" and wanted is DIMENSIONS[_STRAND] else TRAPS.get(unit.lower())
    if trap and not (unit == "F" and "degF" not in wanted.units):
        return QuantityError(expected, f'"{text}"', trap.format(n=number))
    others = [d.noun for d in DIMENSIONS.values() if unit in d.units]
    choice = f"write the unit of {wanted.noun}: {', '.join(list(wanted.units)[:6])}"
    lowered = [known.lower() for known in wanted.units]
    if unit[:1] in tuple("kMGTPunpf") and unit[1:] in wanted.units and unit.lower() not in lowered:
        return QuantityError(expected, f'"{text}"', f"{choice}, from {wanted.low} to {wanted.high}")
    if others:
        return QuantityError(expected, f'"{text}" ({"a length" if "a length" in others else others[0]})', choice)
    near = _one_letter_off(unit, wanted.units) or nearest(unit, wanted.units)
    return QuantityError(expected, f'"{text}" (unknown unit)', f'did you mean "{number} {near}"?' if near else choice)


def _one_letter_off(unit: str, units: Iterable[str]) -> str | None:
    """The unit with another letter behind the same first one: "mn" is "mm" sooner than "m"."""
    alike = (known for known in units if len(known) == len(unit) and known[:1] == unit[:1])
    return next((known for known in alike if sum(a != b for a, b in zip(known, unit, strict=True)) == 1), None)


def nearest(word: str, words: Iterable[str]) -> str | None:
    """The word most like the one given, or None; letter case counts for little."""
    lowered: dict[str, str] = {}
    for known in words:
        lowered.setdefault(known.lower(), known)
    found = difflib.get_close_matches(word.lower(), lowered, n=1, cutoff=0.6)
    return lowered[found[0]] if found else None


def _sign_hint(value: float, result: float, dimension: str) -> str:
    """What to do about a value out of range that is 0 or negative where it may not be."""
    if value < 0 and dimension == "current":
        return 'an rms value has no sign: exchange out and back, or give phase = "180 deg"'
    low, _ = _range(dimension)
    if result < 0 <= low:
        return "write it without the minus sign"
    if result == 0 < low:
        return "no computation is exact: ask for a bound above 0" if dimension == "ratio" else "write a value above 0"
    return "check the number and its unit"


@cache
def _range(dimension: str) -> tuple[float, float]:
    wanted = DIMENSIONS[dimension]
    ends = []
    for text in (wanted.low, wanted.high):
        _, value, unit = _split(text, wanted)
        ends.append(wanted.to_si(value, unit))
    slack = 1e-12 * max(abs(e) for e in ends if e) if ends[0] < 0 else 1e-12 * ends[0]
    return ends[0] - slack, ends[1] * (1 + 1e-12)
