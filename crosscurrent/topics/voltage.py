"""The chapter "voltage": along the run and across its gaps, the reactive power, the capacitance of the conductors."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING

from crosscurrent.casefile.tables.voltage import VoltageTable
from crosscurrent.geometries.plane.section import Section
from crosscurrent.postprocess.answers.answers import Answers, CircuitAnswer
from crosscurrent.postprocess.answers.cautions import VOLTAGE
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.noise import reactance_noise, resistance_noise, voltage_noise
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.postprocess.topics.voltage import (
    GapAnswer,
    VoltageAnswer,
    VoltageDrop,
    measured,
    record,
    sentences,
    tables,
    warnings,
)
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.electrostatic import Capacitance
from crosscurrent.solver.field.voltage import (
    VoltagePair,
    capacitance_between,
    current_change,
    gap_between,
    resonance_voltage,
    voltage_pairs,
)

from .turn_voltages import voltages_of_turns

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def chapter(solved: SolvedCase) -> Chapter | None:
    """Where the case file has a table [voltage]."""
    stated = solved.case.data.voltage
    if stated is None:
        return None
    if solved.case.axial:
        return voltages_of_turns(solved, stated)
    problem, length = solved.case.problem(), solved.case.length or 1.0
    pairs = [(p, gap_between(problem, p), capacitance_between(problem, p)) for p in voltage_pairs(problem)]
    gaps = [_gap(solved.at(f), *pair, stated, length) for f in solved.solutions for pair in pairs]
    drops = [drop for f in solved.solutions for drop in _drops(solved, solved.at(f), length)]
    found = VoltageAnswer(length, drops, gaps, stated.field_limit, stated.relative_permittivity)
    return Chapter(
        "voltage",
        "Voltage",
        record(found),
        tables(found),
        tuple(sentences(found)),
        tuple(warnings(found)),
        (VOLTAGE,),
        pictures={
            f"electric-field-{k + 1}" if k else "electric-field": partial(
                _drawn, gap, problem.section, solved.case.title
            )
            for k, gap in enumerate(gaps[: len(pairs)])
        },
        measured={"voltage_drop": measured(found)},
    )


def _gap(
    at: Answers, pair: VoltagePair, gap: float, capacitance: Capacitance, stated: VoltageTable, length: float
) -> GapAnswer:
    """One pair of groups at one frequency."""
    one, *other = (at.circuits[name].voltage for name in pair.circuits)
    loop = at.circuits[pair.circuits[0]] if len(pair.circuits) == 1 else None
    return GapAnswer(
        pair,
        at.frequency,
        gap,
        capacitance,
        abs(one - sum(other)) * length,
        _resonance(stated, loop, length),
        stated.supply is not None,
        _change(at.frequency, loop, capacitance.value * stated.relative_permittivity, length),
        sum(voltage_noise(at.circuits[name], at) for name in pair.circuits) * length,
    )


def _resonance(stated: VoltageTable, loop: CircuitAnswer | None, length: float) -> float | None:
    """Across the gap when the circuit resonates [V]."""
    if stated.quality is None or loop is None:
        return None
    supply = stated.supply
    if supply is None:
        supply = (loop.resistance or 0.0) * abs(loop.current) * length
    return resonance_voltage(stated.quality, supply, abs(loop.voltage) * length)


def _change(frequency: float, loop: CircuitAnswer | None, capacitance: float, length: float) -> float | None:
    if loop is None or not loop.inductance or loop.inductance < 0:
        return None
    return current_change(frequency, loop.inductance, capacitance, length)


def _drops(solved: SolvedCase, at: Answers, length: float) -> Iterator[VoltageDrop]:
    """Of every circuit, with the bar of its inductance at the first frequency."""
    for c in at.circuits.values():
        current, size = abs(c.current), abs(c.voltage) * length
        yield VoltageDrop(
            c.name,
            at.frequency,
            size,
            None if c.resistance is None else c.resistance * current * length,
            None if c.reactance is None else c.reactance * current * length,
            None if c.reactance is None else c.reactance * current**2 * length,
            max(size * (2 * (solved.circuits[c.name].inductance_error or 0.0)), voltage_noise(c, at) * length),
            resistance_noise(c) * current * length,
            reactance_noise(c) * current * length,
        )


def _drawn(gap: GapAnswer, section: Section, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.voltage import electric_field

    subject = f"Electric field |E|, {gap.pair.name} · {concise(gap.frequency, 'Hz')}"
    return electric_field(gap.capacitance, section, gap.highest, title, subject)
