"""Which fields a design cannot do without: emptied, they stay in the text, at fault, instead of going."""

from __future__ import annotations

from collections.abc import Mapping

from pydantic import ValidationError

from crosscurrent.casefile.draft import CONDUCTOR, Draft
from crosscurrent.casefile.tables.place import RELATIONS

from . import edits
from .carry import row_of
from .edits import Place
from .view import tables
from .words import Entry, Plain

_PLACED = frozenset({"gap", *RELATIONS})


def with_entry(text: str, place: Place, value: Entry) -> str:
    """The text with a value at a place; an empty one takes the key out where the design can do without it.

    Raises
    ------
    EditError

    Examples
    --------
    >>> text = '[[conductor]]\\nname = "a"\\nshape = "round"\\nmaterial = "tin"\\ndiameter = "6 mm"\\nturn = "5 deg"\\n'
    >>> with_entry(with_entry(text, ("conductor", 0, "diameter"), ""), ("conductor", 0, "turn"), "").splitlines()[4:]
    ['diameter = ""']
    """
    return with_empty(text, place) if value == "" and is_needed(text, place) else edits.with_value(text, place, value)


def with_empty(text: str, place: Place) -> str:
    """The text with nothing between the quotes of a place."""
    return edits.with_value(text, place, "", kept=True)


def is_needed(text: str, place: Place) -> bool:
    """Whether a design is at fault without what stands at a place of its text."""
    match list(place):
        case ["named", str()]:
            return True
        case ["conductor", int(), "centre", int()]:
            return True
        case ["conductor", int(), "place", str(key)]:
            return key in _PLACED
        case ["conductor", int(row), str(key)]:
            return _cannot_lack(tables(text), row_of(text, row), key)
    return False


def without_empty(text: str, row: int) -> str:
    """The text without dimensions of a conductor that were emptied and that others now stand for.

    Examples
    --------
    >>> text = '[[conductor]]\\nname = "a"\\nshape = "tube"\\ndiameter = "6 mm"\\nwall = ""\\nmaterial = "copper"\\n'
    >>> without_empty(text, 0) == text, "wall" in without_empty(text + 'bore = "4 mm"\\n', 0)
    (True, False)
    """
    for key in [key for key, value in row_of(text, row).items() if value == ""]:
        if not is_needed(text, ("conductor", row, key)):
            text = edits.with_value(text, ("conductor", row, key), "")
    return text


def _cannot_lack(case: Plain, row: Plain, key: str) -> bool:
    """Whether a conductor's table has faults without a key that it has not with a sound value there."""
    context = Draft(case, None).context
    rest = {k: v for k, v in row.items() if k != key and v != ""}
    return bool(_faults(rest, context) - _faults({**rest, key: row.get(key)}, context))


def _faults(row: Mapping[str, object], context: Mapping[str, object]) -> set[tuple[str, str]]:
    try:
        CONDUCTOR.validate_python(row, context=dict(context))
    except ValidationError as error:
        return {(str(e["loc"]), e["type"]) for e in error.errors()}
    return set()
