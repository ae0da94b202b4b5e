"""Quantities that a case file gives without quotes, which TOML cannot read: found, told all at once, and mended."""

from __future__ import annotations

import re
from dataclasses import dataclass

from .faults import Fault
from .lines import STRING
from .units import DIMENSIONS

_UNITS = sorted({re.escape(unit) for kind in DIMENSIONS.values() for unit in kind.units}, key=len, reverse=True)
_SKIPPED = re.compile(rf"(?:{STRING.pattern})|#[^\n]*", re.DOTALL)
_BARE = re.compile(
    r"(?<=[=\[,\n])(?P<space>[ \t]*)"
    rf"(?P<quantity>[+-]?(?:[0-9]+ )?[0-9][0-9.,/]*(?:[eE][+-]?[0-9]+)? ?(?:{'|'.join(_UNITS)}))"
    r"(?=[ \t]*(?:[,\]}#\r\n]|$))"
)


@dataclass(frozen=True)
class Mended:
    """A text with quotes where they were missing, and a fault for each place."""

    text: str
    faults: tuple[Fault, ...]


def mended(text: str) -> Mended:
    """Put every bare quantity of a TOML text in quotes; those inside of text and comments are none.

    Examples
    --------
    >>> found = mended('ambient = 35 degC\\nat = ["50 Hz", 400 Hz]  # 60 Hz, not 50 Hz')
    >>> found.text
    'ambient = "35 degC"\\nat = ["50 Hz", "400 Hz"]  # 60 Hz, not 50 Hz'
    >>> print(found.faults[1])
    line 2: expected a quantity in quotes, found 400 Hz; add quotes: write "400 Hz"
    """
    hidden = _SKIPPED.sub(_blank, text)  # as long as the text, line by line
    parts, faults, at = [], [], 0
    for match in _BARE.finditer(hidden):
        start, end = match.span("quantity")
        parts.append(f'{text[at:start]}"{text[start:end]}"')
        line, at = text.count("\n", 0, start) + 1, end
        found = text[start:end]
        faults.append(Fault(line, "", "a quantity in quotes", found, f'add quotes: write "{found}"'))
    return Mended("".join([*parts, text[at:]]), tuple(faults))


def _blank(match: re.Match[str]) -> str:
    """As many signs: blanks for a comment, no part of a quantity for text."""
    return re.sub(r"[^\n]", " " if match[0].startswith("#") else "\x00", match[0])
