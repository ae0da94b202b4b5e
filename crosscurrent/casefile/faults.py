"""Faults of a case: where, what was expected, what was found, what to do; all of them in one error."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from crosscurrent.geometries.errors import CrosscurrentError

LONGEST = 300  # letters of what was found that a message repeats


@dataclass(frozen=True)
class Fault:
    """One fault of a case.

    Parameters
    ----------
    line : int or None
        Line of the case file, counted from 1; None where no line is to blame.
    key : str
        The key, with its way down from `place`: "width", "plating 2 thickness"; may be empty.
    expected, found, hint : str
        What was expected there, what was found, what to do about it; the hint may be empty.
    place : str
        The table that holds the key: 'conductor "outgoing"', "frequency"; may be empty.

    Examples
    --------
    >>> str(Fault(14, "width", "a length", '"6 kHz"', "write mm", 'conductor "go"'))
    'line 14, conductor "go", key width: expected a length, found "6 kHz"; write mm'
    """

    line: int | None
    key: str
    expected: str
    found: str
    hint: str = ""
    place: str = ""

    def __str__(self) -> str:
        return f"{', '.join(self._where('key'))}: {self.what}".removeprefix(": ")

    def as_argument(self) -> str:
        """The same for a caller in Python: the argument's name stands where a file has its line number."""
        return f"{', '.join(reversed(self._where('argument')))}: {self.what}".removeprefix(": ")

    @property
    def separator(self) -> str:
        """What stands between the file's name and this fault."""
        return ", " if self._where("key") else ": "

    def _where(self, noun: str) -> list[str]:
        line = f"line {self.line}" if self.line is not None else ""
        return [_shown(part)[:LONGEST] for part in (line, self.place, f"{noun} {self.key}" if self.key else "") if part]

    @property
    def what(self) -> str:
        """What was expected, what was found, what to do; without where."""
        found, hint = _cut(self.found, LONGEST), _cut(self.hint, 3 * LONGEST)
        return f"expected {_shown(self.expected)}, found {found}" + (f"; {hint}" if hint else "")


def _place(fault: Fault) -> float:
    """Where a fault is told: a table that is missing altogether first, what has no line at all last."""
    if fault.line is None:
        return 0 if fault.key else math.inf
    return fault.line


def _cut(text: str, most: int) -> str:
    text = _shown(text)
    return text if len(text) <= most else f"{text[:most]} ..."


def _shown(text: str) -> str:
    """A text out of a file with what would move a terminal's cursor or turn its letters round spelled out."""
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


class CaseError(CrosscurrentError, ValueError):
    """A case that cannot be solved as it is written, with all its faults.

    Parameters
    ----------
    faults : iterable of Fault
    file : str
        Name of the case file; empty for a case built in Python.
    """

    def __init__(self, faults: Iterable[Fault], file: str = "") -> None:
        self.faults = tuple(sorted(faults, key=_place))
        self.file = file
        super().__init__(str(self))

    def __str__(self) -> str:
        if not self.file:
            return "\n".join(fault.as_argument() for fault in self.faults)
        lines = [f"{self.file}{fault.separator}{fault}" for fault in self.faults]
        count = [f"{self.file}: {len(lines)} faults"] if len(lines) > 1 else []
        return "\n".join(count + lines)
