"""The table [cooling] and the chapter "temperature in air": how warm the conductors get, and what they could carry."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Annotated, Any, Literal, Self

import numpy as np
from pydantic import BeforeValidator, PlainSerializer, model_validator

from ..geometries.outline import FloatArray
from ..postprocess.assumed import assumptions, correlated, taken
from ..postprocess.cautions import HOT, SCATTER
from ..postprocess.chapter import Chapter
from ..postprocess.temperature import Warmth, drawn, measured, record, sentences, table, warnings
from ..solver.balance import CEILING, NoStableTemperature
from ..solver.convection import Stream
from ..solver.cooling import FINISHES, Cooling, Finish
from ..solver.problem import Problem
from ..solver.rated import rating, state_of
from ..solver.solve import Progress, Solution, solve
from ..solver.warm import warmed
from .base import Table
from .fields import Altitude, Emissivity, Speed, Temperature, fault
from .names import Roster
from .quantities import QuantityError, kind, read_quantity, write_quantity

if TYPE_CHECKING:
    from .case import Case
    from .run import Result

WORDS = {"horizontal": 0.0, "vertical": math.pi / 2}
IN_DEGREES = PlainSerializer(lambda angle: write_quantity(angle, "angle"), when_used="json")


def _orientation(value: Any) -> float:
    """Angle of the run above the horizontal [rad]."""
    if value in WORDS:
        return WORDS[value]
    expected = '"horizontal", "vertical" or an angle such as "45 deg"'
    try:
        angle = read_quantity(value, "angle")
    except QuantityError:
        raise fault(expected, kind(value)) from None
    if not 0 <= angle <= math.pi / 2 + 1e-9:
        raise fault(expected, kind(value), "count the angle from the horizontal, 0 deg to 90 deg")
    return angle


FinishName = Literal["bright", "dull", "oxidised", "painted"]


def finish_as(finish: FinishName | None, emissivity: float | None) -> Finish | None:
    """The finish that is named, or has a stated emissivity; None where neither is given."""
    if emissivity is not None:
        return Finish("stated", *(3 * (emissivity,)), source="the case file")
    return None if finish is None else FINISHES[finish]


def one_finish(finish: FinishName | None, emissivity: float | None) -> None:
    """A finish by its name or by its emissivity."""
    if finish and emissivity is not None:
        raise fault("either finish or emissivity", "both", "give one of them")


class AirCooling(Table):
    """What the conductors stand in; air and walls at one temperature."""

    ambient: Temperature | None = None
    orientation: Annotated[float, BeforeValidator(_orientation), IN_DEGREES] = 0.0
    air: Literal["free", "still enclosure"] = "free"
    enclosure_air: Temperature | None = None
    air_speed: Speed = 0.0
    finish: FinishName | None = None
    emissivity: Emissivity | None = None
    altitude: Altitude = 0.0
    temperature_limit: Temperature | None = None

    @model_validator(mode="after")
    def _fits(self) -> Self:
        enclosed = self.air == "still enclosure"
        if enclosed and self.enclosure_air is None:
            hint = 'add enclosure_air = "55 degC", the temperature of the air inside'
            raise fault("enclosure_air, the temperature inside the enclosure", "none", hint)
        if not enclosed and self.enclosure_air is not None:
            hint = 'write air = "still enclosure", or give the temperature of free air as ambient'
            raise fault('enclosure_air only with air = "still enclosure"', f'air = "{self.air}"', hint)
        if enclosed and self.air_speed:
            raise fault("no air_speed in a still enclosure", f"{self.air_speed:g} m/s", "leave one of the two out")
        one_finish(self.finish, self.emissivity)
        return self

    def cooling(self, ambient: float, length: float | None, others: tuple[tuple[str, Finish], ...] = ()) -> Cooling:
        """As the solver takes it, in a case's ambient [degC], for the length of its run [m].

        `others`: conductors with a finish of their own, by name.
        """
        air = self.enclosure_air
        if air is None:
            air = ambient if self.ambient is None else self.ambient
        stream = Stream(self.orientation, length or 1.0, self.air_speed, self.altitude)
        return Cooling(air, finish_as(self.finish, self.emissivity) or FINISHES["dull"], stream, others=others)


def cooling_of(case: Case) -> Cooling | None:
    """What the case's conductors stand in, if it says so."""
    table: AirCooling | None = case.data.cooling
    own = [(row, finish_as(row.finish, row.emissivity)) for row in case.data.conductor]
    others = tuple((name, finish) for row, finish in own if finish is not None for name in row.copies)
    return table.cooling(case.data.ambient, case.length, others) if table else None


