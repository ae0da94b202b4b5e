"""The tables [material.NAME]: metals of the user's own."""

from __future__ import annotations

import math
from typing import Annotated, Self

from pydantic import model_validator

from crosscurrent.solver.metals.magnetisation import Magnetisation
from crosscurrent.solver.metals.magnetisation_table import CurveError
from crosscurrent.solver.metals.materials import Material

from ..curves import curve_from
from ..entries import (
    Coefficient,
    Conductivity,
    Density,
    FluxDensity,
    HeatCapacity,
    InitialPermeability,
    Permeability,
    PermeabilityLoss,
    Resistivity,
    Sample,
    Temperature,
    ThermalConductivity,
    fault,
)
from .base import Table

SATURATIONS = 0.01, 4.0  # of magnetisation, what metals have [T]

class MaterialTable(Table):
    """A metal of the user's own, given by either conductivity or resistivity."""

    conductivity: Annotated[
        Conductivity | None, Sample('"33 MS/m"', "at the reference temperature; 0 S/m: ferrite and the like")
    ] = None
    resistivity: Annotated[Resistivity | None, Sample('"30.3 nohm*m"', "instead of conductivity", apart=True)] = None
    reference: Annotated[Temperature, Sample('"20 degC"', "at which the conductivity holds")] = 20.0
    temperature_coefficient: Annotated[Coefficient, Sample('"0.0038 /K"', "of the resistivity, linear")] = 0.0
    permeability: Annotated[Permeability, Sample('1', "relative, linear")] = 1.0
    permeability_loss: Annotated[
        PermeabilityLoss, Sample('0', "relative: mu'' of a permeability mu' - j mu'' that loses power, as of ferrite")
    ] = 0.0
    initial_permeability: Annotated[
        InitialPermeability | None,
        Sample('1000', "relative, of the weakest fields; with saturation, for steel at its field strength", apart=True),
    ] = None
    saturation: Annotated[
        FluxDensity | None,
        Sample('"2 T"', "of the magnetisation; with permeability: the crest of B up to which it holds", apart=True),
    ] = None
    magnetisation: Annotated[
        str | None, Sample('"curve.csv"', "in their place: columns H and B beside the case file", apart=True)
    ] = None
    curie_temperature: Annotated[
        Temperature | None,
        Sample('"770 degC"', "from which it counts as air; left out, that of iron for a curve, else none", apart=True),
    ] = None
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
        if self.conductivity == 0 and (self.permeability == 1 or self.initial_permeability or self.magnetisation):
            expected = "a metal that conducts, or a permeability that is not 1, as of ferrite"
            raise fault(expected, "a conductivity of 0", "give its conductivity, or its permeability as a bare number")
        return self

    @model_validator(mode="after")
    def _magnetised(self) -> Self:
        pair = [key for key in ("initial_permeability", "saturation") if getattr(self, key) is not None]
        limited = self.permeability != 1 and pair == ["saturation"] and self.magnetisation is None
        if len(pair) == 1 and not limited:
            raise fault("initial_permeability and saturation together", f"{pair[0]} alone", "give both of them")
        if self.permeability_loss and self.permeability == 1:
            expected = "permeability_loss beside a permeability that is not 1"
            raise fault(expected, "permeability_loss alone", "give permeability, the real part, as well")
        pair = [] if limited else pair
        ways = [*(["permeability"] if self.permeability != 1 else []), *pair[:1],
                *(["magnetisation"] if self.magnetisation is not None else [])]  # fmt: skip
        if len(ways) > 1:
            expected = "one of permeability, initial_permeability with saturation, and magnetisation"
            raise fault(expected, " and ".join(ways), "leave the others out")
        if self.saturation is not None and not SATURATIONS[0] <= self.saturation <= SATURATIONS[1]:
            low, high = SATURATIONS
            hint = "mild steel has about 2 T, ferrite 0.4 T"
            raise fault(f"a saturation from {low:g} T to {high:g} T", f"{self.saturation:g} T", hint)
        if self.curie_temperature is not None and not ways:
            expected = "curie_temperature beside a permeability that is not 1, or a magnetisation curve"
            raise fault(expected, "curie_temperature alone", "say how magnetic it is below, or leave this out")
        try:
            self.curve()
        except CurveError as error:
            raise fault(f"in {error.where}: {error.expected}", error.found, error.hint) from None
        return self

    def curve(self) -> Magnetisation | None:
        """Its magnetisation curve; None for a metal of constant permeability.

        Raises
        ------
        CurveError
            The file of the curve is at fault.
        """
        if self.magnetisation is not None:
            return curve_from(self.magnetisation)
        if self.initial_permeability is None or self.saturation is None:
            return None
        return Magnetisation.froelich(self.initial_permeability, self.saturation)

    def material(self, name: str) -> Material:
        """The metal as the solver takes it."""
        sigma = self.conductivity if self.conductivity is not None else 1 / (self.resistivity or math.nan)
        curve = self.curve()
        return Material(
            name,
            sigma,
            self.temperature_coefficient,
            self.permeability if curve is None else curve.initial,
            self.density,
            reference=self.reference,
            source="the case file",
            curie=self.curie_temperature,
            thermal_conductivity=self.thermal_conductivity,
            heat_capacity=self.heat_capacity,
            magnetisation=curve,
            permeability_loss=self.permeability_loss,
            saturation=None if curve is not None else self.saturation,
        )
