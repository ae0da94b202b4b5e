"""The chapter "coils": turns, resistance, inductance and quality of every coil, coupling of every pair."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.coils import (
    TITLE,
    CoilAnswer,
    CoupledPair,
    TurnVoltage,
    measured,
    record,
    sentences,
    tables,
)
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.coils import Coupled, coupled
from crosscurrent.solver.field.problem import Circuit
from crosscurrent.solver.field.solution import DirectSolution


def chapter(solved: SolvedCase) -> Chapter | None:
    """Of a section round an axis, at every frequency whose fields are there."""
    if not solved.case.axial:
        return None
    coils, pairs = [], []
    for solution in solved.solutions.values():
        if isinstance(solution, DirectSolution):
            found = coupled(solution)
            here = [_coil(solved, solution, found, k) for k in range(len(solution.problem.circuits))]
            coils += here
            pairs += list(_pairs(here, found))
    if not coils:
        return None
    shown, said = tuple(tables(coils, pairs)), tuple(sentences(coils, pairs))
    return Chapter("coils", TITLE, record(coils, pairs), shown, said, measured=measured(coils, pairs))


def _coil(solved: SolvedCase, solution: DirectSolution, found: Coupled, number: int) -> CoilAnswer:
    circuit = solution.problem.circuits[number]
    answer = solved.at(solution.frequency).circuits[circuit.name]
    table = next((row for row in solved.case.data.coil if row.name == circuit.name), None)
    in_series = circuit.members if circuit.sharing == "series" else ()
    turns = _turns(solution, circuit, solved.case.turns.get(circuit.name, in_series))
    return CoilAnswer(
        circuit.name,
        solution.frequency,
        answer.current,
        turns,
        table.taps if table else (),
        float(found.resistance[number]),
        float(found.resistance_error[number]),
        float(found.inductance[number, number]),
        float(found.inductance_error[number, number]),
        circuit.shorted,
        abs(answer.voltage),
        max(answer.voltage_error, sum(turn.error for turn in turns) if circuit.shorted else 0.0),
    )


def _turns(solution: DirectSolution, circuit: Circuit, names: tuple[str, ...]) -> tuple[TurnVoltage, ...]:
    index = {name: k for k, name in enumerate(solution.problem.names)}
    fine, coarse = solution.fine.voltages, solution.coarse.voltages
    error = 2 * solution.left * np.abs(fine - coarse) + 1e-12 * np.abs(fine).max()
    owner = {name: bound.name for bound in solution.problem.bundles for name in bound.members}
    turns: dict[str, list[str]] = {}  # a bundle is one turn
    for name in names:
        turns.setdefault(owner.get(name, name), []).append(name)
    return tuple(
        TurnVoltage(
            name,
            complex(fine[[index[one] for one in of]].mean()) * (-1 if of[0] in circuit.back else 1),
            float(error[[index[one] for one in of]].max()),
            of[0] in circuit.back,
        )
        for name, of in turns.items()
    )


def _pairs(coils: list[CoilAnswer], found: Coupled) -> Iterator[CoupledPair]:
    for one in range(len(coils)):
        for other in range(one):
            first, second = coils[other], coils[one]
            factor, error = found.coupling(other, one)
            qualities = None if first.quality is None or second.quality is None else first.quality * second.quality
            yield CoupledPair(
                first.name,
                second.name,
                first.frequency,
                float(found.inductance[other, one]),
                float(found.inductance_error[other, one]),
                factor,
                error,
                None if qualities is None else abs(factor) * np.sqrt(max(qualities, 0.0)),
            )
