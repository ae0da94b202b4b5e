"""Names in a sentence, long lists by their ends."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

MOST = 4  # names that are all said


def few(names: Sequence[str]) -> str:
    """All of a few, of more the first, the last and their number.

    Examples
    --------
    >>> few(["turn.1", "turn.2"]), few([f"turn.{k}" for k in range(1, 9)])
    ('turn.1, turn.2', 'turn.1 to turn.8 (8)')
    """
    return ", ".join(names) if len(names) <= MOST else f"{names[0]} to {names[-1]} ({len(names)})"


def few_of_each(names: Sequence[str]) -> str:
    """The same for each row of repeated parts by itself.

    Examples
    --------
    >>> few_of_each([*(f"go.{k}" for k in range(1, 7)), "back"])
    'go.1 to go.6 (6), back'
    """
    return ", ".join(few([*row]) for _, row in groupby(names, row_of))


def row_of(name: str) -> str:
    """The name of the row that a repeated part belongs to, without its number.

    Examples
    --------
    >>> row_of("bar.12"), row_of("bar")
    ('bar', 'bar')
    """
    row, _, number = name.rpartition(".")
    return row if row and number.isdecimal() else name


def short_name(name: str, most: int, left_out: str = "\u2026") -> str:
    """At most so many letters; the number of a repeated part is kept.

    Examples
    --------
    >>> short_name("feeder to the berth.12", 14), short_name("feeder to the berth", 11)
    ('feeder to….12', 'feeder to…')
    """
    name = " ".join(name.split())
    if len(name) <= most:
        return name
    end = left_out + name[len(row_of(name)) :]
    return name[: max(most - len(end), 1)].rstrip() + end
