"""Values said once in [named] and used by their names, wherever a quantity, a count or a metal stands."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from .quantities import nearest

_WORD, _NO_NAMES = re.compile(r"[^\W\d][\w-]*"), ("nan", "inf", "infinity")
DEFINE = "or define it once: {} = ... in [named]"
CONTEXT, AXIAL = "named", "axial"  # under which validation carries them, and whether the section is one round an axis


@dataclass(frozen=True)
class NamedValues:
    """The entries of [named] while a case is read.

    Attributes
    ----------
    values : mapping of str to object
        As written.
    lines : mapping of str to int
        On which line each stands, where that is known.
    used : set of str
        Those that were met.
    """

    values: Mapping[str, object]
    lines: Mapping[str, int] = field(default_factory=dict)
    used: set[str] = field(default_factory=set)

    @property
    def context(self) -> dict[str, NamedValues]:
        """For pydantic's validation."""
        return {CONTEXT: self}


def spelled_out(value: object, context: object) -> tuple[object, str]:
    """The value that a name stands for, and where it stands, for messages; any other value as it is.

    Examples
    --------
    >>> names = NamedValues({"thick": "6 mm"}, {"thick": 3})
    >>> spelled_out("thick", names.context), spelled_out("8 mm", names.context)
    (('6 mm', ' ("thick" in line 3)'), ('8 mm', ''))
    """
    named = _of(context)
    if named is None or not isinstance(value, str) or value not in named.values:
        return value, ""
    named.used.add(value)
    line = named.lines.get(value)
    return named.values[value], f' ("{value}" in {f"line {line}" if line else "[named]"})'


def is_axial(context: object) -> bool:
    """Whether what is validated speaks of a section round an axis."""
    return isinstance(context, Mapping) and bool(context.get(AXIAL))


def near_name(value: object, context: object) -> str | None:
    """The name that a word which is none is most like; None for what begins like a number."""
    named = _of(context)
    if named is None or not isinstance(value, str) or value in named.values or value[:1] in "0123456789.+-":
        return None
    return nearest(value, named.values)


def define(value: object, context: object) -> str:
    """The hint for a word that stands where a figure is wanted and is no name of [named]; none for anything else.

    Examples
    --------
    >>> [define(text, NamedValues({}).context) for text in ("depth", "6 mm", "nan")]
    ['or define it once: depth = ... in [named]', '', '']
    """
    named = _of(context)
    if named is None or not isinstance(value, str) or not _WORD.fullmatch(value) or value.lower() in _NO_NAMES:
        return ""
    return "" if value in named.values else DEFINE.format(value)


def _of(context: object) -> NamedValues | None:
    found = context.get(CONTEXT) if isinstance(context, Mapping) else None
    return found if isinstance(found, NamedValues) else None
