"""What a report says was asked for: currents, frequencies, metals, temperatures, limits."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence

from crosscurrent.casefile.tables.base import Table
from crosscurrent.postprocess.answers.customary_units import customary
from crosscurrent.postprocess.answers.few_names import few, few_of_each
from crosscurrent.postprocess.answers.units import concise, temperatures
from crosscurrent.postprocess.workshop.layout import parts_list

from .result import Result

CIRCUITS, METALS = 6, 6  # rows of each; the case at the end of the report has all
# tables that state a load, or what is wanted
TOPICS = (
    "power", "tank", "heating", "cooling", "water", "joint", "fault", "duty", "waveform", "voltage", "supports",
    "field",
)  # fmt: skip


def requirement(result: Result) -> Iterator[tuple[str, str]]:
    """What was asked for, row by row: its name, and what the case says."""
    case, data = result.case, result.case.data
    if data.report.requirement:
        yield "asked for", data.report.requirement
    yield from _some(list(_currents(result)), CIRCUITS, "circuits")
    if data.frequency.at:
        yield "frequency", ", ".join(concise(f, "Hz") for f in data.frequency.at)
    if data.frequency.sweep:
        ends = f"{concise(data.frequency.sweep.start, 'Hz')} to {concise(data.frequency.sweep.to, 'Hz')}"
        yield "sweep", f"{ends}, {data.frequency.sweep.points} points"
    if case.axial:
        yield "section", "round an axis; sizes in mm (thou, or in where it says so)"
    if case.length is not None:
        yield "length of the run", f"{concise(case.length, 'm')} ({case.length / 0.3048:.4g} ft)"
    yield from _some(list(parts_list(case.problem().conductors, axial=case.axial)), METALS, "kinds of conductors")
    yield "temperature", _temperature(result)
    yield "ambient", f"{data.ambient:g} degC ({customary(data.ambient, 'degC')})"
    for topic in TOPICS:
        yield from ((topic, said) for table in _tables(getattr(data, topic)) if (said := stated(table)))
    if data.limits is not None:
        yield "limits", stated(data.limits)


def stated(table: Table) -> str:
    """The keys that a table of the case file states, in words.

    Examples
    --------
    >>> from crosscurrent.casefile.tables.limits import LimitsTable
    >>> stated(LimitsTable(temperature_bare="90 degC", loss="600 W/m", touchable=["feed"]))
    'temperature bare 90 degC, touchable feed, loss 600 W/m'
    """
    return ", ".join(_in_words(table.model_dump(mode="json", exclude_unset=True, exclude_none=True)))


def _in_words(found: Mapping[str, object]) -> Iterator[str]:
    """What is said in a word or a list of them; tables within a table are left to the case at the end."""
    for key, value in found.items():
        words = value if isinstance(value, list | tuple) else [value]
        if all(isinstance(word, str | int | float) for word in words):
            yield f"{key.replace('_', ' ')} {' and '.join(map(_word, words))}"


def _word(said: str | float) -> str:
    if isinstance(said, bool):
        return "yes" if said else "no"
    return f"{said:.10g}" if isinstance(said, float) else str(said)


def _tables(found: Table | Sequence[Table] | None) -> Sequence[Table]:
    """One table, or all of a name."""
    if found is None:
        return ()
    return (found,) if isinstance(found, Table) else found


def _currents(result: Result) -> Iterable[tuple[str, str]]:
    for circuit in result.case.problem().circuits:
        angle = math.degrees(math.atan2(circuit.current.imag, circuit.current.real))
        phase = f" at {angle:.4g} deg" if abs(angle) > 1e-9 else ""
        back = f", back through {few_of_each(circuit.back)}" if circuit.back else ""
        digits = 4 if result.case.data.power is not None else 6  # scaled to a wanted power, or as it was typed
        amount = concise(abs(circuit.current), "A", digits) + " rms"
        if circuit.shorted:
            amount, phase = "that which the others induce, its ends joined,", ""
        if circuit.sharing == "series" and circuit.turns > 1:
            turns = f"{circuit.turns} turns in series, {few(circuit.out)}"
            reverse = f", the other way through {few(circuit.back)}" if circuit.back else ""
            yield f"current of {circuit.name}", f"{amount}{phase} through {turns}{reverse}"
            continue
        yield f"current of {circuit.name}", f"{amount}{phase}, out through {few_of_each(circuit.out)}{back}"


def _temperature(result: Result) -> str:
    """What the figures hold at, and where that comes from."""
    data, found = result.case.data, result.summary
    means = " and ".join(word for word, asked in (("air", data.cooling), ("water", data.water)) if asked)
    at = temperatures(found.temperature_low, found.temperature_high)
    if found.runs_away:
        return f"none is stable; the figures hold at {at}"
    if means:
        return f"computed in {means}: {at}"
    return f"{at}, the ambient taken where none is stated" if found.taken else f"{at} as stated"


def _some(rows: Sequence[tuple[str, str]], most: int, what: str) -> Iterator[tuple[str, str]]:
    yield from rows[:most]
    if len(rows) > most:
        yield f"{len(rows) - most} more {what}", "see the case at the end"
