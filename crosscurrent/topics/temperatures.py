"""Temperatures that the case states and that air and water replace by those they settle at."""

from __future__ import annotations

from collections.abc import Iterator

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.names import Roster
from crosscurrent.postprocess.answers.few_names import few_of_each
from crosscurrent.postprocess.answers.units import NOTABLE, frequency_words
from crosscurrent.solved import SolvedCase


def replaced(solved: SolvedCase) -> Iterator[str]:
    """What was stated and what it settles at, a sentence for each frequency at which they differ."""
    rows = [row for row in solved.case.data.conductor if row.temperature is not None]
    stated = {name: row.temperature for row in rows for name in row.copies}
    for frequency, solution in solved.asked.items():
        alike: dict[float, dict[str, float]] = {}
        for conductor in solution.problem.conductors:
            said = stated.get(conductor.name)
            if said is not None and abs(conductor.temperature - said) >= NOTABLE:
                alike.setdefault(said, {})[conductor.name] = conductor.temperature
        parts = [
            f"{said:g} degC was stated for {few_of_each(tuple(found))}, which settle{'s' if len(found) == 1 else ''} "
            f"at {' to '.join(f'{t:.0f}' for t in sorted({round(min(found.values())), round(max(found.values()))}))}"
            for said, found in alike.items()
        ]
        if parts:
            yield f"{frequency_words(frequency)}: {'; '.join(parts)}"


def held_in(case: Case) -> frozenset[str]:
    """Conductors that keep the temperature stated: those of [cooling], and what [[heating]] follows in time."""
    roster = Roster(case.data.conductor, dict(enumerate(case.data.conductor)))
    words = (*(case.data.cooling.held if case.data.cooling else ()), *(row.piece for row in case.data.heating))
    return frozenset(name for word in words for name in roster.members(word))
