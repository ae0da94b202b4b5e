"""Text of a file -> the rows of numbers in it, and the titles above them.

Which sign parts the columns, and whether numbers have a decimal point or comma, is told by the rows themselves.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .meter_file import MeterFileError
from .titles import is_unit, title_of

Decimal = Literal["point", "comma"]
LARGEST = 1e30  # what meters write where they could not measure
COMMENTS = "#!%"
SEPARATORS = {"\t": "tabs", ";": "semicolons", ",": "commas", " ": "spaces"}
_NONE = re.compile(r"-+|nan|inf|ol|ovld|overload|overflow|n/?a|\*+", re.IGNORECASE)  # a row that could not be measured
_REMARK = re.compile(r"[A-Za-z][A-Za-z ]*")  # in the last cell of a row: what a meter says of it
_POINT = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?")
_COMMA = re.compile(r"[+-]?(\d+,?\d*|,\d+)([eE][+-]?\d+)?")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}(,\d{3})+")
_QUOTED = 60  # letters of a line that a message repeats


@dataclass(frozen=True, eq=False)
class NumberTable:
    """What a file holds.

    Attributes
    ----------
    titles : tuple of str
        Of the columns; empty where there are none.
    line : int
        That the titles, or else the first numbers, stand in.
    values : (rows, columns) float
        nan where the meter wrote that it could not measure.
    words : str
        How it was read.
    """

    titles: tuple[str, ...]
    line: int
    values: FloatArray
    words: str


@dataclass(frozen=True)
class _Line:
    number: int
    text: str

    def cells(self, sign: str) -> list[str]:
        """Parted by a sign; what stands in quotes is one cell."""
        if sign == " ":
            return self.text.split()
        return [cell.strip() for cell in next(csv.reader([self.text.rstrip(sign)], delimiter=sign), [])]


def text_of(data: bytes) -> str:
    """UTF-8, UTF-16 that says so, or else what meters without either write (Windows-1252).

    Examples
    --------
    >>> text_of("R [mΩ]".encode("utf-16")), text_of("µH".encode("cp1252"))
    ('R [mΩ]', 'µH')
    """
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return data.decode("utf-16", errors="replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace")


def text_table(text: str, name: str, decimal: Decimal | None = None) -> NumberTable:
    """Titles and numbers of a file.

    Parameters
    ----------
    text : str
    name : str
        Of the file, for messages.
    decimal : "point" or "comma", optional
        What numbers have, where the user says so.

    Raises
    ------
    MeterFileError

    Examples
    --------
    >>> found = text_table("f [kHz];Rs [mohm]\\n1;0,52\\n10;0,61", "bench.csv")
    >>> found.titles, found.values.tolist(), found.words
    (('f [kHz]', 'Rs [mohm]'), [[1.0, 0.52], [10.0, 0.61]], 'columns parted by semicolons, decimal comma, 2 rows')
    """
    lines = [_Line(n, line.strip("\r\n ")) for n, line in enumerate(text.splitlines(), 1)]
    plain = [line for line in lines if line.text.strip() and line.text.lstrip()[0] not in COMMENTS]
    sign, first = _separator(plain, name)
    rows = [(line, line.cells(sign)) for line in plain[first:]]
    width, remarks = len(rows[0][1]), not _is_entry(rows[0][1][-1])
    for line, cells in rows:
        if len(cells) != width or not all(map(_is_entry, cells[:-1] if remarks else cells)):
            raise MeterFileError(
                f"{name}, line {line.number}", f"{width} numbers parted by {SEPARATORS[sign]}, as in the rows above",
                f'"{line.text[:_QUOTED]}"', "mend the row, or put # before it",
            )  # fmt: skip
    titles, number = _titles(lines, rows[0][0].number, sign, width)
    if remarks:  # such as "ok", row by row
        rows = [(line, [*cells[:-1], "-"]) for line, cells in rows]
    point = _decimal([cells for _, cells in rows], sign, decimal, f"{name}, line {rows[0][0].number}", titles)
    values = np.array([[_number(cell, point) for cell in cells] for _, cells in rows])
    words = f"columns parted by {SEPARATORS[sign]}, decimal {point}, {len(rows)} row{'s' if len(rows) > 1 else ''}"
    return NumberTable(titles, number, values, words)


def _separator(lines: Sequence[_Line], name: str) -> tuple[str, int]:
    """The sign that parts the cells of most rows, and the first row that holds numbers only."""
    numeric = {
        sign: [k for k, line in enumerate(lines) if _is_row(line.cells(sign))] for sign in SEPARATORS
    }
    sign = max(SEPARATORS, key=lambda one: len(numeric[one]))
    if not numeric[sign]:
        found = "words only" if lines else "nothing"
        hint = "export the table of the sweep as CSV, or save it as a Touchstone file (.s1p, .s2p)"
        raise MeterFileError(name, "rows of numbers, frequency and what was measured", found, hint)
    return sign, numeric[sign][0]


def _is_row(cells: Sequence[str]) -> bool:
    numbers = sum(bool(_POINT.fullmatch(c) or _COMMA.fullmatch(c)) for c in cells)
    if len(cells) > 2 and _REMARK.fullmatch(cells[-1]) and numbers > 1:
        return all(map(_is_entry, cells[:-1]))
    return len(cells) > 1 and all(map(_is_entry, cells)) and numbers > 0


def _is_entry(cell: str) -> bool:
    return bool(_POINT.fullmatch(cell) or _COMMA.fullmatch(cell) or _NONE.fullmatch(cell) or _both(cell))


def _both(cell: str) -> bool:
    """Whether a number has points and commas."""
    return bool("." in cell and "," in cell and re.fullmatch(r"[+-]?\d[\d.,]*([eE][+-]?\d+)?", cell))


def _titles(lines: Sequence[_Line], first: int, sign: str, width: int) -> tuple[tuple[str, ...], int]:
    """The last line above the numbers that has a word for each column, a line of units below it joined to it.

    Comments are looked at too where no other line has such words.
    """
    above = [line for line in lines if line.number < first and line.text.strip()]
    fitting = [(line.number, cells) for line in above if line.text.lstrip()[0] not in COMMENTS
               if len(cells := _heads(line, sign, width)) == width]  # fmt: skip
    if not fitting:
        fitting = [(line.number, cells) for line in above
                   if len(cells := _heads(_Line(line.number, line.text.lstrip(f"{COMMENTS} ")), sign, width)) == width
                   and any(title_of(c).kind for c in cells)]  # fmt: skip
    if not fitting:
        return (), first
    number, cells = fitting[-1]
    if len(fitting) > 1 and all(is_unit(c) or not c for c in cells) and any(cells):
        number, names = fitting[-2]
        cells = [f"{name} [{unit.strip('[]() ')}]" if unit else name for name, unit in zip(names, cells, strict=True)]
    return tuple(cells), number


def _heads(line: _Line, sign: str, width: int) -> list[str]:
    """Cells of a line of titles; above columns parted by spaces it may have commas, or titles of several words."""
    cells = line.cells(sign)
    if len(cells) == width:
        return cells
    others = [re.split(r"\s{2,}", line.text), line.cells(","), line.cells(";")] if sign == " " else []
    return next((found for found in others if len(found) == width), [])


def _decimal(
    rows: Sequence[Sequence[str]], sign: str, said: Decimal | None, where: str, titles: Sequence[str]
) -> Decimal:
    """Whether numbers have points or commas."""
    cells = [cell for row in rows for cell in row]
    commas, points = [c for c in cells if "," in c], [c for c in cells if "." in c]
    both = next((c for c in cells if _both(c)), None)
    if both or (commas and points):
        found = f'"{both}"' if both else f'"{points[0]}" and "{commas[0]}"'
        hint = "export without signs between thousands"
        raise MeterFileError(where, "numbers with one decimal mark, point or comma", found, hint)
    if sign == "," and not commas:
        return _of_commas(rows, said, where, titles)
    if said is None and commas and all(_THOUSANDS.fullmatch(c) for c in commas):
        number = commas[0].replace(",", "")
        found = f'"{commas[0]}", which may be {number} or {commas[0].replace(",", ".")}'
        hint = 'decimal = "comma" says that it is a decimal comma; else export without commas between thousands'
        raise MeterFileError(where, "numbers with a decimal point or comma", found, hint, "decimal")
    if said == "point" and commas:
        expected, hint = "numbers with a decimal point, as is said", 'leave decimal out, or write decimal = "comma"'
        raise MeterFileError(where, expected, f'"{commas[0]}"', hint, "decimal")
    return "comma" if commas else "point"


def _of_commas(
    rows: Sequence[Sequence[str]], said: Decimal | None, where: str, titles: Sequence[str]
) -> Decimal:
    """Commas part the cells: then they cannot be in numbers too."""
    hint = 'export with semicolons between columns; decimal = "point" says that all of them are whole numbers'
    cells = ",".join(rows[0])[:_QUOTED]
    if said == "comma":
        raise MeterFileError(where, "another sign than a comma between numbers with decimal commas", f'"{cells}"', hint)
    whole = all(re.fullmatch(r"[+-]?\d+", c) for row in rows for c in row)
    if whole and len(rows[0]) > 3 and said is None and not titles:
        first, *rest = rows[0]
        count = len(rows[0])
        found = f'"{cells}": {count} whole numbers, or {count // 2} with decimal commas ("{first},{rest[0]}")'
        raise MeterFileError(where, "columns that can be told apart", found, hint, "decimal")
    return "point"


def _number(cell: str, point: Decimal) -> float:
    if _NONE.fullmatch(cell):
        return np.nan
    value = float(cell.replace(",", ".") if point == "comma" else cell)
    return value if abs(value) < LARGEST else np.nan


