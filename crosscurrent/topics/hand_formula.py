"""The chapter "hand formula": the closed form nearest to each circuit, and how far it lies from the answer."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..postprocess.answers import CircuitAnswer
from ..postprocess.chapter import Chapter
from ..postprocess.hand_formula import HandFormula, hand_formula
from ..postprocess.tables import TextTable
from ..postprocess.units import concise, engineering

if TYPE_CHECKING:
    from .run import Result


@dataclass(frozen=True)
class Compared:
    """A circuit at one frequency and its closed form."""

    frequency: float  # [Hz]
    answer: CircuitAnswer
    resistance: float  # loss of its own conductors over the square of its current [ohm/m]
    formula: HandFormula


def chapter(result: Result) -> Chapter | None:
    """At every frequency asked for one by one."""
    found = []
    for frequency, solution in result.solutions.items():
        point = result.at(frequency)
        for circuit in solution.problem.circuits:
            answer = point.circuits[circuit.name]
            if answer.resistance is not None:
                own = sum(point.conductors[name].loss for name in (*circuit.out, *circuit.back))
                formula = hand_formula(solution.problem, circuit, frequency)
                found.append(Compared(frequency, answer, own / abs(answer.current) ** 2, formula))
    if not found:
        return None
    columns = ("circuit", "at", "R of its conductors", "by hand", "differs", "L", "by hand", "differs")
    table = TextTable("A hand formula beside the answer (loop, per metre)", columns, tuple(_row(c) for c in found))
    record = {"circuits": [_record(c) for c in found]}
    return Chapter("hand_formula", "Check", record, (table,), tuple(_sentences(found)))


def _row(c: Compared) -> tuple[str, ...]:
    return (
        c.answer.name,
        concise(c.frequency, "Hz"),
        engineering(c.resistance, "ohm/m"),
        engineering(c.formula.resistance, "ohm/m"),
        _percent(_difference(c.formula.resistance, c.resistance)),
        engineering(c.answer.inductance, "H/m"),
        engineering(c.formula.inductance, "H/m"),
        _percent(_difference(c.formula.inductance, c.answer.inductance)),
    )


def _record(c: Compared) -> dict[str, Any]:
    return {
        "circuit": c.answer.name,
        "frequency_hz": c.frequency,
        "formula": c.formula.name,
        "source": c.formula.source,
        "resistance_ohm_per_m": c.formula.resistance,
        "resistance_difference": _difference(c.formula.resistance, c.resistance),
        "inductance_h_per_m": c.formula.inductance,
        "inductance_difference": _difference(c.formula.inductance, c.answer.inductance),
        "reason": c.formula.reason,
        "exact": c.formula.exact,
    }


def _sentences(found: list[Compared]) -> list[str]:
    """Which formula, how far it lies, and why; one sentence for all circuits and frequencies that share a formula."""
    alike: dict[tuple[str, str, bool], list[Compared]] = {}
    for one in found:
        alike.setdefault((one.formula.name, one.formula.source, one.formula.exact), []).append(one)
    lines = []
    for (name, source, exact), group in alike.items():
        head = f"{_whose(group)}: {name} ({source})"
        if exact:
            apart = max(abs(_difference(c.formula.resistance, c.resistance) or 0.0) for c in group)
            bar = max(c.answer.resistance_error or 0.0 for c in group)
            lines.append(f"{head}, exact for this section, agrees in R to {apart:.0e}; the error bar is {bar:.0e}")
        else:
            lines.append(f"{head} gives {_how_far(group)} in R")
    reasons = dict.fromkeys(f"why: {c.formula.reason}" for c in found if c.formula.reason)
    return [*lines, *reasons]


def _whose(group: list[Compared]) -> str:
    names = ", ".join(dict.fromkeys(c.answer.name for c in group))
    frequencies = {c.frequency for c in group}
    return f"{names} at {concise(frequencies.pop(), 'Hz')}" if len(frequencies) == 1 else names


def _how_far(group: list[Compared]) -> str:
    """Every difference; its range where circuits and frequencies are both several."""
    parts = [(c.frequency, _difference(c.formula.resistance, c.resistance)) for c in group]
    if len({f for f, _ in parts}) == 1:
        return ", ".join(_percent(part) for _, part in parts)
    if len({c.answer.name for c in group}) == 1:
        return ", ".join(f"{_percent(part)} at {concise(f, 'Hz')}" for f, part in parts)
    known = [part for _, part in parts if part is not None]
    return f"from {_percent(min(known))} to {_percent(max(known))}"


def _difference(formula: float | None, computed: float | None) -> float | None:
    """Of the formula from the computed value, relative to that."""
    return None if formula is None or not computed else formula / computed - 1


def _percent(part: float | None) -> str:
    if part is None:
        return "-"
    if abs(part) < 5e-7:
        return "< 0.0001 %"
    decimals = 1 if abs(part) >= 5e-4 else -math.floor(math.log10(100 * abs(part)))
    return f"{100 * part:+.{decimals}f} %"
