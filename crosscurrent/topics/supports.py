"""The chapter "supports": forces in service and at a fault, spacing and resonance of the supports."""

from __future__ import annotations

from crosscurrent.casefile.tables.fault import FaultTable
from crosscurrent.casefile.tables.supports import SupportsTable
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.supports import (
    CAUTIONS,
    SupportsAnswer,
    measured,
    record,
    sentences,
    table,
    warnings,
)
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.supports import support_loads

from .fault_ratio import fault_ratio
from .ring_forces import forces_of_rings

OFFSET = "the supply's own, at which the offset of a fault shakes"


def chapter(solved: SolvedCase) -> Chapter | None:
    """At every frequency whose field is at hand."""
    asked = solved.case.data.supports
    if asked is None:
        return None
    if solved.case.axial:
        return forces_of_rings(solved)
    loads = [
        one
        for solution in solved.solutions.values()
        for one in support_loads(
            solution,
            ratio=fault_ratio(asked, solution.problem),
            stress=asked.stress,
            spacing=asked.spacing,
            fixing=asked.fixing,
        )
    ]
    found = SupportsAnswer(
        loads,
        solved.case.problem().conductors,
        asked.fixing,
        asked.fault_current,
        asked.peak_factor,
        asked.stress,
        asked.spacing,
        {f: _shaking(asked, solved.case.data.fault, f) for f in solved.solutions},
    )
    return Chapter(
        "supports",
        "Forces and supports",
        record(found),
        (table(found),),
        tuple(sentences(found)),
        tuple(warnings(found)),
        CAUTIONS,
        measured={"force": measured(found)},
    )


def _shaking(asked: SupportsTable, struck: FaultTable | None, frequency: float) -> dict[float, str]:
    """The frequencies [Hz] of the forces at a frequency of the case and in its faults, in words."""
    found = {2 * frequency: "twice the supply's"} if frequency else {}
    if frequency and (asked.peak_factor or 1.0) > 1:
        found[frequency] = OFFSET
    if struck is not None and struck.frequency:
        found |= {2 * struck.frequency: "twice that of [fault]"}
        found |= {struck.frequency: "that of [fault], at which its offset shakes"} if struck.form == "offset" else {}
    return found
