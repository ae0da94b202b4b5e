"""The tables [[water]]: conductors that a stream of water passes through."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import model_validator

from crosscurrent.solver.water.coolant import Coolant
from crosscurrent.solver.water.pipe import DRAWN

from ..entries import (
    Bends,
    Flow,
    GaugePressure,
    Glycol,
    Names,
    Pressure,
    Radius,
    Sample,
    Temperature,
    fault,
    some,
)
from .base import Table


class WaterTable(Table):
    """Conductors that one stream of water passes through."""

    conductors: Annotated[
        Names,
        some("name the conductors whose bores carry the water"),
        Sample('["outgoing", "return"]', "whose bores the water passes, in this order"),
    ]
    joined: Annotated[
        Literal["series", "parallel"], Sample('"series"', "one bore after the other, or side by side")
    ] = "series"
    inlet: Annotated[Temperature, Sample('"25 degC"', "of the water that comes in")]
    flow: Annotated[Flow | None, Sample('"4 l/min"', "in total; it or pressure_drop")] = None
    pressure_drop: Annotated[Pressure | None, Sample('"1 bar"', "over the run; it or flow", apart=True)] = None
    glycol: Annotated[Glycol, Sample('"0 %"', "share by mass")] = 0.0
    bends: Annotated[Bends, Sample('2', "of 90 degrees, in every bore")] = 0
    roughness: Annotated[Radius, Sample('"1.5 um"', "of the bores")] = DRAWN
    outlet_pressure: Annotated[GaugePressure, Sample('"1 bar"', "above the atmosphere's: sets where it boils")] = 1e5
    wall_limit: Annotated[Temperature | None, Sample('"60 degC"', "of the wetted wall: what flow would hold it")] = None
    outlet_limit: Annotated[
        Temperature | None, Sample('"45 degC"', "of the water that leaves: what flow would hold it")
    ] = None

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if (self.flow is None) == (self.pressure_drop is None):
            found = "neither" if self.flow is None else "both"
            raise fault("either flow or pressure_drop", found, "give exactly one of them: the other is found")
        lowest = Coolant(self.glycol).freezing
        if not lowest < self.inlet < 100:
            freezes = f"{'this mixture' if self.glycol else 'water'} freezes there: add glycol"
            hint = freezes if self.inlet <= lowest else ""
            raise fault(f"an inlet from {lowest:.3g} to 100 degC", f"{self.inlet:g} degC", hint)
        for name, limit in (("wall_limit", self.wall_limit), ("outlet_limit", self.outlet_limit)):
            if limit is not None and limit <= self.inlet:
                raise fault(f"a {name} above the inlet's {self.inlet:g} degC", f"{limit:g} degC", "cool the inlet")
        return self
