"""Figures that limits are set on and only the fields tell: forces round an axis, pull in turns, B in magnetic metal."""

from __future__ import annotations

from crosscurrent.postprocess.answers.chapter import Measured
from crosscurrent.postprocess.answers.units import frequency_words
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.ring_forces import at_fault, body_forces, ring_forces
from crosscurrent.solver.field.saturation import strong_induction
from crosscurrent.solver.field.solution import Solution

from .fault_ratio import fault_ratio


def axial_forces(solved: SolvedCase) -> list[Measured]:
    """Largest force along the axis on every coil and piece [N], at the fault of [supports] where one is stated."""
    found = []
    for frequency, solution in solved.solutions.items():
        grown = _grown(solved, solution)
        for body in body_forces(solution):
            words = f"{body.name} at {frequency_words(frequency)}{_when(solved)}"
            found.append(Measured(abs(body.peak) * grown, body.error * grown, "N", body.name, "", frequency, words))
    return found


def hoop_stresses(solved: SolvedCase) -> list[Measured]:
    """Largest mean pull in every turn and ring [Pa], at the fault of [supports] where one is stated."""
    found = []
    for frequency, solution in solved.solutions.items():
        grown = _grown(solved, solution)
        for ring in ring_forces(solution):
            if ring.hoop is not None and ring.radial_peak:
                error = ring.error * abs(ring.hoop / ring.radial_peak)
                words = f"{ring.name} at {frequency_words(frequency)}{_when(solved)}"
                pull = max(ring.hoop, 0.0)  # pushed together it does not tear
                found.append(Measured(pull * grown, error * grown, "Pa", ring.name, "", frequency, words))
    return found


def flux_densities(solved: SolvedCase) -> list[Measured]:
    """Crest of B in every strongly magnetic conductor, as of `strong_induction` [T]."""
    found = []
    for frequency, solution in solved.solutions.items():
        for number, conductor in enumerate(solution.problem.conductors):
            crest = strong_induction(solution.fine, number) if conductor.is_strongly_magnetic else None
            if crest is not None:
                before = strong_induction(solution.coarse, number) or 0.0
                words = f"{conductor.name} at {frequency_words(frequency)}"
                found.append(Measured(crest, 2 * abs(crest - before), "T", conductor.name, "", frequency, words))
    return found


def _grown(solved: SolvedCase, solution: Solution) -> float:
    """What a peak at the fault of [supports] is in parts of that in service."""
    asked = solved.case.data.supports
    ratio = None if asked is None else fault_ratio(asked, solution.problem)
    return at_fault(1.0, ratio, solution) or 1.0


def _when(solved: SolvedCase) -> str:
    asked = solved.case.data.supports
    return " at the fault" if asked is not None and asked.fault_current is not None else ""
