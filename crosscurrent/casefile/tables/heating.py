"""The tables [[heating]]: work pieces heated by the loss in them, round an axis."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal, Self

from pydantic import model_validator

from ..entries import (
    BareNumber,
    Emissivity,
    HeatCapacity,
    HeatTransfer,
    Kind,
    Power,
    Sample,
    Temperature,
    ThermalConductivity,
    Time,
    fault,
)
from .base import Table

FieldSteps = Annotated[int, BareNumber("a bare whole number from 1 to 20", 1, 20, (int,))]


WARM = ("thermal_conductivity", "heat_capacity")


class WarmthTable(Table):
    """What a piece conducts and takes at one temperature [degC]; in a straight line to the next."""

    at: Annotated[Temperature, Sample('"700 degC"', "the temperature")]
    thermal_conductivity: Annotated[
        ThermalConductivity | None, Sample('"30 W/(m*K)"', "there; that of the material all along if no row has one")
    ] = None
    heat_capacity: Annotated[
        HeatCapacity | None, Sample('"850 J/(kg*K)"', "there; that of the material all along if no row has one")
    ] = None


class HeatingTable(Table):
    """A conductor that is heated by its own loss for a time [s], and what its surface gives away."""

    piece: Annotated[str, Kind("a name"), Sample('"billet"', "the conductor that is heated")]
    time: Annotated[Time, Sample('"25 s"', "how long")]
    until: Annotated[
        Temperature | None, Sample('"900 degC"', "when its hottest point, surface, mean and core reach this one")
    ] = None
    start: Annotated[
        Temperature | None, Sample('"20 degC"', "at which it begins; that of the conductor if left out")
    ] = None
    power: Annotated[
        Power | None, Sample('"30 kW"', "that is held in it; else the currents of the case are", apart=True)
    ] = None
    fields: Annotated[
        FieldSteps, Sample("5", "temperatures up to `until` at which the field is solved anew; 1: the case's only")
    ] = 1
    ambient: Annotated[
        Temperature | None, Sample('"20 degC"', "of the air and all around; that of the case if left out")
    ] = None
    emissivity: Annotated[
        Emissivity, Sample("0.8", "of its surface; scaled steel has 0.8, clean metal 0.1 to 0.3")
    ] = 0.8
    film: Annotated[
        HeatTransfer | None,
        Sample('"10 W/(m2*K)"', "coefficient of moving air; by correlations of free air if left out", apart=True),
    ] = None
    axis: Annotated[Literal["upright", "lying"], Sample('"upright"', "how the axis stands in the air")] = "upright"
    over_temperature: Annotated[
        tuple[WarmthTable, ...],
        Sample(
            '[{ at = "20 degC", thermal_conductivity = "50 W/(m*K)" }, '
            '{ at = "900 degC", thermal_conductivity = "27 W/(m*K)" }]',
            "what it conducts and takes as it gets hot, in place of the constants of its metal",
            apart=True,
        ),
    ] = ()

    @model_validator(mode="after")
    def _fits(self) -> Self:
        if self.fields > 1 and self.until is None:
            raise fault("until, up to which the field is solved anew", "none", 'write until = "900 degC"')
        if self.until is not None and self.start is not None and self.until <= self.start:
            expected = f"until above the start of {self.start:g} degC"
            raise fault(expected, f"{self.until:g} degC", "write the temperature that is wanted")
        return self

    @model_validator(mode="after")
    def _over_temperature(self) -> Self:
        rows, expected = self.over_temperature, "over_temperature with two or more rows at rising temperatures"
        if not rows:
            return self
        if len(rows) < 2 or any(one.at >= other.at for one, other in pairwise(rows)):
            found = ", ".join(f"{row.at:g} degC" for row in rows)
            raise fault(expected, found, "write the lowest temperature first, and one that it comes to last")
        for key in WARM:
            given = [getattr(row, key) is not None for row in rows]
            if any(given) and not all(given):
                missing = rows[given.index(False)].at
                raise fault(f"{key} in every row of over_temperature or in none", f"none at {missing:g} degC", "add it")
        if all(getattr(row, key) is None for key in WARM for row in rows):
            raise fault("thermal_conductivity or heat_capacity in its rows", "neither", "add one of them to every row")
        return self
