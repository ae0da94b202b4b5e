"""The words, tables and record of steel at its field strength: what was found, beside the linear answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.noise import with_bar
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, error_bar

TITLE = "Steel at its field strength"
STRONGEST = 142e3  # crest of 100 kA/m rms, up to which a sine of H and one of B were held against the exact curve


@dataclass(frozen=True)
class SteelAnswer:
    """A conductor of steel with a magnetisation curve at one frequency.

    Attributes
    ----------
    name : str
    frequency : float
        [Hz]
    temperature : float
        [degC]
    curie : float or None
        Its Curie temperature, where that is passed and it counts as air [degC]; the figures below are then 0.
    crest : float
        Of H, exceeded where a tenth of its magnetic energy is [A/m].
    low, middle, high : float
        Effective permeability below which 5, 50 and 95 % of that energy are.
    initial : float
        Permeability of the linear answer.
    loss, loss_error, linear : float
        [W/m], relative, [W/m]
    solves : int
        In which the permeability was found.
    band : float
        The part of the loss's bound that the model of the steel leaves open, relative.
    """

    name: str
    frequency: float
    temperature: float
    curie: float | None = None
    crest: float = 0.0
    low: float = 1.0
    middle: float = 1.0
    high: float = 1.0
    initial: float = 1.0
    loss: float = 0.0
    loss_error: float = 0.0
    linear: float = 0.0
    solves: int = 0
    band: float = 0.0


@dataclass(frozen=True)
class SteelCircuit:
    """A circuit beside its linear answer.

    Attributes
    ----------
    name : str
    frequency : float
        [Hz]
    resistance, resistance_error, linear_resistance : float
        [ohm/m], relative, [ohm/m]
    inductance, inductance_error, linear_inductance : float
        [H/m], relative, [H/m]
    resistance_band, inductance_band : float
        The parts of both bounds that the model of the steel leaves open, relative.
    """

    name: str
    frequency: float
    resistance: float
    resistance_error: float
    linear_resistance: float
    inductance: float
    inductance_error: float
    linear_inductance: float
    resistance_band: float = 0.0
    inductance_band: float = 0.0


def record(found: Sequence[SteelAnswer], circuits: Sequence[SteelCircuit]) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {"conductors": [_conductor(one) for one in found], "circuits": [_circuit(one) for one in circuits]}


def _conductor(one: SteelAnswer) -> dict[str, Json]:
    return {
        "conductor": one.name,
        "frequency_hz": one.frequency,
        "temperature_degc": one.temperature,
        "counts_as_air": one.curie is not None,
        "field_strength_crest_a_per_m": one.crest,
        "permeability_low": one.low,
        "permeability_middle": one.middle,
        "permeability_high": one.high,
        "initial_permeability": one.initial,
        "loss_w_per_m": one.loss,
        "loss_error": one.loss_error,
        "loss_error_of_steel": one.band,
        "linear_loss_w_per_m": one.linear,
        "solves": one.solves,
    }


def _circuit(one: SteelCircuit) -> dict[str, Json]:
    return {
        "circuit": one.name,
        "frequency_hz": one.frequency,
        "resistance_ohm_per_m": one.resistance,
        "resistance_error": one.resistance_error,
        "resistance_error_of_steel": one.resistance_band,
        "linear_resistance_ohm_per_m": one.linear_resistance,
        "inductance_h_per_m": one.inductance,
        "inductance_error": one.inductance_error,
        "inductance_error_of_steel": one.inductance_band,
        "linear_inductance_h_per_m": one.linear_inductance,
    }


def tables(found: Sequence[SteelAnswer], circuits: Sequence[SteelCircuit]) -> Iterator[TextTable]:
    """The steel, and the circuits beside their linear answers."""
    magnetic = [one for one in found if one.curie is None]
    if not magnetic:
        return
    columns = ("conductor", "at", "H up to", "permeability", "loss", "linear loss")
    rows = tuple(
        (
            one.name,
            concise(one.frequency, "Hz"),
            engineering(one.crest, "A/m", 3),
            " .. ".join(map(_mu, (one.low, one.middle, one.high))),
            with_bar(one.loss, one.loss_error, "W/m"),
            engineering(one.linear, "W/m"),
        )
        for one in magnetic
    )
    yield TextTable("Field, permeability (5 .. 50 .. 95 % of the energy) and loss", columns, rows)
    heads = ("circuit", "at", "R", "of steel", "linear R", "L", "of steel", "linear L")
    cells = tuple(
        (
            one.name,
            concise(one.frequency, "Hz"),
            with_bar(one.resistance, one.resistance_error, "ohm/m"),
            error_bar(one.resistance_band),
            engineering(one.linear_resistance, "ohm/m"),
            with_bar(one.inductance, one.inductance_error, "H/m"),
            error_bar(one.inductance_band),
            engineering(one.linear_inductance, "H/m"),
        )
        for one in circuits
    )
    yield TextTable("Circuits with steel at its field strength (per metre)", heads, cells)


def warnings(found: Sequence[SteelAnswer]) -> Iterator[str]:
    """Fields stronger than those on which the band of the bars was tried; every conductor once, at its strongest."""
    strongest = {one.name: one for one in sorted(found, key=lambda one: one.crest)}
    for one in strongest.values():
        if one.crest > STRONGEST:
            yield (
                f'{concise(one.frequency, "Hz")}: H in "{one.name}" exceeds {engineering(one.crest, "A/m", 3)} (crest) '
                f"where a tenth of its magnetic energy is: the bars of steel were tried up to "
                f"{engineering(STRONGEST, 'A/m', 3)}; in stronger fields they may be too narrow"
            )


def _told(one: SteelAnswer) -> str:
    """What of the bar is the steel's, which no mesh lessens."""
    if not one.band:
        return ""
    computed = error_bar(max(one.loss_error - one.band, 0.0))
    return f"; of its bar {error_bar(one.band)} are the model of the steel, {computed} the computing"