def held_of(case: Case) -> frozenset[str]:
    """Conductors that water keeps at their temperature."""
    roster = Roster(case.data.conductor, dict(enumerate(case.data.conductor)))
    return frozenset(name for row in case.data.water for word in row.conductors for name in roster.members(word))


def solved(case: Case, frequency: float, progress: Progress, *, start: Problem | None = None) -> Solution:
    """One frequency of a case; with [cooling] at the temperatures that its own losses keep up, if there are any.

    `start` gives the temperatures to begin with, and those that water keeps.
    """
    problem, cooling = start or case.problem(), cooling_of(case)
    if cooling is not None:
        try:
            return warmed(problem, frequency, cooling, held=held_of(case), accuracy=case.accuracy, progress=progress)
        except NoStableTemperature:
            pass  # the chapter says so, with the losses at the temperatures of the case
    return solve(problem, frequency, accuracy=case.accuracy, progress=progress)


def chapter(result: Result) -> Chapter | None:
    """How warm every conductor gets at each frequency that is drawn."""
    cooling = cooling_of(result.case)
    if cooling is None:
        return None
    limit, held = _limit(result, cooling), held_of(result.case)
    found = [_found(frequency, solution, cooling, limit, held) for frequency, solution in asked(result)]
    return Chapter(
        "temperature",
        "Temperature in air",
        {"assumptions": assumptions(cooling, found), "points": [record(point) for point in found]},
        tuple(table(point) for point in found if point.state),
        (
            *(text for point in found for text in sentences(point, result.at(point.frequency))),
            taken(cooling),
            *correlated(found),
        ),
        (
            *(text for point in found for text in warnings(point, cooling)),
            *_unswept(result.case),
            *_endless(result.case, cooling),
        ),
        (HOT, SCATTER),
        {
            f"temperature-{point.at.replace(' ', '')}": drawn(
                result.solutions[point.frequency], result.at(point.frequency), point.state, result.case.title
            )
            for point in found
            if point.state
        },
        measured={"temperature": measured(found)},
    )


def _limit(result: Result, cooling: Cooling) -> float | FloatArray | None:
    """What conductors are to be brought to: stated in [cooling] for all, else by their kinds in [limits]."""
    own, limits = result.case.data.cooling, result.case.data.limits
    if own is not None and own.temperature_limit is not None:
        return own.temperature_limit
    if limits is None:
        return None
    from .judged import kind_of

    each = []
    for kinds in kind_of(result, limits).values():
        stated = (limits.stated.get(f"temperature_{kind}", math.inf) for kind in kinds)
        each.append(min((t for t in stated if cooling.air < t <= CEILING), default=math.inf))
    if min(each) == math.inf:
        return None
    return each[0] if len(set(each)) == 1 else np.array(each)


def asked(result: Result) -> list[tuple[float, Solution]]:
    """The frequencies asked for one by one, with their solutions."""
    return [(f, solution) for f, solution in result.solutions.items() if f in result.case.data.frequency.at]


def _unswept(case: Case) -> tuple[str, ...]:
    if case.data.frequency.sweep is None:
        return ()
    return (
        "the sweep keeps the temperatures stated in the case: [cooling] finds those of the frequencies listed in at",
    )


def _endless(case: Case, cooling: Cooling) -> tuple[str, ...]:
    if not cooling.stream.tilt or case.length is not None:
        return ()
    return (
        f"air rises along a run that is not horizontal, and the case states no length: {cooling.stream.length:g} m is "
        "taken, a longer one is warmer",
    )


def _found(
    frequency: float, solution: Solution, cooling: Cooling, limit: float | FloatArray | None, held: frozenset[str]
) -> Warmth:
    conductors = solution.problem.conductors
    try:
        state = state_of(solution, cooling, held)
        found = None if limit is None else rating(solution, cooling, limit, held)
        return Warmth(frequency, conductors, state, found)
    except NoStableTemperature as error:
        return Warmth(frequency, conductors, None, None, str(error), error.names)
