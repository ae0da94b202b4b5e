"""What every table of a case file has in common."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import wraps
from typing import Any, Self, TypeVar

from pydantic import BaseModel, ConfigDict


class Table(BaseModel):
    """A table of the case file: unknown keys are faults, nothing changes after reading."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """With other values, without what was made of the old ones."""
        found = super().model_copy(update=update, deep=deep)
        for name in vars(found).keys() - type(self).model_fields.keys():
            del vars(found)[name]
        return found


Of = TypeVar("Of", bound=Table)
Made = TypeVar("Made")


def kept(make: Callable[[Of], Made]) -> Callable[[Of], Made]:
    """What a table makes of its values, made once."""
    name = f"{make.__qualname__} made"

    @wraps(make)
    def once(table: Of) -> Made:
        if name not in vars(table):
            vars(table)[name] = make(table)
        made: Made = vars(table)[name]
        return made

    return once
