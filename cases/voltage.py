"""Voltage along the run and across its gaps, the reactive power, and the capacitance between the conductors."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING, Any

from ..geometries.distance import closest_sides
from ..postprocess.cautions import VOLTAGE
from ..postprocess.chapter import Chapter, Measured
from ..postprocess.tables import TextTable
from ..postprocess.units import concise, engineering, error_bar
from ..solver.electrostatic import Capacitance, section_capacitance
from ..solver.problem import Circuit, Problem
from .base import Table
from .fields import FieldStrength, Permittivity, Quality, Voltage

if TYPE_CHECKING:
    from ..postprocess.answers import Answers
    from .run import Result

CHANGES = 0.01  # change of the current along the run from which a warning is due


class Gap(Table):
    """What the case file says of voltage: a resonant circuit's quality, its supply, what the gap may stand."""

    quality: Quality | None = None
    supply: Voltage | None = None
    field_limit: FieldStrength | None = None
    relative_permittivity: Permittivity = 1.0


@dataclass(frozen=True)
class Facing:
    """Two groups of conductors with a voltage between them."""

    name: str
    out: tuple[str, ...]
    back: tuple[str, ...]
    circuit: Circuit | None  # that they both belong to

    def gap(self, problem: Problem) -> float:
        """Smallest distance between them, coats left out of it [m]."""
        parts = {c.name: c.part for c in problem.conductors}
        return min(
            closest_sides(parts[a].shape.outer, parts[b].shape.outer)[0] - sum(parts[a].coats) - sum(parts[b].coats)
            for a in self.out
            for b in self.back
        )

    def capacitance(self, problem: Problem) -> Capacitance:
        """In air."""
        numbers = {c.name: k for k, c in enumerate(problem.conductors)}
        out, back = (tuple(numbers[name] for name in group) for group in (self.out, self.back))
        return section_capacitance(problem.section, out, back)


def facings(problem: Problem) -> Iterator[Facing]:
    """Out against back of every circuit; circuits without a back against each other."""
    yield from (Facing(c.name, c.out, c.back, c) for c in problem.circuits if c.back)
    for one, other in combinations([c for c in problem.circuits if not c.back], 2):
        yield Facing(f"{one.name} - {other.name}", one.out, other.out, None)


def chapter(result: Result) -> Chapter | None:
    """Where the case file has a table [voltage]."""
    stated = result.case.data.voltage
    if stated is None:
        return None
    problem, length = result.case.problem(), result.case.length or 1.0
    found = [(facing, facing.gap(problem), facing.capacitance(problem)) for facing in facings(problem)]
    gaps = [
        _Figures(facing, gap, c, result.at(frequency), stated, length)
        for frequency in result.solutions
        for facing, gap, c in found
    ]
    record = {
        "over_m": length,
        "assumptions": "gaps without coats; conductors of neither group carry no charge; capacitances in air",
        "circuits": [row for f in result.solutions for row in _circuits(result.at(f), length)],
        "gaps": [g.record() for g in gaps],
    }
    errors = {name: 2 * (c.inductance_error or 0.0) for name, c in result.circuits.items()}
    measured = {
        "voltage_drop": tuple(
            Measured(row["voltage_v"], row["voltage_v"] * errors[row["circuit"]], "V", row["circuit"])
            for row in record["circuits"]  # type: ignore[attr-defined]
        )
    }
    first = gaps[: len(found)]
    pictures = {f"electric-field-{k + 1}" if k else "electric-field": _picture(g, result) for k, g in enumerate(first)}
    return Chapter(
        "voltage",
        "Voltage",
        record,
        _tables(result, gaps, length),
        tuple(text for g in gaps for text in g.sentences()),
        tuple(text for g in gaps for text in g.warnings()),
        (VOLTAGE,),
        pictures,
        measured=measured,
    )


