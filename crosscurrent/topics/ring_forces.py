"""The chapter "supports" round an axis: forces along it and on every turn, in service and at a fault."""

from __future__ import annotations

from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.ring_forces import (
    CAUTIONS,
    TAKEN,
    RingForcesAnswer,
    record,
    sentences,
    tables,
)
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.ring_forces import at_fault, body_forces, largest_ratio, ring_forces
from crosscurrent.solver.field.solution import Solution

from .fault_ratio import fault_ratio


def forces_of_rings(solved: SolvedCase) -> Chapter | None:
    """At every frequency whose field is at hand, where a section round an axis asks."""
    if solved.case.data.supports is None:
        return None
    found = [_answered(solved, solution) for solution in solved.solutions.values()]
    return Chapter(
        "supports",
        "Forces round the axis",
        record(found),
        tuple(table for one in found for table in tables(one)),
        (*(text for one in found for text in sentences(one)), TAKEN),
        cautions=CAUTIONS,
    )


def _answered(solved: SolvedCase, solution: Solution) -> RingForcesAnswer:
    asked = solved.case.data.supports
    assert asked is not None
    ratio = fault_ratio(asked, solution.problem)
    rings, bodies = ring_forces(solution), body_forces(solution)
    hoop = tuple(None if ring.hoop is None else at_fault(ring.hoop, ratio, solution) for ring in rings)
    faults = tuple(at_fault(body.peak, ratio, solution) for body in bodies)
    grow = None if asked.stress is None else largest_ratio(rings, asked.stress)
    return RingForcesAnswer(solution.frequency, rings, bodies, faults, hoop, asked.stress, grow)
