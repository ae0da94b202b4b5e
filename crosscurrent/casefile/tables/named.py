"""The table [named]: values said once and used by their names."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, BeforeValidator

from ..entries import Kind, Sample, fault
from ..quantities import kind


def _value(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise fault("a quantity in quotes, a count or the name of a metal", kind(value), 'write gap = "3 mm"')
    return value


def _name(name: str) -> str:
    if not name or name[0] in "0123456789.+-" or name != name.strip():
        raise fault("a name that begins with a letter", kind(name), 'such as gap = "3 mm"')
    return name


NamedTable = dict[
    Annotated[str, AfterValidator(_name)],
    Annotated[
        str | int | float,
        BeforeValidator(_value),
        Kind("a quantity, perhaps with +-, a count or a metal"),
        Sample('"3 mm +- 0.2 mm"', 'then: place = { below = "outgoing", gap = "gap" }'),
    ],
]
