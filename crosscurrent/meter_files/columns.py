"""Columns with titles -> the series impedance over frequency, and words on what was taken for what."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.meter.equivalents import PAIRS, Quantity, impedance

from .connection import Connection
from .meter_file import MeterFile, MeterFileError, in_order
from .text_table import Decimal
from .titles import BASE, Lay, Title, title_of

SKIPPED = "-"  # a column that is not to be read
AUDIBLE = 1000.0  # highest number of frequencies without a unit below which they may be kilohertz [Hz]
STEEPEST = 0.501 * math.pi  # largest phase in radians [rad]
MATTERS = 1e-3  # by which series and parallel inductance may differ and still count as one
EXAMPLE = 'columns = ["f [kHz]", "Rs [mohm]", "Ls [uH]"]'
_SIDE: dict[str, Lay] = {"series": "s", "parallel": "p"}


@dataclass(frozen=True)
class StatedColumns:
    """What [measured] says of a file.

    Attributes
    ----------
    columns : tuple of str
        Titles in the place of its own, "-" for a column that is not to be read; empty: those of the file.
    decimal : "point", "comma" or None
    equivalent : "series", "parallel" or None
        Of R and L whose titles do not say.
    phase : "deg", "rad" or None
        Of a phase whose title does not say.
    connection : "one-port", "series-through", "shunt-through" or None
        How the part hung on the ports of a network analyser; needed where there are two.
    reference : float or None
        Impedance that scattering parameters in columns refer to [ohm].
    """

    columns: tuple[str, ...] = ()
    decimal: Decimal | None = None
    equivalent: Literal["series", "parallel"] | None = None
    phase: Literal["deg", "rad"] | None = None
    connection: Connection | None = None
    reference: float | None = None


def from_columns(
    titles: Sequence[str], values: FloatArray, name: str, where: str, stated: StatedColumns, words: str = ""
) -> MeterFile:
    """The impedance that columns of numbers hold.

    Parameters
    ----------
    titles : sequence of str
        Empty where there are none.
    values : (rows, columns) float
    name, where : str
        The file, and with its line, for messages.
    stated : StatedColumns
    words : str
        How the text was read.

    Raises
    ------
    MeterFileError
        A column that is needed is missing, or can be read in two ways.

    Examples
    --------
    >>> found = from_columns(["f [kHz]", "R [mohm]", "L [uH]"], np.array([[1.0, 2.0, 1.0]]), "a", "a", StatedColumns())
    >>> found.impedance.round(6).tolist(), found.recognised[0][19:64]
    ([(0.002+0.006283j)], '[kHz], column 2 resistance [mohm], taken as s')
    """
    known = titles_of(titles, values.shape[1], where, stated)
    frequency = frequency_column(known, values, where)
    omega = 2 * np.pi * values[:, frequency] * known[frequency].worth()
    pair = _pair(known, where)
    known = [_told_apart(one, values[:, k], where, stated) if k in pair else one for k, one in enumerate(known)]
    read = _converted(known, pair, values, omega)
    _inductance_matters(known, pair, read, where, stated)
    said = [_column(k, known[k]) for k in (frequency, *pair)]
    unread = [f'"{one.text}"' for k, one in enumerate(known) if k not in (frequency, *pair) and one.text != SKIPPED]
    recognised = ", ".join(said) + (f"; not read: {', '.join(unread)}" if unread else "")
    return in_order(name, omega / (2 * np.pi), read, (*filter(None, (words,)), recognised))


def titles_of(
    titles: Sequence[str], width: int, where: str, stated: StatedColumns,
    also: Callable[[str], bool] = lambda text: False,
) -> list[Title]:  # fmt: skip
    """What every column is, by its own title or the one that is stated; `also` says which others may be stated.

    Raises
    ------
    MeterFileError
        One is missing, or can be read in two ways.
    """
    written = stated.columns or tuple(titles)
    if not written:
        hint = f"say in [measured] what its columns are, in their order: {EXAMPLE}"
        if width == 3:
            found = "three columns without titles, which may be R and L, R and X, or |Z| and phase"
        else:
            found = f"{width} columns without titles"
        raise MeterFileError(where, "titles that say what was measured", found, hint, "columns")
    if len(written) != width:
        raise MeterFileError(
            where, f"a title for each of {width} columns", f"{len(written)}", f"{SKIPPED!r} stands for one not to read",
            "columns",
        )  # fmt: skip
    known = [title_of(text) if text != SKIPPED else Title(SKIPPED, None) for text in written]
    for one in known:
        if one.either:
            hint = f"write it with small letters where they are meant, such as {EXAMPLE}"
            found = f'"{one.text}", which may be {" or ".join(one.either)}'
            raise MeterFileError(where, "a unit that can be told", found, hint, "columns")
        if stated.columns and one.kind is None and one.text != SKIPPED and not also(one.text):
            hint = f"write it as in {EXAMPLE}"
            raise MeterFileError(where, "a quantity with its unit", f'"{one.text}"', hint, "columns")
    return known


def frequency_column(known: Sequence[Title], values: FloatArray, where: str) -> int:
    """The column of the frequency.

    Raises
    ------
    MeterFileError
        There is none, or several, or its unit is open.
    """
    of = [k for k, one in enumerate(known) if one.kind == "f"]
    if len(of) != 1:
        titles = ", ".join(f'"{one.text}"' for one in known)
        found = f"{'none' if not of else 'several'} among {titles}"
        raise MeterFileError(where, "one column of frequency", found, f"say which it is: {EXAMPLE}", "columns")
    column = values[:, of[0]]
    highest = float(np.nanmax(column, initial=0.0))
    if known[of[0]].unit is None and highest < AUDIBLE and not any(one.unit for one in known):
        found = f"numbers up to {highest:g} without a unit, which may be Hz or kHz"
        raise MeterFileError(where, "a unit of the frequency", found, f"say it: {EXAMPLE}", "columns")
    return of[0]


def _pair(known: Sequence[Title], where: str) -> tuple[int, int]:
    """The two columns that fix the impedance."""
    place: dict[Quantity, int] = {}
    for k, one in enumerate(known):
        if one.kind and one.kind != "f":
            if one.quantity in place:
                found = f'"{known[place[one.quantity]].text}" and "{one.text}"'
                hint = f'leave one of them out with "{SKIPPED}": {EXAMPLE}'
                raise MeterFileError(where, f"one column of {one.words}", found, hint, "columns")
            place[one.quantity] = k
    plain = {k for k, one in enumerate(known) if one.kind in ("R", "X", "L") and not one.lay}
    for first, second in PAIRS:
        if first in place and second in place:
            return place[first], place[second]
    for k in plain:  # R beside Lp: parallel as well
        side = known[k].kind
        for other, at in place.items():
            if (other.endswith("p") and (f"{side}p", other) in PAIRS) or (other, f"{side}p") in PAIRS:
                return (k, at) if (f"{side}p", other) in PAIRS else (at, k)
    titles = ", ".join(f'"{one.text}"' for one in known)
    hint = f"R with L or X, |Z| with phase, or one of them with Q or D; say what the columns are: {EXAMPLE}"
    raise MeterFileError(where, "two columns that fix an impedance", titles, hint, "columns")


def _told_apart(one: Title, column: FloatArray, where: str, stated: StatedColumns) -> Title:
    """A column that is used, with its unit and equivalent."""
    if one.kind in ("R", "X", "L") and not one.lay and stated.equivalent:
        return replace(one, lay=_SIDE[stated.equivalent])
    if one.kind != "phase" or one.unit is not None:
        return one
    largest = float(np.nanmax(np.abs(column), initial=0.0))
    if stated.phase or largest > STEEPEST:
        return replace(one, unit=stated.phase or "deg")
    found = f'"{one.text}" with angles up to {largest:.3g}, which may be degrees or radians'
    raise MeterFileError(where, "a unit of the phase", found, 'write phase = "deg" or phase = "rad"', "phase")


def _converted(
    known: Sequence[Title], pair: tuple[int, int], values: FloatArray, omega: FloatArray
) -> ComplexArray:
    """The impedance of two columns; of an equivalent that one of them states, the other as well."""
    sides = {known[k].lay for k in pair if known[k].kind in ("R", "X", "L")} - {""}
    side: Lay = next(iter(sides), "s")
    first, second = (replace(one, lay=one.lay or side) for one in (known[k] for k in pair))
    if (first.quantity, second.quantity) not in PAIRS:
        first, second, pair = second, first, (pair[1], pair[0])
    one, other = (values[:, k] * title.worth() for k, title in zip(pair, (first, second), strict=True))
    with np.errstate(divide="ignore", invalid="ignore"):
        return impedance(first.quantity, second.quantity, one, other, omega)


def _inductance_matters(
    known: Sequence[Title], pair: tuple[int, int], read: ComplexArray, where: str, stated: StatedColumns
) -> None:
    """Asks where R, X or L with Q or D may be in series or in parallel, and that makes a difference."""
    one = next((known[k] for k in pair if known[k].kind in ("R", "X", "L")), None)
    beside = any(known[k].kind in ("Q", "D") for k in pair)
    if one is None or one.lay or not beside or stated.equivalent:
        return
    with np.errstate(divide="ignore", invalid="ignore"):
        least = float(np.nanmin(np.abs(read.imag / read.real), initial=np.inf))
    if one.kind == "R" or least**-2 > MATTERS:
        found = f'"{one.text}" beside Q or D, which may be the series or the parallel equivalent'
        hint = 'write equivalent = "series" or equivalent = "parallel"'
        raise MeterFileError(where, "an equivalent that can be told", found, hint, "equivalent")


def _column(number: int, one: Title) -> str:
    said = f"column {number + 1} {one.words}"
    assert one.kind is not None
    if one.unit is None and BASE[one.kind]:
        said += ", as no unit stands there"
    if one.kind in ("R", "X", "L") and not one.lay:
        said += ", taken as series equivalent"
    return said

