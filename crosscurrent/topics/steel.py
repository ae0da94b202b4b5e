"""The chapter "steel": metals with a magnetisation curve, solved at their field strength."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from crosscurrent.casefile.curves import curve_text
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.steel import (
    TITLE,
    SteelAnswer,
    SteelCircuit,
    record,
    sentences,
    tables,
    warnings,
)
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.solution import DirectSolution
from crosscurrent.solver.field.steel import SteelFlows, magnetised

from .waveform import OWN_FILES


def chapter(solved: SolvedCase) -> Chapter | None:
    """At every frequency whose fields are there; None without such metals."""
    if not any(metal.magnetisation for c in solved.case.problem().conductors for metal in c.all_metals):
        return None
    found, circuits = [], []
    for solution in solved.solutions.values():
        assert isinstance(solution, DirectSolution)  # curves are in no reduced model
        found += list(_conductors(solution))
        if solution.steel is not None:
            circuits += list(_circuits(solution, solution.steel))
    shown = tuple(tables(found, circuits))
    told = tuple(sentences(found)), tuple(warnings(found))
    tables_of_metals = solved.case.data.material.values()
    curves = {Path(file).name: file for metal in tables_of_metals if (file := metal.magnetisation)}
    files = {name: curve_text(file) for name, file in curves.items() if name not in OWN_FILES}
    return Chapter("steel", TITLE, record(found, circuits), shown, *told, files=files)


def _conductors(solution: DirectSolution) -> Iterator[SteelAnswer]:
    effective, steel = solution.fine.discretisation.effective, solution.steel
    for number, c in enumerate(solution.problem.conductors):
        for metal in c.all_metals:
            if metal.magnetisation and metal.warmed(c.temperature).magnetisation is None:
                yield SteelAnswer(c.name, solution.frequency, c.temperature, metal.ends)
                break
        if steel is None or effective is None or (state := magnetised(solution.fine, number)) is None:
            continue
        yield SteelAnswer(
            c.name,
            solution.frequency,
            c.temperature,
            None,
            state.crest,
            *state.permeability,
            max(metal.permeability for metal in c.metals if metal.magnetisation),
            float(solution.fine.powers[number].real),
            float(solution.loss_errors[number]),
            float(steel.linear.powers[number].real),
            effective.solves,
            float(solution.power_bands[number] / power) if (power := solution.fine.powers[number].real) else 0.0,
        )


def _circuits(solution: DirectSolution, steel: SteelFlows) -> Iterator[SteelCircuit]:
    for circuit in solution.problem.circuits:
        if circuit.current:
            errors = solution.circuit_errors(circuit)
            now, linear = (
                ((flow.circuit(circuit) / circuit.current).real, flow.inductance(circuit))
                for flow in (solution.fine, steel.linear)
            )
            yield SteelCircuit(
                circuit.name, solution.frequency, now[0], errors[0], linear[0], now[1], errors[1], linear[1],
                *solution.circuit_bands(circuit),
            )  # fmt: skip
