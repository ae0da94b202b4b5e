"""The chapter "voltage" round an axis: between the turns of every coil, and its own capacitance."""

from __future__ import annotations

from itertools import pairwise

from crosscurrent.casefile.tables.voltage import VoltageTable
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.cautions import VOLTAGE
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.turn_voltages import TurnVoltages, record, sentences, table, warnings
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.electrostatic import charges
from crosscurrent.solver.field.problem import Circuit
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.turn_voltages import own_capacitance, own_resonance, turn_gaps


def voltages_of_turns(solved: SolvedCase, stated: VoltageTable) -> Chapter:
    """Of every circuit whose turns are in series, at every frequency whose field is at hand."""
    charge, error = charges(solved.case.problem().section)
    found = [
        _answered(solution, circuit, charge, error, stated.field_limit)
        for solution in solved.solutions.values()
        for circuit in solution.problem.circuits
        if circuit.current and (circuit.sharing == "series" or len(circuit.members) == 1)
    ]
    return Chapter(
        "voltage",
        "Voltage between turns",
        record(found),
        tuple(table(one) for one in found if one.gaps),
        tuple(text for one in found for text in sentences(one)),
        tuple(text for one in found for text in warnings(one)),
        (VOLTAGE,),
    )


def _answered(
    solution: Solution, circuit: Circuit, charge: FloatArray, error: float, limit: float | None
) -> TurnVoltages:
    problem = solution.problem
    capacitance = own_capacitance(problem, circuit, charge)
    rows = [problem.names.index(name) for name in circuit.members]
    between = {
        (problem.names[i], problem.names[j]): -float(charge[i, j]) for i, j in pairwise(rows)
    }
    return TurnVoltages(
        circuit.name,
        solution.frequency,
        turn_gaps(solution, circuit),
        limit,
        capacitance,
        error,
        own_resonance(solution.fine.inductance(circuit), capacitance),
        between,
    )
