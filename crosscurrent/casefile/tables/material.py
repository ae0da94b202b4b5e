"""The tables [material.NAME]: metals of the user's own."""

from __future__ import annotations

import math
from typing import Annotated, Self

from pydantic import model_validator

from crosscurrent.solver.metals.materials import Material

from ..entries import (
    Coefficient,
    Conductivity,
    Density,
    HeatCapacity,
    Permeability,
    Resistivity,
    Sample,
    Temperature,
    ThermalConductivity,
    fault,
)
from .base import Table


class MaterialTable(Table):
    """A metal of the user's own, given by either conductivity or resistivity."""

    conductivity: Annotated[Conductivity | None, Sample('"33 MS/m"', "at the reference temperature")] = None
    resistivity: Annotated[Resistivity | None, Sample('"30.3 nohm*m"', "instead of conductivity", apart=True)] = None
    reference: Annotated[Temperature, Sample('"20 degC"', "at which the conductivity holds")] = 20.0
    temperature_coefficient: Annotated[Coefficient, Sample('"0.0038 /K"', "of the resistivity, linear")] = 0.0
    permeability: Annotated[Permeability, Sample('1', "relative, linear")] = 1.0
    density: Annotated[Density | None, Sample('"2700 kg/m3"', "for mass and heat")] = None
    thermal_conductivity: Annotated[
        ThermalConductivity | None, Sample('"210 W/(m*K)"', "for hot spots and water")
    ] = None
    heat_capacity: Annotated[HeatCapacity | None, Sample('"900 J/(kg*K)"', "for faults and duties")] = None

    @model_validator(mode="after")
    def _one_of_two(self) -> Self:
        given = [key for key in ("conductivity", "resistivity") if getattr(self, key) is not None]
        if len(given) != 1:
            found = "both" if given else "neither"
            raise fault("either conductivity or resistivity", found, "give exactly one of them")
        return self

    def material(self, name: str) -> Material:
        """The metal as the solver takes it."""
        sigma = self.conductivity if self.conductivity is not None else 1 / (self.resistivity or math.nan)
        return Material(
            name,
            sigma,
            self.temperature_coefficient,
            self.permeability,
            self.density,
            reference=self.reference,
            source="the case file",
            thermal_conductivity=self.thermal_conductivity,
            heat_capacity=self.heat_capacity,
        )
