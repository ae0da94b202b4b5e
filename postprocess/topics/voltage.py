"""The words, tables and record of voltage: the drop along the run, and what stands across its gaps."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.noise import figure, or_none, within
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, error_bar
from crosscurrent.solver.field.electrostatic import Capacitance
from crosscurrent.solver.field.voltage import VoltagePair

CHANGES = 0.01  # change of the current along the run from which a warning is due
ASSUMED = "gaps without coats; conductors of neither group carry no charge; capacitances in air"


@dataclass(frozen=True)
class VoltageDrop:
    """Of one circuit over the whole run at one frequency.

    Attributes
    ----------
    circuit : str
    frequency : float
        [Hz]
    voltage : float
        Rms, out and back together [V].
    resistive, reactive : float or None
        Its parts [V].
    power : float or None
        Reactive power [var].
    error : float
        Bound on the error of the voltage [V].
    resistive_error, reactive_error : float
        On that of its parts [V].
    """

    circuit: str
    frequency: float
    voltage: float
    resistive: float | None
    reactive: float | None
    power: float | None
    error: float
    resistive_error: float = 0.0
    reactive_error: float = 0.0

    @property
    def power_error(self) -> float:
        """Bound on the error of the reactive power [var]."""
        return abs((self.power or 0.0) / self.reactive) * self.reactive_error if self.reactive else 0.0


@dataclass(frozen=True, eq=False)
class GapAnswer:
    """One pair of groups at one frequency.

    Attributes
    ----------
    pair : VoltagePair
    frequency : float
        [Hz]
    gap : float
        [m]
    capacitance : Capacitance
        In air.
    voltage : float
        At the feeding end, from the run alone [V].
    resonance : float or None
        At resonance [V], no less than `voltage`.
    supply_stated : bool
        Whether that is of a stated supply; else of the run's own resistance.
    change : float or None
        Of the current along the run, relative.
    error : float
        Bound on the error of the voltage of the run [V].
    """

    pair: VoltagePair
    frequency: float
    gap: float
    capacitance: Capacitance
    voltage: float
    resonance: float | None
    supply_stated: bool
    change: float | None
    error: float = 0.0

    @property
    def highest(self) -> float:
        """Larger of the two voltages [V]."""
        return max(self.voltage, self.resonance or 0.0)

    @property
    def field(self) -> float:
        """Mean in the gap at that voltage [V/m]."""
        return self.highest / self.gap

    @property
    def head(self) -> str:
        """What a sentence on it begins with."""
        return f"{self.pair.name} at {concise(self.frequency, 'Hz')}"


@dataclass(frozen=True, eq=False)
class VoltageAnswer:
    """All drops and gaps of a run.

    Attributes
    ----------
    length : float
        Of the run [m].
    drops : sequence of VoltageDrop
    gaps : sequence of GapAnswer
    field_limit : float or None
        Of the mean field [V/m].
    relative_permittivity : float
        Of what may fill the gaps.
    """

    length: float
    drops: Sequence[VoltageDrop]
    gaps: Sequence[GapAnswer]
    field_limit: float | None = None
    relative_permittivity: float = 1.0


def record(found: VoltageAnswer) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {
        "over_m": found.length,
        "assumptions": ASSUMED,
        "circuits": [
            {
                "circuit": drop.circuit,
                "frequency_hz": drop.frequency,
                "voltage_v": drop.voltage,
                "resistive_voltage_v": drop.resistive,
                "reactive_voltage_v": drop.reactive,
                "reactive_power_var": drop.power,
            }
            for drop in found.drops
        ],
        "gaps": [_gap(found, one) for one in found.gaps],
    }


def _gap(found: VoltageAnswer, one: GapAnswer) -> dict[str, Json]:
    limit, value = found.field_limit, one.capacitance.value
    return {
        "between": one.pair.name,
        "frequency_hz": one.frequency,
        "gap_m": one.gap,
        "voltage_v": one.voltage,
        "resonance_voltage_v": one.resonance,
        "mean_field_v_per_m": one.field,
        "field_limit_v_per_m": limit,
        "field_within_limit": None if limit is None else one.field <= limit,
        "capacitance_f_per_m": value,
        "capacitance_error": one.capacitance.error,
        "capacitance_filled_f_per_m": value * found.relative_permittivity,
        "total_capacitance_f": value * found.length,
        "current_change_along_run": one.change,
    }


def measured(found: VoltageAnswer) -> tuple[Measured, ...]:
    """The drops as limits refer to them."""
    return tuple(Measured(drop.voltage, drop.error, "V", drop.circuit) for drop in found.drops)


def tables(found: VoltageAnswer) -> tuple[TextTable, ...]:
    """Drop of the circuits; below it what stands across the gaps, where there are any."""
    columns = ("circuit", "at", "voltage", "of R", "of X", "reactive power")
    rows = tuple(
        (
            drop.circuit,
            concise(drop.frequency, "Hz"),
            figure(drop.voltage, drop.error, "V"),
            figure(drop.resistive, drop.resistive_error, "V"),
            figure(drop.reactive, drop.reactive_error, "V"),
            figure(drop.power, drop.power_error, "var"),
        )
        for drop in found.drops
    )
    drop = TextTable(f"Voltage drop over {found.length:g} m (rms, out and back together)", columns, rows)
    total = f"C of {found.length:g} m"
    of_gap = ("between", "at", "gap", "drop", "at resonance", "mean E [V/mm]", "C in air", "+-", total)
    across = TextTable("Voltage across the gap (rms)", of_gap, tuple(_row(g, found.length) for g in found.gaps))
    return (drop, across) if found.gaps else (drop,)


def _row(one: GapAnswer, length: float) -> tuple[str, ...]:
    noise = within(one.capacitance.value, one.capacitance.error)
    return (
        one.pair.name,
        concise(one.frequency, "Hz"),
        concise(one.gap, "m", 4),
        figure(one.voltage, one.error, "V"),
        engineering(one.resonance, "V"),
        or_none(f"{one.field / 1e3:.4g}", one.highest, one.error),
        figure(one.capacitance.value, noise, "F/m", 5),
        error_bar(one.capacitance.error),
        figure(one.capacitance.value * length, noise * length, "F"),
    )


def sentences(found: VoltageAnswer) -> Iterator[str]:
    """What it means."""
    limit, eps = found.field_limit, found.relative_permittivity
    for one in found.gaps:
        if one.resonance is not None and one.resonance <= one.voltage:
            yield _drop_governs(one)
        elif one.resonance is not None and not one.supply_stated:
            yield (
                f"{one.head}: at resonance at least {engineering(one.resonance, 'V')}, as if the circuit had no "
                "resistance but the run's; state the supply's voltage in [voltage] for all of it"
            )
        if limit is not None and one.field <= limit:
            yield f"{_mean_field(one)}, below the stated {limit / 1e3:.4g} V/mm"
        if eps > 1:
            low, high = (engineering(one.capacitance.value * k, "F/m") for k in (1.0, eps))
            yield f"{one.head}: with the gap filled (relative permittivity {eps:g}) the capacitance is {low} to {high}"


def _mean_field(one: GapAnswer) -> str:
    across = f"{engineering(one.highest, 'V')} across {concise(one.gap, 'm', 4)}"
    return f"{one.head}: {across} is {one.field / 1e3:.4g} V/mm in the mean"


def _drop_governs(one: GapAnswer) -> str:
    """Where quality and supply would give less than the run takes."""
    why = (
        "the stated supply times the quality is less and would not drive the stated current"
        if one.supply_stated
        else "the quality times what its own resistance takes is less; state the supply's voltage in [voltage]"
    )
    return f"{one.head}: at resonance at least {engineering(one.voltage, 'V')}, the drop at the stated current: {why}"


def warnings(found: VoltageAnswer) -> Iterator[str]:
    """Where the field is above the stated one, and where the picture of one current along the run fails."""
    for one in found.gaps:
        if found.field_limit is not None and one.field > found.field_limit:
            yield f"{_mean_field(one)}, above the stated {found.field_limit / 1e3:.4g} V/mm"
        if one.change is not None and one.change > CHANGES:
            yield (
                f"{one.head}: over {found.length:g} m the current through the capacitance between the conductors "
                f"changes the current by {100 * one.change:.2g} %; figures per metre hold, those of the run do not"
            )
