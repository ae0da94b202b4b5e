"""Kinds of fields in a case: a quantity as text with a unit, a bare number, a name; each fault in full words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from pydantic import AfterValidator, BeforeValidator, GetCoreSchemaHandler
from pydantic_core import CoreSchema, PydanticCustomError
from pydantic_core.core_schema import no_info_before_validator_function, plain_serializer_function_ser_schema

from ..geometries.drawings.sketch import UNITS
from .quantities import QuantityError, kind, read_quantity, write_quantity
from .units import TRAPS


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


@dataclass(frozen=True)
class _Quantity:
    """Text with a unit in, a number inside, text with a unit again in JSON."""

    dimension: str

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        text = plain_serializer_function_ser_schema(self._write, when_used="json")
        return no_info_before_validator_function(self._read, handler(source), serialization=text)

    def _read(self, value: Any) -> float:
        try:
            return read_quantity(value, self.dimension)
        except QuantityError as error:
            raise fault(error.expected, error.found, error.hint) from None

    def _write(self, value: float) -> str:
        return write_quantity(value, self.dimension)


def number(
    expected: str, low: float, high: float, kinds: tuple[type[int] | type[float], ...] = (int, float), advice: str = ""
) -> BeforeValidator:
    """A bare number from low to high; the fault says what was expected."""

    def read(value: Any) -> Any:
        if isinstance(value, bool) or not isinstance(value, kinds) or not low <= value <= high:
            hint = "write it without quotes" if isinstance(value, str) else advice
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


def _unit(value: str) -> str:
    if value not in UNITS:
        hint = TRAPS.get(value.lower(), "").format(n="...")
        raise fault(f"a unit of length, one of {', '.join(UNITS)}", kind(value), hint)
    return value


Length = Annotated[float, _Quantity("length")]
Radius = Annotated[float, _Quantity("radius")]
Position = Annotated[float, _Quantity("position")]
Frequency = Annotated[float, _Quantity("frequency")]
Current = Annotated[float, _Quantity("current")]
Angle = Annotated[float, _Quantity("angle")]
Temperature = Annotated[float, _Quantity("temperature")]
Conductivity = Annotated[float, _Quantity("conductivity")]
Resistivity = Annotated[float, _Quantity("resistivity")]
Coefficient = Annotated[float, _Quantity("temperature coefficient")]
FluxDensity = Annotated[float, _Quantity("flux density")]
Stress = Annotated[float, _Quantity("stress")]
Pressure = Annotated[float, _Quantity("pressure")]
GaugePressure = Annotated[float, _Quantity("gauge pressure")]
Flow = Annotated[float, _Quantity("flow")]
JointResistance = Annotated[float, _Quantity("resistance")]
Voltage = Annotated[float, _Quantity("voltage")]
FieldStrength = Annotated[float, _Quantity("field strength")]
Density = Annotated[float, _Quantity("density")]
Speed = Annotated[float, _Quantity("speed")]
Altitude = Annotated[float, _Quantity("altitude")]
Time = Annotated[float, _Quantity("time")]
ThermalConductivity = Annotated[float, _Quantity("thermal conductivity")]
HeatCapacity = Annotated[float, _Quantity("heat capacity")]
LossPerMetre = Annotated[float, _Quantity("loss per metre")]
InductancePerMetre = Annotated[float, _Quantity("inductance per metre")]
ForcePerMetre = Annotated[float, _Quantity("force per metre")]
TemperatureRise = Annotated[float, _Quantity("temperature rise")]
MassPerMetre = Annotated[float, _Quantity("mass per metre")]
Ratio = Annotated[float, _Quantity("ratio")]
Glycol = Annotated[float, _Quantity("share of glycol")]
Permeability = Annotated[float, number("a relative permeability, a bare number above 0 and up to 5000", 1e-6, 5000)]
Emissivity = Annotated[float, number("an emissivity, a bare number from 0.01 to 1", 0.01, 1)]
Bulge = Annotated[float, number("a bulge, a bare number from -100 to 100", -100, 100)]
Scale = Annotated[float, number("a factor, a bare number from 0.000001 to 1000000", 1e-6, 1e6)]
ReactanceRatio = Annotated[float, number("a ratio X/R, a bare number from 0.01 to 1000", 0.01, 1000)]
Quality = Annotated[float, number("a quality factor, a bare number from 1 to 100000", 1, 1e5)]
Permittivity = Annotated[float, number("a relative permittivity, a bare number from 1 to 10000", 1, 1e4)]
Bends = Annotated[int, number("a number of bends, a bare whole number from 0 to 10000", 0, 10000, (int,))]
Count = Annotated[int, number("a count, a bare whole number from 1 to 1000", 1, 1000, (int,))]
Copies = Annotated[
    int, number("a count, a bare whole number from 1 to 1000", 1, 1000, (int,), "leave repeat out for a single one")
]
Points = Annotated[int, number("a bare whole number from 2 to 10000", 2, 10000, (int,))]
Name = Annotated[str, AfterValidator(_name)]
Unit = Annotated[str, AfterValidator(_unit)]
RegionName = Annotated[str, BeforeValidator(lambda value: str(value) if type(value) is int else value)]
Names = tuple[str, ...]
Pair = tuple[Position, Position]
