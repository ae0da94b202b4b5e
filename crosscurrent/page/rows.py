"""A table more, or a row more in a list of them: with what it needs, and names that the case has."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from itertools import count

from crosscurrent.casefile.keys import Key, Topic, topics

from . import edits
from .edits import DIRECTIONS, EditError, Place
from .words import Plain

# what a row begins with beside what it must have
ALSO = {
    "water": ("flow",), "vary": ("name", "from", "to"), "material": ("conductivity",), "duty": ("current",),
    "coil": ("current",), "waveform": ("frequency",), "harmonics": ("order",),
    "over_temperature": ("thermal_conductivity", "heat_capacity"),
    "clad": ("width", "thickness", "offset"),
}  # fmt: skip
CARRIERS = ("out", "turns", "conductors")  # keys that name conductors
NAMED = ("circuit", "coil")  # keys and tables of what carries a current


def topic_of(place: Place) -> Topic:
    """The table that rows at a place are.

    Raises
    ------
    EditError
        No rows stand there.

    Examples
    --------
    >>> topic_of(("duty",)).heading, topic_of(("waveform", "harmonics")).heading
    ('[[duty]]', 'harmonics of [waveform]')
    """
    words = [step for step in place if isinstance(step, str)]
    found = topics().get(".".join(words)) or topics().get(words[-1] if words else "")
    if found is None:
        raise EditError(f"no rows stand at {'.'.join(words)}")
    return found


def with_row(text: str, place: Place) -> str:
    """The text with one more row at a place: [[duty]], a coat of a conductor, a metal of one's own.

    Parameters
    ----------
    text : str
        TOML.
    place : sequence of str and int
        Of the list, from the top.

    Raises
    ------
    EditError

    Examples
    --------
    >>> print(with_row('[[circuit]]\\nname = "go"\\n', ("joint",)))
    [[circuit]]
    name = "go"
    <BLANKLINE>
    [[joint]]
    name = "bolted"
    circuit = "go"
    resistance = "3 uohm"
    <BLANKLINE>
    """
    from .view import tables

    topic, said = topic_of(place), tables(text)
    taken = _taken(said, place)
    begun = [key for key in topic.keys if key.needed or key.name in ALSO.get(topic.name, ())]
    alone = topic.heading == f"[{topic.name}]"
    values = {key.name: _start(key, said, taken) for key in (begun if begun or alone else topic.keys[:2])}
    if topic.name == "material":
        name = _free("own-metal", taken)
        return edits.with_appended(text, place, values, name)
    return edits.with_appended(text, place, values, listed=not alone)


def _taken(said: object, place: Place) -> set[str]:
    """Names that rows at a place have already."""
    for step in place:
        if isinstance(said, Mapping):
            said = said.get(str(step), [])
        elif isinstance(said, Sequence) and isinstance(step, int) and step < len(said):
            said = said[step]
        else:
            return set()
    if isinstance(said, Mapping):
        return set(said)
    return {str(row.get("name")) for row in said if isinstance(row, Mapping)} if isinstance(said, list) else set()


def _start(key: Key, said: Plain, taken: set[str]) -> object:
    """A value to begin with: the example's, with names of the case."""
    sample = tomllib.loads(f"x = {key.sample}")["x"]
    carrying = [str(row.get("name", "")) for table in NAMED for row in said.get(table, [])]
    conductors = [str(row.get("name", "")) for row in said.get("conductor", [])]
    used = {w for row in said.get("circuit", []) for way in DIRECTIONS for w in row.get(way, [])}
    used |= {w for row in said.get("coil", []) for w in row.get("turns", [])}
    idle = [name for name in conductors if not {name, f"{name}.*"} & used] or conductors
    if key.name == "name" and key.kind == "text":  # a figure that a study varies
        return next(iter(said.get("named", {})), _figure(said) or sample)
    if key.name == "name":
        return _free(str(sample), taken)
    if key.name in NAMED and carrying:
        return carrying[0]
    if key.name in CARRIERS and idle:
        return [idle[0]]
    return idle[0] if key.name == "piece" and idle else sample


def _figure(said: Plain) -> str:
    """The first length of the first conductor, as a study names it."""
    rows = said.get("conductor", [])
    lengths = [key for key, value in rows[0].items() if str(value)[:1].isdigit()] if rows else []
    return f"{rows[0].get('name')}.{lengths[0]}" if lengths else ""


def _free(word: str, taken: set[str]) -> str:
    return next(name for k in count(1) if (name := word if k == 1 else f"{word}-{k}") not in taken)
