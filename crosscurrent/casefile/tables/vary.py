"""The tables [[vary]]: what a study varies, and over what."""

from __future__ import annotations

import json
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, field_validator, model_validator

from ..entries import Kind, Names, Sample, fault
from ..quantities import kind
from .base import Table

Value = str | int | float


def _value(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, (str, int, float)):
        raise fault("a quantity in quotes, a count or the name of a metal", kind(value), 'write "3 mm"')
    return value


Written = Annotated[Value, BeforeValidator(_value), Kind("a quantity, a count or a metal")]


def _chosen(value: object) -> object:
    return json.dumps(value) if isinstance(value, dict) else _value(value)


Chosen = Annotated[Value, BeforeValidator(_chosen), Kind("a quantity, a count, a metal or a conductor")]


class VaryTable(Table):
    """One thing that a study varies: a range, values, alternatives that move together, or all orders of phases."""

    name: Annotated[
        str | None, Sample('"gap"', 'a name of [named], or a figure written out, such as "outgoing.thickness"')
    ] = None
    start: Annotated[Written | None, Sample('"0.5 mm"', "least value of a range")] = Field(None, alias="from")
    to: Annotated[Written | None, Sample('"10 mm"', "largest value of a range")] = None
    values: Annotated[
        tuple[Written, ...], Sample('["3 mm", "5 mm", "6 mm"]', "instead of a range: these and no others", apart=True)
    ] = ()
    choices: Annotated[
        tuple[dict[str, Chosen], ...],
        Kind("a list of tables in braces"),
        Sample(
            '[{ is = "copper 6", metal = "copper", thick = "6 mm" }, '
            '{ is = "aluminium 10", metal = "aluminium-1350", thick = "10 mm" }]',
            "instead of name: alternatives, each with values of their own; is: what it is called. A whole conductor by "
            'its name: lead = { shape = "round", diameter = "8 mm" }',
            apart=True,
        ),
    ] = ()
    orders: Annotated[
        Literal["all"] | None,
        Sample('"all"', "instead of name: all orders of phases; beside others the best of each design", apart=True),
    ] = None
    of: Annotated[str | None, Sample('"bar"', "the repeated conductor whose copies change places", apart=True)] = None
    circuits: Annotated[Names, Sample('["L1", "L2", "L3"]', "the circuits that share them evenly", apart=True)] = ()

    @field_validator("values", "choices", mode="after")
    @classmethod
    def _some(cls, value: tuple[object, ...]) -> tuple[object, ...]:
        if not value:
            raise fault("one or more", "an empty list", "fill it, or leave the line out")
        return value

    @field_validator("choices", mode="before")
    @classmethod
    def _tables(cls, value: object) -> object:
        plain = [one for one in value if not isinstance(one, dict)] if isinstance(value, list) else []
        if plain:
            hint = 'single values, metals too, are values = ["copper", "aluminium-1350"] beside their name'
            raise fault('tables in braces, { is = "thin", thick = "3 mm" }', f'"{plain[0]}"', hint)
        return value

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        ranged = [key for key, value in (("from", self.start), ("to", self.to)) if value is not None]
        others = [key for key in ("values", "choices", "orders") if getattr(self, key)]
        ways = [*(["from, to"] if ranged else []), *others]
        if len(ways) != 1:
            found = " and ".join(ways) or "none of them"
            raise fault("one of from and to, values, choices, orders", found, 'write from = "1 mm", to = "9 mm"')
        if len(ranged) == 1:
            raise fault("both ends of a range", f"{ranged[0]} alone", 'write from = "1 mm" and to = "9 mm"')
        if (self.name is None) == bool(ranged or self.values):
            wanted = "a name beside a range or values" if self.name is None else f"no name beside {ways[0]}"
            raise fault(wanted, "none" if self.name is None else f'"{self.name}"', 'such as name = "gap"')
        if self.orders and not (self.of and len(self.circuits) > 1):
            found = "no of" if not self.of else "one circuit" if self.circuits else "no circuits"
            raise fault("of, and two circuits or more, beside orders", found, 'such as circuits = ["L1", "L2", "L3"]')
        if any(len(choice) < 2 or not isinstance(choice.get("is"), str) for choice in self.choices):
            raise fault('"is" and at least one value in every choice', "less", '{ is = "thin", thick = "3 mm" }')
        return self
