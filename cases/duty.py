"""The tables [[duty]] and the chapter "heat in time": short overloads, and duty cycles."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ..postprocess.cautions import HOT
from ..postprocess.chapter import Chapter
from ..postprocess.duty import Course, drawn, measured, record, sentence, table, warnings
from ..solver.balance import NoStableTemperature
from ..solver.duty import adiabatic, repeated, thermal_mass
from ..solver.rated import state_of
from ..solver.solve import Solution
from ..solver.warm import conduction_in, measured_exponent, sources_in
from .base import Table
from .cooling import asked, cooling_of, held_of
from .fields import Current, Name, Temperature, Time

if TYPE_CHECKING:
    from .run import Result


class Duty(Table):
    """A current that flows for a time [s], once or again and again.

    `current` [A rms] is that of the circuit with the largest current; the others follow in proportion.
    """

    name: Name
    on: Time
    off: Time | None = None
    current: Current | None = None
    start: Temperature | None = None


def chapter(result: Result) -> Chapter | None:
    """Every duty at each frequency that is drawn."""
    duties: tuple[Duty, ...] = result.case.data.duty
    if not duties:
        return None
    found = [_course(result, frequency, solution, duty) for frequency, solution in asked(result) for duty in duties]
    return Chapter(
        "duty",
        "Heat in time",
        {"courses": [record(course) for course in found]},
        tuple(table(course) for course in found if not course.why),
        tuple(sentence(course) for course in found),
        tuple(text for course in found for text in warnings(course)),
        (HOT,),
        {f"duty-{course.stem}": drawn(course, result.case.title) for course in found if course.cycle},
        measured={"duty_temperature": measured(found)},
    )


def _course(result: Result, frequency: float, solution: Solution, duty: Duty) -> Course:
    cooling, conductors = cooling_of(result.case), solution.problem.conductors
    usual = max(abs(c.current) for c in solution.problem.circuits)
    factor = 1.0 if duty.current is None else duty.current / usual
    course = Course(duty.name, frequency, conductors, factor * usual, duty.on, duty.off)
    mass = thermal_mass(solution.fine.discretisation.elements, conductors)
    if np.isnan(mass).any():
        lacking = sorted({m.name for c in conductors for m in c.metals if not (m.density and m.heat_capacity)})
        return course.failed(f"density or heat_capacity of {', '.join(lacking)} is not known: state both in the case")
    try:
        if duty.off is not None and cooling is not None:
            balance = state_of(solution, cooling, held_of(result.case)).balance
            return course.cycling(repeated(balance, mass, factor=factor, on=duty.on, off=duty.off))
    except NoStableTemperature as error:
        return course.failed(str(error))
    sources = sources_in(solution, conduction_in(solution), measured_exponent(solution)).scaled(factor)
    start = sources.computed_at if duty.start is None else np.full(len(conductors), duty.start)
    return course.heated_once(start, adiabatic(sources, mass, start, duty.on))
