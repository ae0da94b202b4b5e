"""Kinds of fields in a case: a quantity as text with a unit, a bare number, a name; each fault in full words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from pydantic import (
    AfterValidator,
    BeforeValidator,
    GetCoreSchemaHandler,
    ValidationError,
    ValidationInfo,
    ValidatorFunctionWrapHandler,
)
from pydantic_core import CoreSchema, InitErrorDetails, PydanticCustomError
from pydantic_core.core_schema import (
    plain_serializer_function_ser_schema,
    with_info_before_validator_function,
    with_info_wrap_validator_function,
)

from crosscurrent.geometries.drawings.sketch import UNITS

from .named import define, is_axial, near_name, spelled_out
from .quantities import (
    InTotal,
    QuantityError,
    Toleranced,
    kind,
    read_quantity,
    tolerance,
    write_quantity,
    write_tolerance,
)
from .units import TRAPS


def some(hint: str) -> AfterValidator:
    """At least one entry; the hint says which.

    Raises
    ------
    PydanticCustomError
        While reading, where there is none.
    """

    def check(entries: tuple[object, ...]) -> tuple[object, ...]:
        if not entries:
            raise fault("at least one conductor", "an empty list", hint)
        return entries

    return AfterValidator(check)


def fault(expected: str, found: str, hint: str, key: str = "") -> PydanticCustomError:
    """A fault in pydantic's terms; the reader adds file, line and key: of a whole table the one that is to change."""
    words = {"expected": expected, "found": found, "hint": hint}
    return PydanticCustomError("fault", "{expected}", {**words, "key": key} if key else words)


def faults(every: Sequence[PydanticCustomError]) -> ValidationError:
    """Several faults of one table, told together."""
    return ValidationError.from_exception_data("faults", [InitErrorDetails(type=one, input=None) for one in every])


@dataclass(frozen=True)
class Sample:
    """A key for those who look for it: a value as it stands in a case file (of a table none), and what it means.

    `apart`: it stands in no example together with all others, since one of them says the same or it needs other tables.
    """

    text: str
    meaning: str
    apart: bool = False


@dataclass(frozen=True)
class Kind:
    """What a key takes, in words, where its type does not say; and the dimension of quantities in it."""

    words: str
    dimension: str = ""


@dataclass(frozen=True)
class OwnName:
    """A name of the user's own, for a table that holds one entry a name."""

    text: str


@dataclass(frozen=True)
class Quantity:
    """Text with a unit in, a number inside, text with a unit again in JSON.

    `in_total`: its dimension round an axis, where that is another one.
    """

    dimension: str
    in_total: str = ""

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        text = plain_serializer_function_ser_schema(self._write, when_used="json")
        return with_info_wrap_validator_function(self._checked, handler(source), serialization=text)

    def _checked(self, value: object, inner: ValidatorFunctionWrapHandler, info: ValidationInfo) -> float:
        number = self._read(value, info)
        checked: float = inner(number)
        named = spelled_out(value, info.context)[0] is not value
        if (dimension := self._meant(info)) != self.dimension:
            return InTotal(checked)
        spread = tolerance(value, dimension) if isinstance(value, str) and not named else None
        return Toleranced(checked, spread) if spread else checked

    def _meant(self, info: ValidationInfo) -> str:
        return self.in_total if self.in_total and is_axial(info.context) else self.dimension

    def _read(self, value: object, info: ValidationInfo) -> float:
        meant, where = spelled_out(value, info.context)
        try:
            return read_quantity(meant, self._meant(info))
        except QuantityError as error:
            near = near_name(value, info.context)
            apart = "; ".join(hint for hint in (error.hint, define(value, info.context)) if hint)
            hint = f'did you mean "{near}" of [named]?' if near else apart
            raise fault(error.expected, f"{error.found}{where}", hint) from None

    def _write(self, value: float) -> str:
        behind = write_tolerance(value.tolerance, self.dimension) if isinstance(value, Toleranced) else ""
        dimension = self.in_total if isinstance(value, InTotal) else self.dimension
        return write_quantity(value, dimension) + behind


@dataclass(frozen=True)
class BareNumber:
    """A number without a unit, from low to high; the fault says what was expected."""

    expected: str
    low: float
    high: float
    kinds: tuple[type[int] | type[float], ...] = (int, float)
    advice: str = "write a number in this range"

    def __get_pydantic_core_schema__(self, source: object, handler: GetCoreSchemaHandler) -> CoreSchema:
        return with_info_before_validator_function(self._read, handler(source))

    def _read(self, value: object, info: ValidationInfo) -> object:
        value, where = spelled_out(value, info.context)
        if isinstance(value, bool) or not isinstance(value, self.kinds) or not self.low <= value <= self.high:
            hint = define(value, info.context) and f"{self.advice}, {define(value, info.context)}"
            hint = hint or ("write it without quotes" if isinstance(value, str) else self.advice)
            raise fault(self.expected, f"{kind(value)}{where}", hint)
        return value


def _metal(value: object, info: ValidationInfo) -> object:
    return spelled_out(value, info.context)[0]


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
        hint = TRAPS.get(value.lower(), "").format(n="...") or "choose one of them"
        raise fault(f"a unit of length, one of {', '.join(UNITS)}", kind(value), hint)
    return value


