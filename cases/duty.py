"""The tables [[duty]] and the chapter "heat in time": short overloads, and duty cycles."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Self

import numpy as np
from pydantic import model_validator

from ..geometries.outline import FloatArray
from ..postprocess.cautions import HOT
from ..postprocess.chapter import Chapter
from ..postprocess.duty import Course, drawn, measured, record, sentence, table, warnings
from ..solver.balance import Balance, NoStableTemperature, steady
from ..solver.cooling import Cooling, Exchange
from ..solver.duty import Cycle, adiabatic, peak_band, repeated, thermal_mass
from ..solver.rated import state_of
from ..solver.solve import Solution
from ..solver.warm import conduction_in, measured_exponent, sources_in
from .base import Table
from .cooling import asked, cooling_of, held_of
from .fields import Current, Name, Temperature, Time, fault

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

    @model_validator(mode="after")
    def _loaded(self) -> Self:
        if self.current == 0:
            raise fault("a duty's current above 0 A", "0 A", "the time without current is off")
        return self


def chapter(result: Result) -> Chapter | None:
    """Every duty at each frequency that is drawn."""
    duties: tuple[Duty, ...] = result.case.data.duty
    if not duties:
        return None
    found = [_course(result, frequency, solution, duty) for frequency, solution in asked(result) for duty in duties]
    once = [course for course in found if course.off is None]
    return Chapter(
        "duty",
        "Heat in time",
        {"courses": [record(course) for course in found]},
        tuple(table(course) for course in found if not course.why),
        tuple(sentence(course) for course in found),
        tuple(text for course in found for text in warnings(course)),
        (HOT,),
        {f"duty-{course.stem}": drawn(course, result.case.title) for course in found if course.cycle},
        measured={
            "duty_temperature": measured([course for course in found if course.off is not None]),
            "fault_temperature": measured(once),
        },
    )


def _course(result: Result, frequency: float, solution: Solution, duty: Duty) -> Course:
    cooling, conductors = cooling_of(result.case), solution.problem.conductors
    factor, usual = _factor(duty, solution), max(abs(c.current) for c in solution.problem.circuits)
    course = Course(duty.name, frequency, conductors, factor * usual, duty.on, duty.off)
    mass = thermal_mass(solution.fine.discretisation.elements, conductors)
    if np.isnan(mass).any():
        lacking = sorted({m.name for c in conductors for m in c.metals if not (m.density and m.heat_capacity)})
        return course.failed(f"density or heat_capacity of {', '.join(lacking)} is not known: state both in the case")
    held = held_of(result.case)
    if duty.off is not None and cooling is not None:
        try:
            cycle, inside, band = _cycle(solution, cooling, held, duty)
        except NoStableTemperature as error:
            return course.failed(str(error), error.names)
        return course.cycling(cycle, inside, band, held if factor > 1 else frozenset())
    sources = sources_in(solution, conduction_in(solution), measured_exponent(solution)).scaled(factor)
    before = service(result)
    if duty.start is not None:
        before = Service(np.full(len(conductors), duty.start), np.zeros(len(conductors)), "as stated")
    after = adiabatic(sources, mass, before.temperature, duty.on)
    return course.heated_once(before.temperature, after, before.error, before.words)


def _factor(duty: Duty, solution: Solution) -> float:
    """On all currents while on."""
    usual = max(abs(c.current) for c in solution.problem.circuits)
    return 1.0 if duty.current is None else duty.current / usual


@lru_cache(maxsize=16)
def _cycle(
    solution: Solution, cooling: Cooling, held: frozenset[str], duty: Duty
) -> tuple[Cycle, FloatArray, tuple[FloatArray, FloatArray]]:
    """The cycle a duty leads to; its hottest points above the means (conductors,) [K]; the band of its peaks."""
    factor, on, off = _factor(duty, solution), duty.on, duty.off or 0.0
    mass = thermal_mass(solution.fine.discretisation.elements, solution.problem.conductors)
    balance, inside = _balance(solution, cooling, held, factor * (on / (on + off)) ** 0.5)
    cycle = repeated(balance, mass, factor=factor, on=on, off=off)
    return cycle, factor**2 * inside, peak_band(balance, mass, factor=factor, on=on, off=off)


def _balance(solution: Solution, cooling: Cooling, held: frozenset[str], mean: float) -> tuple[Balance, FloatArray]:
    """Losses and cooling of a case, and how far its hottest points lie above the means (conductors,) [K].

    Where the case's own currents have no steady state, from that of the `mean` factor on them.
    """
    try:
        balance = state_of(solution, cooling, held).balance
        return balance, balance.hottest[0] - balance.mean
    except NoStableTemperature:
        conduction = conduction_in(solution)
        exchange = Exchange(conduction.panels, tuple(c.part for c in solution.problem.conductors), cooling)
        sources = sources_in(solution, conduction, measured_exponent(solution), held)
        balance = steady(conduction, exchange, sources.scaled(mean))
        return replace(balance, sources=sources), (balance.hottest[0] - balance.mean) / mean**2


def always_on(result: Result) -> bool:
    """Whether the currents of the circuits flow on and on: no repeated duty says that they come and go."""
    return all(duty.off is None or duty.current is not None for duty in result.case.data.duty)


@dataclass(frozen=True, eq=False)
class Service:
    """The highest mean temperatures of the conductors in service, from which a fault begins.

    Attributes
    ----------
    temperature, error : (conductors,) float
        [degC], [K]
    words : str
        What they are.
    """

    temperature: FloatArray
    error: FloatArray
    words: str


def service(result: Result) -> Service:
    """What air and water keep up at the circuits' currents, or the peaks of repeated duties; else what is stated."""
    found: list[Service] = []
    for solution in result.solutions.values() if always_on(result) else ():
        found += _steady(result, solution)
    for frequency, solution in asked(result):
        for duty in result.case.data.duty:
            course = _course(result, frequency, solution, duty) if duty.off is not None else None
            if course is not None and course.cycle is not None:
                errors = np.array([course.figure(k).error for k in range(len(course.conductors))])
                errors[~np.isfinite(errors)] = 0.0  # in water: the cycle's own warmth is not known, and that is said
                found.append(Service(course.cycle.temperature.max(axis=0), errors, f"peak of the cycle {duty.name}"))
    if not found:
        stated = np.array([c.temperature for c in result.case.problem().conductors])
        words = "as stated" if cooling_of(result.case) is None else "as stated: none in service is known"
        return Service(stated, np.zeros(len(stated)), words)
    words = " and the ".join(dict.fromkeys(one.words for one in found))
    highest = np.max([one.temperature for one in found], axis=0)
    words = words if len({one.words for one in found}) == 1 else f"the higher of {words}"
    return Service(highest, np.max([one.error for one in found], axis=0), words)


def _steady(result: Result, solution: Solution) -> list[Service]:
    """The temperatures of one solution, if air or water keeps them up."""
    case, cooling = result.case, cooling_of(result.case)
    mean, words = np.array([c.temperature for c in solution.problem.conductors]), "steady temperature in service"
    if cooling is None:
        return [Service(mean, np.zeros(len(mean)), words)] if case.data.water else []
    try:
        state = state_of(solution, cooling, held_of(case))
    except NoStableTemperature:
        return []
    hottest = state.balance.hottest[0]
    return [Service(mean, np.maximum(state.hottest - hottest, hottest - state.coldest), words)]
