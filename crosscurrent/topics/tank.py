"""The chapter "tank": the capacitor with which a coil resonates, with its pieces and without them."""

from __future__ import annotations

from dataclasses import replace

from crosscurrent.postprocess.answers.cautions import CAPACITOR, RESONANCE
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.tank import TITLE, Empty, TankAnswer, measured, record, sentences, table
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve


def chapter(solved: SolvedCase) -> Chapter | None:
    """Where the case file has a table [tank]; at every frequency above 0 Hz whose fields are there."""
    stated = solved.case.data.tank
    if stated is None:
        return None
    name = stated.coil or next(iter(solved.circuits))
    found = [answer for f, s in solved.solutions.items() if f > 0 and (answer := _answer(solved, s, name))]
    if not found:
        return None
    said = tuple(sentences(found))
    cautions = RESONANCE, CAPACITOR
    return Chapter("tank", TITLE, record(found), (table(found),), said, cautions=cautions, measured=measured(found))


def _answer(solved: SolvedCase, solution: Solution, name: str) -> TankAnswer | None:
    stated, answer = solved.case.data.tank, solved.at(solution.frequency).circuits[name]
    if stated is None or answer.resistance is None or answer.inductance is None:
        return None
    if answer.resistance <= 0 or answer.inductance <= 0:  # others drive it
        return None
    return TankAnswer(
        name,
        stated.joined,
        solution.frequency,
        abs(answer.current),
        answer.resistance,
        answer.resistance_error or 0.0,
        answer.inductance,
        answer.inductance_error or 0.0,
        _empty(solved, solution, name) if stated.empty else None,
    )


def _empty(solved: SolvedCase, solution: Solution, name: str) -> Empty | None:
    """The coil at the same frequency, currents and temperatures, with the heated pieces away."""
    away = set(solved.case.heated)
    problem = without(solution.problem, away)
    circuit = next(c for c in problem.circuits if c.name == name)
    if not away:
        return None
    flow = solve(problem, solution.frequency, accuracy=solved.case.accuracy).fine
    return Empty(float((flow.circuit(circuit) / circuit.current).real), float(flow.inductance(circuit)))


def without(problem: Problem, names: set[str]) -> Problem:
    """A problem less some of its conductors that are in no circuit."""
    return replace(problem, conductors=tuple(c for c in problem.conductors if c.name not in names))
