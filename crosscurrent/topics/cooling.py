"""The chapter "temperature": how warm the conductors get, and what they could carry."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.names import Roster
from crosscurrent.casefile.tables.cooling import CoolingTable, finish_as
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.cautions import HOT, SCATTER
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.cooling import (
    CoolingAnswer,
    measured,
    of_the_run,
    record,
    sentences,
    table,
    warnings,
)
from crosscurrent.postprocess.topics.cooling_assumptions import (
    assumptions,
    correlated,
    strands_in_air,
    taken,
    through_strands,
)
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import Progress, solve
from crosscurrent.solver.heat.ampacity import State, Unstable, rating, state_or_reason
from crosscurrent.solver.heat.balance import CEILING, NoStableTemperature
from crosscurrent.solver.heat.cooling import Cooling
from crosscurrent.solver.heat.electrothermal import electrothermal

from .limits_kinds import kinds_of
from .slopes_asked import keeps_factors
from .temperatures import held_in, replaced

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def cooling_of(case: Case) -> Cooling | None:
    """What the case's conductors stand in, if it says so."""
    table: CoolingTable | None = case.data.cooling
    own = [(row, finish_as(row.finish, row.emissivity)) for row in case.data.conductor]
    others = tuple((name, finish) for row, finish in own if finish is not None for name in row.copies)
    return table.cooling(case.data.ambient, case.length, others, held_in(case)) if table else None


def fixed_by_water(case: Case) -> frozenset[str]:
    """Conductors that water keeps at their temperature."""
    roster = Roster(case.data.conductor, dict(enumerate(case.data.conductor)))
    return frozenset(name for row in case.data.water for word in row.conductors for name in roster.members(word))


def solved_in_air(case: Case, frequency: float, progress: Progress, *, start: Problem | None = None) -> Solution:
    """One frequency of a case; with [cooling] at the temperatures that its own losses keep up, if there are any.

    `start` gives the temperatures to begin with, and those that water keeps.
    """
    problem, cooling, keep = start or case.problem(), cooling_of(case), keeps_factors(case)
    if cooling is not None:
        try:
            return electrothermal(
                problem, frequency, cooling, fixed=fixed_by_water(case), accuracy=case.accuracy, progress=progress,
                keep=keep,
            )  # fmt: skip
        except NoStableTemperature:
            pass  # the chapter says so, with the losses at the temperatures of the case
    return solve(problem, frequency, accuracy=case.accuracy, progress=progress, keep=keep)


def states_of(case: Case, solutions: Mapping[float, Solution]) -> dict[float, State | Unstable]:
    """With [cooling] the steady state of every solution, or why it has none."""
    cooling, fixed = cooling_of(case), fixed_by_water(case)
    return {} if cooling is None else {f: state_or_reason(s, cooling, fixed) for f, s in solutions.items()}


def with_currents(
    case: Case, solutions: Mapping[float, Solution], states: Mapping[float, State | Unstable]
) -> dict[float, State | Unstable]:
    """The same states; those that are none, at frequencies asked for, also say what currents would hold."""
    cooling, fixed = cooling_of(case), fixed_by_water(case)
    found = dict(states)
    for frequency, state in states.items():
        if cooling is not None and isinstance(state, Unstable) and frequency in case.data.frequency.at:
            solution, limit = solutions[frequency], limit_of(case, cooling)
            within = None if limit is None else rating(solution, cooling, limit, fixed)
            found[frequency] = replace(state, largest=rating(solution, cooling, CEILING, fixed), within=within)
    return found


def chapter(solved: SolvedCase) -> Chapter | None:
    """How warm every conductor gets at each frequency that is drawn."""
    cooling = cooling_of(solved.case)
    if cooling is None:
        return None
    limit, fixed = limit_of(solved.case, cooling), fixed_by_water(solved.case)
    asked = None if solved.case.data.cooling is None else solved.case.data.cooling.temperature_limit
    coils, judged = coils_of(solved.case), judges_service(solved.case)
    found = [
        replace(_found(f, s, solved.states[f], cooling, limit, fixed), held=cooling.held, coils=coils)
        for f, s in solved.asked.items()
    ]
    axial = solved.case.axial
    return Chapter(
        "temperature",
        "Temperature in air",
        {"assumptions": assumptions(cooling, found, axial=axial), "points": [record(point) for point in found]},
        tuple(table(point) for point in found if point.state),
        (
            *(text for point in found for text in sentences(point, solved.at(point.frequency))),
            *replaced(solved),
            *through_strands(found),
            taken(cooling, axial=axial),
            *correlated(found),
        ),
        (
            *(text for point in found for text in warnings(point, cooling, asked, judged=judged)),
            *strands_in_air([b.name for b in solved.case.problem().bundles]),
            *of_the_run(cooling, swept=solved.case.data.frequency.sweep is not None, length=solved.case.length),
        ),
        (HOT, SCATTER),
        {
            f"temperature-{point.at.replace(' ', '')}": partial(
                _drawn, solved.solutions[point.frequency], solved.at(point.frequency), point.state, solved.case.title
            )
            for point in found
            if point.state
        },
        measured={"temperature": measured(found)},
    )


def coils_of(case: Case) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """The turns of every coil, by their names; none in a plane section."""
    if not case.axial:
        return ()
    return tuple((c.name, c.out + c.back) for c in case.problem().circuits if c.sharing == "series")


def judges_service(case: Case) -> bool:
    """Whether [limits] states a temperature in service, of conductors of any kind."""
    limits = case.data.limits
    return limits is not None and any(key.startswith("temperature_") for key in limits.stated)


def limit_of(case: Case, cooling: Cooling) -> float | FloatArray | None:
    """What conductors are to be brought to: stated in [cooling] for all, else by their kinds in [limits]."""
    own, limits = case.data.cooling, case.data.limits
    if own is not None and own.temperature_limit is not None:
        return own.temperature_limit
    if limits is None:
        return None
    each = []
    for kinds in kinds_of(case, limits).values():
        stated = (limits.stated.get(f"temperature_{kind}", math.inf) for kind in kinds)
        each.append(min((t for t in stated if cooling.air < t <= CEILING), default=math.inf))
    if min(each) == math.inf:
        return None
    return each[0] if len(set(each)) == 1 else np.array(each)


def _found(
    frequency: float,
    solution: Solution,
    state: State | Unstable,
    cooling: Cooling,
    limit: float | FloatArray | None,
    fixed: frozenset[str],
) -> CoolingAnswer:
    conductors = solution.problem.conductors
    if isinstance(state, Unstable):
        return CoolingAnswer(frequency, conductors, None, state.within, state.why, state.names, state.largest)
    found = None if limit is None else rating(solution, cooling, limit, fixed, state=state)
    return CoolingAnswer(frequency, conductors, state, found)


def _drawn(solution: Solution, answers: Answers, state: State, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.cooling import temperature_map

    return temperature_map(solution, answers, state, title)
