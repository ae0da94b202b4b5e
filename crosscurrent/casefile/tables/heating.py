"""The tables [[heating]]: work pieces heated by the loss in them, round an axis."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from ..entries import BareNumber, Emissivity, HeatTransfer, Kind, Power, Sample, Temperature, Time, fault
from .base import Table

FieldSteps = Annotated[int, BareNumber("a bare whole number from 1 to 20", 1, 20, (int,))]


class HeatingTable(Table):
    """A conductor that is heated by its own loss for a time [s], and what its surface gives away."""

    piece: Annotated[str, Kind("a name"), Sample('"billet"', "the conductor that is heated")]
    time: Annotated[Time, Sample('"5 min"', "how long")]
    until: Annotated[
        Temperature | None, Sample('"1200 degC"', "when its surface, its mean and its core reach this one")
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

    @model_validator(mode="after")
    def _fits(self) -> Self:
        if self.fields > 1 and self.until is None:
            raise fault("until, up to which the field is solved anew", "none", 'write until = "1200 degC"')
        if self.until is not None and self.start is not None and self.until <= self.start:
            expected = f"until above the start of {self.start:g} degC"
            raise fault(expected, f"{self.until:g} degC", "write the temperature that is wanted")
        return self