def _mu(permeability: float) -> str:
    return f"{permeability:.0f}" if permeability >= 100 else f"{permeability:.3g}"


def sentences(found: Sequence[SteelAnswer]) -> Iterator[str]:
    """What was found, at every frequency where the field is strongest; what it rests on, and what it is good for."""
    strongest = {one.frequency: one for one in sorted(found, key=lambda one: one.crest)}
    hot = [one for one in found if one.curie is not None]
    for one in (*hot, *(one for one in strongest.values() if one.curie is None)):
        at = f"{one.name} at {concise(one.frequency, 'Hz')}"
        if one.curie is not None:
            yield (
                f"{at}: at {one.temperature:.4g} degC it is above its Curie temperature ({one.curie:g} degC) and "
                "counts as air"
            )
            continue
        yield (
            f"{at}: H exceeds {engineering(one.crest, 'A/m', 3)} (crest) where a tenth of its magnetic energy is; "
            f"effective permeability {_mu(one.low)} to {_mu(one.high)} (5 to 95 % of the energy), initially "
            f"{_mu(one.initial)}; loss {engineering(one.loss, 'W/m')}, with the initial permeability everywhere "
            f"{engineering(one.linear, 'W/m')}{_told(one)}"
        )
    if all(one.curie is not None for one in found):
        return
    yield (
        "the permeability is that of the fundamental for a sine of H, place by place; the bars hold three times what a "
        "sine of B changes: beside steps in time of the exact curve on a half space the loss was up to 5 % low and the "
        "reactance up to 15 % high at 100 kA/m, 2 and 5 % at 10 kA/m (initial permeability 1000)"
    )
    yield (
        "no hysteresis: its loss comes on top, mostly in weak fields; harmonics of voltage and field are left out; "
        "where the field turns instead of swinging, its crest is taken up to 1.4 times too high"
    )
    yield "skin depths, and faces within them, are told for the initial permeability"
    yield (
        "it holds for these currents of all circuits together: impedance matrix, other currents (temperature limits, "
        "duties, forces at a fault) and superposition take the permeability found here as it is"
    )
