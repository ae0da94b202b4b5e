"""The table [limits]: what must not be exceeded."""

from __future__ import annotations

from typing import Annotated

from ..entries import (
    Current,
    FluxDensity,
    Force,
    Inductance,
    Loss,
    MassPerMetre,
    Names,
    Power,
    ReactivePower,
    Resistance,
    Sample,
    Share,
    Stress,
    Temperature,
    TemperatureRise,
    Voltage,
)
from .base import Table


class LimitsTable(Table):
    """What must not be exceeded; every key may be left out. Conductors are bare or plated unless named otherwise.

    temperature_... are those in service: steady, or the peak of a repeated [[duty]]; fault_temperature is the mean of a
    conductor after a [fault] or a [[duty]] that happens once.
    """

    temperature_bare: Annotated[
        Temperature | None,
        Sample('"90 degC"', "of bare conductors in service: steady, or the peak of a repeated [[duty]]"),
    ] = None
    temperature_plated: Annotated[Temperature | None, Sample('"105 degC"', "of plated ones", apart=True)] = None
    temperature_insulated: Annotated[
        Temperature | None, Sample('"70 degC"', "of those that insulated names", apart=True)
    ] = None
    temperature_touchable: Annotated[
        Temperature | None, Sample('"60 degC"', "of those that touchable names", apart=True)
    ] = None
    fault_temperature: Annotated[
        Temperature | None,
        Sample('"200 degC"', "mean of a conductor after a [fault], or a [[duty]] that happens once", apart=True),
    ] = None
    insulated: Annotated[Names, Sample('["return"]', "conductors with insulation", apart=True)] = ()
    touchable: Annotated[Names, Sample('["outgoing"]', "conductors that can be touched", apart=True)] = ()
    loss: Annotated[Loss | None, Sample('"600 W/m"', 'of the whole section; round an axis such as "600 W"')] = None
    voltage_drop: Annotated[Voltage | None, Sample('"20 V"', "of each circuit over the run; needs length")] = None
    current: Annotated[
        Current | None, Sample('"500 A"', "round an axis, of each coil and circuit, rms", apart=True)
    ] = None
    voltage: Annotated[
        Voltage | None, Sample('"400 V"', "round an axis, between the ends of each coil, rms", apart=True)
    ] = None
    waste: Annotated[
        Share | None, Sample('"30 %"', "round an axis, share of all power that no heated piece takes", apart=True)
    ] = None
    leakage: Annotated[
        Share | None,
        Sample('"70 %"', "round an axis, 100 % less the coupling factor of each pair of coils", apart=True),
    ] = None
    piece_power: Annotated[
        Power | None,
        Sample(
            '"50 W"', "round an axis, in each piece in no circuit that [power] does not name", apart=True
        ),
    ] = None
    piece_temperature: Annotated[
        Temperature | None, Sample('"250 degC"', "of the hottest place in what [[heating]] heats", apart=True)
    ] = None
    tank_voltage: Annotated[Voltage | None, Sample('"500 V"', "across the capacitor of [tank], rms", apart=True)] = None
    reactive_power: Annotated[
        ReactivePower | None, Sample('"50 kvar"', "of the capacitor of [tank]", apart=True)
    ] = None
    resistance: Annotated[
        Resistance | None, Sample('"40 uohm/m"', 'of each circuit; round an axis such as "20 mohm"', apart=True)
    ] = None
    inductance: Annotated[
        Inductance | None, Sample('"700 nH/m"', 'of each circuit; round an axis such as "2 uH"')
    ] = None
    force: Annotated[
        Force | None,
        Sample(
            '"2 kN/m"',
            "on each conductor, at the peak; of [fault] or [supports] where there is one; round an axis along it on "
            'coils and pieces, such as "50 N"',
        ),
    ] = None
    hoop_stress: Annotated[
        Stress | None,
        Sample('"20 MPa"', "round an axis, mean pull in each turn, at the peak or the fault of [supports]", apart=True),
    ] = None
    flux_density: Annotated[
        FluxDensity | None,
        Sample('"0.3 T"', "crest of B in magnetic metal and ferrite, where a tenth of its energy is", apart=True),
    ] = None
    field: Annotated[FluxDensity | None, Sample('"100 uT"', "at the points and lines of [field]", apart=True)] = None
    water_rise: Annotated[
        TemperatureRise | None, Sample('"20 K"', "of the water, from inlet to outlet", apart=True)
    ] = None
    wall_temperature: Annotated[
        Temperature | None, Sample('"80 degC"', "of the wall that the water wets", apart=True)
    ] = None
    mass: Annotated[MassPerMetre | None, Sample('"3 kg/m"', "of all metals together", apart=True)] = None

    @property
    def stated(self) -> dict[str, float]:
        """The limits that are set, in SI units."""
        return {key: value for key, value in self if isinstance(value, float)}
