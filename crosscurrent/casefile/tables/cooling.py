"""The table [cooling]: what the conductors stand in."""

from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, PlainSerializer, model_validator

from crosscurrent.solver.heat.convection import AirStream
from crosscurrent.solver.heat.cooling import FINISHES, Cooling, Finish

from ..entries import Altitude, Emissivity, Kind, Names, Sample, Speed, Temperature, fault
from ..quantities import QuantityError, kind, read_quantity, write_quantity
from .base import Table

WORDS = {"horizontal": 0.0, "vertical": math.pi / 2}
IN_DEGREES = PlainSerializer(lambda angle: write_quantity(angle, "angle"), when_used="json")


def _orientation(value: object) -> float:
    """Angle of the run above the horizontal [rad]."""
    if isinstance(value, str) and value in WORDS:
        return WORDS[value]
    expected = '"horizontal", "vertical" or an angle such as "45 deg"'
    try:
        angle = read_quantity(value, "angle")
    except QuantityError:
        raise fault(expected, kind(value), "choose one of them") from None
    if not 0 <= angle <= math.pi / 2 + 1e-9:
        raise fault(expected, kind(value), "count the angle from the horizontal, 0 deg to 90 deg")
    return angle


FinishName = Literal["bright", "dull", "oxidised", "painted"]


def finish_as(finish: FinishName | None, emissivity: float | None) -> Finish | None:
    """The finish that is named, or has a stated emissivity; None where neither is given.

    Examples
    --------
    >>> finish_as(None, 0.5).low, finish_as("painted", None).name, finish_as(None, None)
    (0.5, 'painted', None)
    """
    if emissivity is not None:
        return Finish("stated", *(3 * (emissivity,)), source="the case file")
    return None if finish is None else FINISHES[finish]


def one_finish(finish: FinishName | None, emissivity: float | None) -> None:
    """A finish by its name or by its emissivity.

    Raises
    ------
    PydanticCustomError
        Both are given.
    """
    if finish and emissivity is not None:
        raise fault("either finish or emissivity", "both", "give one of them")


class CoolingTable(Table):
    """What the conductors stand in; air and walls at one temperature."""

    ambient: Annotated[Temperature | None, Sample('"35 degC"', "of air and walls; that of the case if left out")] = None
    orientation: Annotated[
        float,
        BeforeValidator(_orientation),
        IN_DEGREES,
        Kind('"horizontal", "vertical" or an angle', "angle"),
        Sample('"horizontal"', "of the run"),
    ] = 0.0
    air: Annotated[Literal["free", "still enclosure"], Sample('"free"', "what it stands in")] = "free"
    enclosure_air: Annotated[
        Temperature | None, Sample('"55 degC"', 'of the air inside; with air = "still enclosure"', apart=True)
    ] = None
    axis: Annotated[
        Literal["upright", "lying"], Sample('"upright"', "of a section round one, how it stands in the air", apart=True)
    ] = "upright"
    air_speed: Annotated[
        Speed, Sample('"0 m/s"', "of air blown across the run, or along the axis of turns")
    ] = 0.0
    finish: Annotated[FinishName | None, Sample('"dull"', "how the surfaces radiate; dull if nothing is said")] = None
    emissivity: Annotated[
        Emissivity | None, Sample('0.3', "the same as a number, instead of finish", apart=True)
    ] = None
    held: Annotated[
        Names, Sample('["billet"]', "conductors that something else keeps at their temperature", apart=True)
    ] = ()
    altitude: Annotated[Altitude, Sample('"0 m"', "thin air cools less")] = 0.0
    temperature_limit: Annotated[
        Temperature | None, Sample('"90 degC"', "what current would reach it; the limits of [limits] if left out")
    ] = None

    @model_validator(mode="after")
    def _fits(self) -> Self:
        enclosed = self.air == "still enclosure"
        if enclosed and self.enclosure_air is None:
            hint = 'add enclosure_air = "55 degC", the temperature of the air inside'
            raise fault("enclosure_air, the temperature inside the enclosure", "none", hint)
        if not enclosed and self.enclosure_air is not None:
            hint = 'write air = "still enclosure", or give the temperature of free air as ambient'
            raise fault('enclosure_air only with air = "still enclosure"', f'air = "{self.air}"', hint)
        if enclosed and self.air_speed:
            raise fault("no air_speed in a still enclosure", f"{self.air_speed:g} m/s", "leave one of the two out")
        one_finish(self.finish, self.emissivity)
        return self

    def cooling(
        self,
        ambient: float,
        length: float | None,
        others: tuple[tuple[str, Finish], ...] = (),
        held: frozenset[str] = frozenset(),
    ) -> Cooling:
        """As the solver takes it, in a case's ambient [degC], for the length of its run [m].

        `others`: conductors with a finish of their own, by name; `held`: those that keep their temperature.
        """
        air = self.enclosure_air
        if air is None:
            air = ambient if self.ambient is None else self.ambient
        stream = AirStream(self.orientation, length or 1.0, self.air_speed, self.altitude)
        finish = finish_as(self.finish, self.emissivity) or FINISHES["dull"]
        return Cooling(air, finish, stream, others=others, lying=self.axis == "lying", held=held)
