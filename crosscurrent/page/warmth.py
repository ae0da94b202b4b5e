"""How warm the metal of a settled section is: a map, figures with their bands, and what they rest on."""

from __future__ import annotations

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.answers.cautions import SCATTER, WATER
from crosscurrent.postprocess.answers.metal_limits import burning
from crosscurrent.postprocess.topics.cooling import CoolingAnswer, sentences, warnings
from crosscurrent.postprocess.topics.cooling_assumptions import taken
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.heat.ampacity import State, Unstable
from crosscurrent.solver.heat.balance import Balance
from crosscurrent.topics.cooling import coils_of, cooling_of, fixed_by_water, states_of

from .field import painted
from .words import Plain

NOTHING = "Nothing takes the heat away yet: say what the metal stands in ([cooling]), or which water flows ([[water]])."
IN_TIME = "Its pieces are heated in time ([[heating]]): Run follows them and draws them; nothing here is steady."
IN_WATER = "each conductor in water at its mean temperature; others as stated, since there is no [cooling]"


def warmth(case: Case, solution: Solution) -> tuple[Plain, bytes]:
    """Temperatures of a solution that was made for what the case stands in.

    Returns
    -------
    header : dict
        `why` where there are none; else `field` as `field.painted` has it [degC], `rows` of conductors with the hottest
        point and its band [degC], `said`, `warnings`, `cautions`.
    payload : bytes
        Of the field.
    """
    cooling, frequency = cooling_of(case), solution.frequency
    if cooling is None:
        why = IN_TIME if case.data.heating else NOTHING
        return _in_water(case, solution) if case.data.water else ({"why": why}, b"")
    state = states_of(case, {frequency: solution})[frequency]
    conductors = solution.problem.conductors
    if isinstance(state, Unstable):
        point = CoolingAnswer(frequency, conductors, None, None, state.why, state.names)
        return {"why": f"{state.why}. Less current, more metal or more air?"}, b""
    point = CoolingAnswer(frequency, conductors, state, held=cooling.held, coils=coils_of(case))
    head, payload = _map(solution, state.balance)
    said = [*sentences(point, answers(solution)), taken(cooling, axial=case.axial)]
    water = WATER if case.data.water else ()
    figures = [point.figure(k) for k in range(len(conductors))]
    return {
        "field": head, "rows": _rows(state, solution, cooling.held), "said": said,
        "warnings": warnings(point, cooling), "cautions": [*burning(figures), SCATTER, *water],
    }, payload  # fmt: skip


def _rows(state: State, solution: Solution, held: frozenset[str]) -> list[Plain]:
    hottest = state.balance.hottest[0]
    return [
        {"name": c.name, "hottest": float(hottest[k]), "low": float(state.coldest[k]),
         "high": float(state.hottest[k]) if state.bounded else None, "held": c.name in held}
        for k, c in enumerate(solution.problem.conductors)
    ]  # fmt: skip


def _map(solution: Solution, balance: Balance) -> tuple[Plain, bytes]:
    elements = balance.conduction.elements

    def values(rows: IntArray, places: FloatArray) -> FloatArray:
        return np.asarray(elements.value(balance.field, rows, places))

    return painted(solution.fine, elements.metal, values)


def _in_water(case: Case, solution: Solution) -> tuple[Plain, bytes]:
    """Without air: every conductor evenly at the temperature that the field was solved at."""
    mesh, conductors = solution.fine.discretisation.mesh, solution.problem.conductors
    even = np.array([c.temperature for c in conductors])

    def values(rows: IntArray, places: FloatArray) -> FloatArray:
        return np.repeat(even[mesh.part[rows]][:, None], len(places), axis=1)

    head, payload = painted(solution.fine, solution.fine.discretisation.elements.metal, values)
    wet = fixed_by_water(case)
    rows = [{"name": c.name, "hottest": c.temperature, "low": None, "high": None, "held": c.name not in wet}
            for c in conductors]  # fmt: skip
    return {"field": head, "rows": rows, "said": [IN_WATER], "warnings": [], "cautions": list(WATER)}, payload