@dataclass(frozen=True, eq=False)
class _Figures:
    """One pair of groups at one frequency."""

    facing: Facing
    gap: float
    capacitance: Capacitance
    at: Answers
    stated: Gap
    length: float

    @property
    def voltage(self) -> float:
        """Between the groups at the feeding end, from the run alone [V]."""
        circuits = self.at.circuits
        if self.facing.circuit is not None:
            return abs(circuits[self.facing.circuit.name].voltage) * self.length
        one, other = self.facing.name.split(" - ")
        return abs(circuits[one].voltage - circuits[other].voltage) * self.length

    @property
    def resonance(self) -> float | None:
        """Across the gap when the circuit resonates: quality times what the supply delivers [V]."""
        if self.stated.quality is None or self.facing.circuit is None:
            return None
        answer = self.at.circuits[self.facing.circuit.name]
        supply = self.stated.supply
        if supply is None:
            supply = (answer.resistance or 0.0) * abs(answer.current) * self.length
        return self.stated.quality * supply

    @property
    def highest(self) -> float:
        """Larger of the two [V]."""
        return max(self.voltage, self.resonance or 0.0)

    @property
    def field(self) -> float:
        """Mean in the gap at that voltage [V/m]."""
        return self.highest / self.gap

    @property
    def change(self) -> float | None:
        """By how much the current changes along a run shorted at its far end: 1 - cos(w sqrt(L C) l)."""
        answer = None if self.facing.circuit is None else self.at.circuits[self.facing.circuit.name]
        if answer is None or not answer.inductance or answer.inductance < 0:
            return None
        filled = self.capacitance.value * self.stated.relative_permittivity
        phase = 2 * math.pi * self.at.frequency * math.sqrt(answer.inductance * filled) * self.length
        return 1 - math.cos(min(phase, math.pi))

    def record(self) -> dict[str, Any]:
        """For results.json."""
        limit, value = self.stated.field_limit, self.capacitance.value
        return {
            "between": self.facing.name,
            "frequency_hz": self.at.frequency,
            "gap_m": self.gap,
            "voltage_v": self.voltage,
            "resonance_voltage_v": self.resonance,
            "mean_field_v_per_m": self.field,
            "field_limit_v_per_m": limit,
            "field_within_limit": None if limit is None else self.field <= limit,
            "capacitance_f_per_m": value,
            "capacitance_error": self.capacitance.error,
            "capacitance_filled_f_per_m": value * self.stated.relative_permittivity,
            "total_capacitance_f": value * self.length,
            "current_change_along_run": self.change,
        }

    def row(self) -> tuple[str, ...]:
        """For the table."""
        return (
            self.facing.name,
            concise(self.at.frequency, "Hz"),
            concise(self.gap, "m", 4),
            engineering(self.voltage, "V"),
            engineering(self.resonance, "V"),
            f"{self.field / 1e3:.4g}",
            engineering(self.capacitance.value, "F/m", 5),
            error_bar(self.capacitance.error),
            engineering(self.capacitance.value * self.length, "F"),
        )

    def sentences(self) -> Iterator[str]:
        """What it means."""
        head, eps = f"{self.facing.name} at {concise(self.at.frequency, 'Hz')}", self.stated.relative_permittivity
        limit = self.stated.field_limit
        if self.resonance is not None and self.stated.supply is None:
            yield (
                f"{head}: at resonance at least {engineering(self.resonance, 'V')}, as if the circuit had no "
                "resistance but the run's; state the supply's voltage in [voltage] for all of it"
            )
        if limit is not None:
            says = "below" if self.field <= limit else "ABOVE"
            text = f"{engineering(self.highest, 'V')} across {concise(self.gap, 'm', 4)} is {self.field / 1e3:.4g} V/mm"
            yield f"{head}: {text} in the mean, {says} the stated {limit / 1e3:.4g} V/mm"
        if eps > 1:
            low, high = (engineering(self.capacitance.value * k, "F/m") for k in (1.0, eps))
            yield f"{head}: with the gap filled (relative permittivity {eps:g}) the capacitance is {low} to {high}"

    def warnings(self) -> Iterator[str]:
        """Where the picture of one current along the run fails."""
        if self.change is not None and self.change > CHANGES:
            yield (
                f"{self.facing.name} at {concise(self.at.frequency, 'Hz')}: over {self.length:g} m the current through "
                f"the capacitance between the conductors changes the current by {100 * self.change:.2g} %; figures per "
                "metre hold, those of the run do not"
            )


def _circuits(at: Answers, length: float) -> Iterator[dict[str, Any]]:
    for c in at.circuits.values():
        current = abs(c.current)
        yield {
            "circuit": c.name,
            "frequency_hz": at.frequency,
            "voltage_v": abs(c.voltage) * length,
            "resistive_voltage_v": None if c.resistance is None else c.resistance * current * length,
            "reactive_voltage_v": None if c.reactance is None else c.reactance * current * length,
            "reactive_power_var": None if c.reactance is None else c.reactance * current**2 * length,
        }


def _tables(result: Result, gaps: list[_Figures], length: float) -> tuple[TextTable, ...]:
    columns = ("circuit", "at", "voltage", "of R", "of X", "reactive power")
    rows = [
        (
            row["circuit"],
            concise(row["frequency_hz"], "Hz"),
            engineering(row["voltage_v"], "V"),
            engineering(row["resistive_voltage_v"], "V"),
            engineering(row["reactive_voltage_v"], "V"),
            engineering(row["reactive_power_var"], "var"),
        )
        for frequency in result.solutions
        for row in _circuits(result.at(frequency), length)
    ]
    drop = TextTable(f"Voltage drop over {length:g} m (rms, out and back together)", columns, tuple(rows))
    of_gap = ("between", "at", "gap", "drop", "at resonance", "mean E [V/mm]", "C in air", "+-", f"C of {length:g} m")
    across = TextTable("Voltage across the gap (rms)", of_gap, tuple(g.row() for g in gaps))
    return (drop, across) if gaps else (drop,)


def _picture(figures: _Figures, result: Result) -> Callable[[], Any]:
    def draw() -> Any:
        from ..postprocess.pictures.electric import electric_field

        subject = f"Electric field |E|, {figures.facing.name} · {concise(figures.at.frequency, 'Hz')}"
        section = result.case.problem().section
        return electric_field(figures.capacitance, section, figures.highest, result.case.title, subject)

    return draw
