"""Kinds of fields in a case: a quantity as text with a unit, a bare number, a name; each fault in full words."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator
from pydantic_core import PydanticCustomError

from .quantities import QuantityError, kind, read_quantity


def some(hint: str) -> AfterValidator:
    """At least one entry; the hint says which."""

    def check(entries: tuple[Any, ...]) -> tuple[Any, ...]:
        if not entries:
            raise fault("at least one conductor", "an empty list", hint)
        return entries

    return AfterValidator(check)


def fault(expected: str, found: str, hint: str = "") -> PydanticCustomError:
    """A fault in pydantic's terms; the reader adds file, line and key."""
    return PydanticCustomError("fault", "{expected}", {"expected": expected, "found": found, "hint": hint})


def _quantity(dimension: str) -> BeforeValidator:
    def read(value: Any) -> float:
        try:
            return read_quantity(value, dimension)
        except QuantityError as error:
            raise fault(error.expected, error.found, error.hint) from None

    return BeforeValidator(read)


def _number(
    expected: str, low: float, high: float, kinds: tuple[type[int] | type[float], ...] = (int, float)
) -> BeforeValidator:
    def read(value: Any) -> Any:
        if isinstance(value, bool) or not isinstance(value, kinds) or not low <= value <= high:
            hint = "write it without quotes" if isinstance(value, str) else ""
            raise fault(expected, kind(value), hint)
        return value

    return BeforeValidator(read)


def _name(value: str) -> str:
    bad = [c for c in value if c in './\\*"' or not c.isprintable()]
    if not value.strip():
        raise fault("a name of letters or digits", kind(value), "give it one")
    if value != value.strip():
        raise fault("a name that neither begins nor ends with a space", kind(value), f'write "{value.strip()}"')
    if bad:
        raise fault('a name without . / \\ * " and control characters', kind(value), f"leave out {bad[0]!r}")
    return value


Length = Annotated[float, _quantity("length")]
Radius = Annotated[float, _quantity("radius")]
Position = Annotated[float, _quantity("position")]
Frequency = Annotated[float, _quantity("frequency")]
Current = Annotated[float, _quantity("current")]
Angle = Annotated[float, _quantity("angle")]
Temperature = Annotated[float, _quantity("temperature")]
Conductivity = Annotated[float, _quantity("conductivity")]
Resistivity = Annotated[float, _quantity("resistivity")]
Coefficient = Annotated[float, _quantity("temperature coefficient")]
Ratio = Annotated[float, _quantity("ratio")]
Permeability = Annotated[float, _number("a relative permeability, a bare number above 0 and up to 5000", 1e-6, 5000)]
Bulge = Annotated[float, _number("a bulge, a bare number from -100 to 100", -100, 100)]
Count = Annotated[int, _number("a count, a bare whole number from 1 to 1000", 1, 1000, (int,))]
Points = Annotated[int, _number("a bare whole number from 2 to 10000", 2, 10000, (int,))]
Name = Annotated[str, AfterValidator(_name)]
Names = tuple[str, ...]
Pair = tuple[Position, Position]
