"""The chapter "heat in time": short overloads, duty cycles, and the temperatures from which a fault begins."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.tables.duty import DutyTable
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.bundles import heat_as_laid
from crosscurrent.postprocess.answers.cautions import HOT
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.duty import Course, Service, measured, record, sentence, table, warnings
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.heat.adiabatic import heated_once, thermal_mass
from crosscurrent.solver.heat.ampacity import State, Unstable
from crosscurrent.solver.heat.balance import CEILING, NoStableTemperature
from crosscurrent.solver.heat.duty import duty_cycle, largest_duty

from .cooling import cooling_of, fixed_by_water, limit_of
from .temperatures import held_in

if TYPE_CHECKING:
    from matplotlib.figure import Figure

States = Mapping[float, State | Unstable]


def courses_of(
    case: Case, solutions: Mapping[float, Solution], states: States
) -> tuple[tuple[Course, ...], Service]:
    """Every duty at every frequency asked for one by one, and the temperatures in service.

    Those in service are what air and water keep up at the circuits' currents, or the peaks of repeated duties; else
    what is stated.
    """
    asked = {f: s for f, s in solutions.items() if f in case.data.frequency.at}
    repeated_ones = {
        (f, duty.name): _repeated_course(case, f, s, states.get(f), duty)
        for f, s in asked.items()
        for duty in case.data.duty
        if duty.off is not None and case.data.cooling is not None
    }
    service = _service(case, solutions, states, tuple(repeated_ones.values()))
    found = [
        repeated_ones.get((f, duty.name)) or _single_course(case, f, s, duty, service)
        for f, s in asked.items()
        for duty in case.data.duty
    ]
    return tuple(found), service


def chapter(solved: SolvedCase) -> Chapter | None:
    """Every duty at each frequency that is drawn."""
    if not solved.case.data.duty:
        return None
    found, title = solved.courses, solved.case.title
    return Chapter(
        "duty",
        "Heat in time",
        {"courses": [record(course) for course in found]},
        tuple(table(course) for course in found if not course.why),
        tuple(sentence(course) for course in found),
        tuple(text for course in found for text in warnings(course)),
        (HOT,),
        {f"duty-{course.stem}": partial(_drawn, course, title) for course in found if course.cycle},
        measured={
            "duty_temperature": measured([course for course in found if course.off is not None]),
            "fault_temperature": measured([course for course in found if course.off is None]),
        },
    )


def _drawn(course: Course, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.duty import cycle_plot

    return cycle_plot(course, title)


def _begun(case: Case, frequency: float, solution: Solution, duty: DutyTable) -> tuple[Course, FloatArray]:
    """A course without an answer yet, and the heat that each conductor holds, (conductors,) [J/(m K)]."""
    conductors, usual = solution.problem.conductors, max(abs(c.current) for c in solution.problem.circuits)
    course = Course(duty.name, frequency, conductors, _factor(duty, solution) * usual, duty.on, duty.off, usual)
    course = replace(course, held=held_in(case))
    mass = thermal_mass(solution.fine.discretisation.elements, conductors)
    if np.isnan(mass).any():
        lacking = sorted({m.name for c in conductors for m in c.metals if not (m.density and m.heat_capacity)})
        why = f"density or heat_capacity of {', '.join(lacking)} is not known: state both in the case"
        return course.failed(why), mass
    return course, mass


def _repeated_course(
    case: Case, frequency: float, solution: Solution, state: State | Unstable | None, duty: DutyTable
) -> Course:
    course, mass = _begun(case, frequency, solution, duty)
    cooling, fixed = cooling_of(case), fixed_by_water(case)
    if course.why or cooling is None:
        return course
    factor, off = _factor(duty, solution), duty.off or 0.0
    try:
        found = duty_cycle(
            solution, cooling, mass, factor=factor, on=duty.on, off=off, fixed=fixed,
            state=state if isinstance(state, State) else None,
        )  # fmt: skip
    except NoStableTemperature as error:
        aims = [limit for limit in (limit_of(case, cooling), CEILING) if limit is not None]
        held = [
            largest_duty(solution, cooling, mass, aim, factor=factor, on=duty.on, off=off, fixed=fixed) for aim in aims
        ]
        return course.failed(str(error), error.names, tuple(one for one in held if one is not None))
    return course.cycling(found, fixed if factor > 1 else frozenset())


def _single_course(case: Case, frequency: float, solution: Solution, duty: DutyTable, service: Service) -> Course:
    course, mass = _begun(case, frequency, solution, duty)
    if course.why:
        return course
    before = service
    if duty.start is not None:
        count = len(solution.problem.conductors)
        before = Service(np.full(count, duty.start), np.zeros(count), "as stated")
    flow, factor = solution.fine, _factor(duty, solution)
    heat = heat_as_laid(solution.problem, frequency, flow.currents, flow.powers.real)
    after, laid = (  # more heat warms as it does less mass
        heated_once(solution, mass / more, before.temperature, duty.on, factor=factor) for more in (1.0, heat)
    )
    return course.heated_once(before.temperature, after, before.error, before.words, laid)


def _factor(duty: DutyTable, solution: Solution) -> float:
    """On all currents while on."""
    usual = max(abs(c.current) for c in solution.problem.circuits)
    return 1.0 if duty.current is None else duty.current / usual


def always_on(case: Case) -> bool:
    """Whether the currents of the circuits flow on and on: no repeated duty says that they come and go."""
    return all(duty.off is None or duty.current is not None for duty in case.data.duty)


def _service(
    case: Case, solutions: Mapping[float, Solution], states: States, cycles: tuple[Course, ...]
) -> Service:
    found: list[Service] = []
    for frequency, solution in solutions.items() if always_on(case) else ():
        found += _steady(case, solution, states.get(frequency))
    for course in cycles:
        if course.cycle is not None:
            errors = np.array([course.figure(k).error for k in range(len(course.conductors))])
            errors[~np.isfinite(errors)] = 0.0  # in water: the cycle's own warmth is not known, and that is said
            found.append(Service(course.cycle.temperature.max(axis=0), errors, f"peak of the cycle {course.name}"))
    if not found:
        stated = np.array([c.temperature for c in case.problem().conductors])
        words = "as stated" if cooling_of(case) is None else "as stated: none in service is known"
        return Service(stated, np.zeros(len(stated)), words)
    words = " and the ".join(dict.fromkeys(one.words for one in found))
    highest = np.max([one.temperature for one in found], axis=0)
    words = words if len({one.words for one in found}) == 1 else f"the higher of {words}"
    return Service(highest, np.max([one.error for one in found], axis=0), words)


def _steady(case: Case, solution: Solution, state: State | Unstable | None) -> list[Service]:
    """The temperatures of one solution, if air or water keeps them up."""
    mean, words = np.array([c.temperature for c in solution.problem.conductors]), "steady temperature in service"
    if cooling_of(case) is None:
        return [Service(mean, np.zeros(len(mean)), words)] if case.data.water else []
    if not isinstance(state, State):
        return []
    return [Service(mean, state.doubt, words)]