Length = Annotated[float, Quantity("length")]
Area = Annotated[float, Quantity("area")]
StrandDiameter = Annotated[float, Quantity("strand diameter")]
Radius = Annotated[float, Quantity("radius")]
Position = Annotated[float, Quantity("position")]
Frequency = Annotated[float, Quantity("frequency")]
Current = Annotated[float, Quantity("current")]
Angle = Annotated[float, Quantity("angle")]
Temperature = Annotated[float, Quantity("temperature")]
Conductivity = Annotated[float, Quantity("conductivity")]
Resistivity = Annotated[float, Quantity("resistivity")]
Coefficient = Annotated[float, Quantity("temperature coefficient")]
FluxDensity = Annotated[float, Quantity("flux density")]
Stress = Annotated[float, Quantity("stress")]
Pressure = Annotated[float, Quantity("pressure")]
GaugePressure = Annotated[float, Quantity("gauge pressure")]
Flow = Annotated[float, Quantity("flow")]
JointResistance = Annotated[float, Quantity("resistance")]
ReferenceImpedance = Annotated[float, Quantity("reference impedance")]
Voltage = Annotated[float, Quantity("voltage")]
FieldStrength = Annotated[float, Quantity("field strength")]
Density = Annotated[float, Quantity("density")]
Speed = Annotated[float, Quantity("speed")]
Altitude = Annotated[float, Quantity("altitude")]
Time = Annotated[float, Quantity("time")]
ThermalConductivity = Annotated[float, Quantity("thermal conductivity")]
HeatCapacity = Annotated[float, Quantity("heat capacity")]
HeatTransfer = Annotated[float, Quantity("heat transfer")]
Power = Annotated[float, Quantity("power")]
ReactivePower = Annotated[float, Quantity("reactive power")]
Loss = Annotated[float, Quantity("loss per metre", in_total="power")]
Resistance = Annotated[float, Quantity("resistance per metre", in_total="resistance of a coil")]
Inductance = Annotated[float, Quantity("inductance per metre", in_total="inductance")]
Force = Annotated[float, Quantity("force per metre", in_total="force")]
LeadInductance = Annotated[float, Quantity("inductance")]
TemperatureRise = Annotated[float, Quantity("temperature rise")]
MassPerMetre = Annotated[float, Quantity("mass per metre")]
Ratio = Annotated[float, Quantity("ratio")]
Share = Annotated[float, Quantity("share")]
Glycol = Annotated[float, Quantity("share of glycol")]
Permeability = Annotated[float, BareNumber("a relative permeability, a bare number above 0 and up to 5000", 1e-6, 5000)]
PermeabilityLoss = Annotated[float, BareNumber("a relative permeability, a bare number from 0 to 5000", 0, 5000)]
InitialPermeability = Annotated[
    float, BareNumber("a relative permeability, a bare number from 1.1 to 100000", 1.1, 1e5)
]
Emissivity = Annotated[float, BareNumber("an emissivity, a bare number from 0.01 to 1", 0.01, 1)]
Bulge = Annotated[float, BareNumber("a bulge, a bare number from -100 to 100", -100, 100)]
Scale = Annotated[float, BareNumber("a factor, a bare number from 0.000001 to 1000000", 1e-6, 1e6)]
ReactanceRatio = Annotated[float, BareNumber("a ratio X/R, a bare number from 0.01 to 1000", 0.01, 1000)]
Quality = Annotated[float, BareNumber("a quality factor, a bare number from 1 to 100000", 1, 1e5)]
Permittivity = Annotated[float, BareNumber("a relative permittivity, a bare number from 1 to 10000", 1, 1e4)]
Bends = Annotated[int, BareNumber("a number of bends, a bare whole number from 0 to 10000", 0, 10000, (int,))]
Count = Annotated[int, BareNumber("a count, a bare whole number from 1 to 1000", 1, 1000, (int,))]
StrandCount = Annotated[
    int, BareNumber("a number of strands, a bare whole number from 2 to 100000", 2, 100_000, (int,))
]
TakeUp = Annotated[float, BareNumber("a take-up, a bare number from 1 to 1.5", 1, 1.5)]
Joints = Annotated[int, BareNumber("a number of joints, a bare whole number from 0 to 1000", 0, 1000, (int,))]
Copies = Annotated[
    int, BareNumber("a count, a bare whole number from 1 to 1000", 1, 1000, (int,), "leave repeat out for a single one")
]
Points = Annotated[int, BareNumber("a bare whole number from 2 to 10000", 2, 10000, (int,))]
Name = Annotated[str, AfterValidator(_name), Kind("a name")]
Metal = Annotated[str, BeforeValidator(_metal), Kind("text")]
Unit = Annotated[str, AfterValidator(_unit), Kind(f"one of {', '.join(UNITS)}")]
RegionName = Annotated[str, BeforeValidator(lambda value: str(value) if type(value) is int else value)]
Names = Annotated[tuple[str, ...], Kind("a list of names")]
Pair = Annotated[tuple[Position, Position], Kind('a pair ["x", "y"]', "position")]


def _listed(written: object) -> object:
    return [written] if isinstance(written, str) else written


CircuitNames = Annotated[tuple[str, ...], BeforeValidator(_listed), Kind("a name or a list of names")]
