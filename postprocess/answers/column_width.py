"""Tables cut to the width of a terminal: units into heads, heads over several lines, columns over several tables."""

from __future__ import annotations

import re
import textwrap
from collections.abc import Sequence
from dataclasses import dataclass

from .tables import TextTable

GAP = EDGES = 2  # blanks between two columns, and at both ends of a row together
PROSE = 24  # a wider cell may be broken between its words
LEAST = 20  # of what such a cell keeps at least
WHICH = (("at",), ("no.",), ("of",))  # second columns that say what a row is of, as the first ones do
HEAD = 2  # lines a head takes, its unit apart, where there is room

_QUANTITY = re.compile(r"((?:< )?[-+]?\d[\d.e+-]*) ([A-Za-z%]\S*)")
_BARE = re.compile(r"-|0|induced|none")
_SECOND = ("+-", "[", "by hand", "differs", "ladder's")  # heads that say nothing without the column before


@dataclass(frozen=True)
class _Column:
    head: str
    cells: tuple[str, ...]
    unit: str = ""

    @property
    def natural(self) -> int:
        """Width with nothing broken."""
        return max(map(len, (self.head, *self.cells)))

    @property
    def least(self) -> int:
        """Width with the head broken between words, and the cells where they are prose."""
        whole = max((len(cell) for cell in self.cells), default=0)
        words = _longest_word(self.cells)
        return max(_longest_word((self.head, self.unit)), whole if whole <= PROSE else max(words, min(LEAST, whole)))

    def lines(self, width: int) -> list[str]:
        """The head in lines of at most that width."""
        return textwrap.wrap(self.head, width, break_long_words=False, break_on_hyphens=False)

    def bare(self) -> _Column:
        """With the unit of its cells, where they share one, in the head."""
        found = [_QUANTITY.fullmatch(cell) for cell in self.cells]
        units = {match[2] for match in found if match}
        others = [cell for cell, match in zip(self.cells, found, strict=True) if not match]
        if len(units) != 1 or not all(_BARE.fullmatch(cell) for cell in others):
            return self
        cells = tuple(match[1] if match else cell for cell, match in zip(self.cells, found, strict=True))
        return _Column(self.head, cells, f"[{units.pop()}]")

    def broken(self, width: int) -> tuple[str, tuple[str, ...]]:
        """Head and cells in lines of at most that width, the unit in a line of its own."""
        head = "\n".join([*self.lines(width), *([self.unit] if self.unit else [])])
        return head, tuple("\n".join(textwrap.wrap(cell, width, break_long_words=False)) for cell in self.cells)


def fitted(table: TextTable, width: int) -> tuple[TextTable, ...]:
    """The table as it is where it fits, else as one or more that do; the first columns say in each what a row is of.

    Examples
    --------
    >>> wide = TextTable("Loop", ("circuit", "R loop", "+-"), (("feed", "1.569 mohm/m", "0.01 %"),))
    >>> fitted(wide, 80) == (wide,)
    True
    >>> [(part.columns, part.rows) for part in fitted(wide, 26)]
    [(('circuit', 'R loop\\n[mohm/m]', '+-\\n[%]'), (('feed', '1.569', '0.01'),))]
    """
    cells = zip(*table.rows, strict=True) if table.rows else [()] * len(table.columns)
    columns = [_Column(*pair) for pair in zip(table.columns, map(tuple, cells), strict=True)]
    if _total([c.natural for c in columns]) <= width:
        return (table,)
    columns = [columns[0], *(c.bare() for c in columns[1:])]
    lead = 2 if table.columns[1:2] in WHICH else 1
    return tuple(
        TextTable("" if number else table.heading, *_laid(part, width))
        for number, part in enumerate(_parts(columns[:lead], columns[lead:], width))
    )


def _parts(lead: list[_Column], rest: list[_Column], width: int) -> list[list[_Column]]:
    """The columns in as few tables as fit, the leading ones in each."""
    bundles: list[list[_Column]] = []
    for column in rest:
        if column.head.startswith(_SECOND) and bundles:
            bundles[-1].append(column)
        else:
            bundles.append([column])
    parts: list[list[_Column]] = [list(lead)]
    for bundle in bundles:
        wanted = [*parts[-1], *bundle]
        if _total([c.least for c in wanted]) > width and len(parts[-1]) > len(lead):
            wanted = [*lead, *bundle]
            parts.append([])
        parts[-1] = wanted
    return parts


def _laid(columns: list[_Column], width: int) -> tuple[tuple[str, ...], tuple[tuple[str, ...], ...]]:
    """Heads and rows: every column of the least width, and wider where prose or a head of many lines asks for it."""
    widths = [max(1, c.least) for c in columns]
    spare = width - _total(widths)
    for k, column in enumerate(columns):
        asked = max([len(cell) for cell in column.cells], default=0)
        while len(column.lines(max(asked, widths[k]))) > HEAD:
            asked = max(asked, widths[k]) + 1
        more = max(0, min(spare, asked - widths[k]))
        widths[k] += more
        spare -= more
    heads, cells = zip(*(column.broken(w) for column, w in zip(columns, widths, strict=True)), strict=True)
    return heads, tuple(zip(*cells, strict=True))


def _total(widths: Sequence[int]) -> int:
    return sum(widths) + GAP * (len(widths) - 1) + EDGES


def _longest_word(texts: Sequence[str]) -> int:
    return max((len(word) for text in texts for word in text.split()), default=0)
