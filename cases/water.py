"""Water in the bores of conductors: its table of the case file, and what the run says of it."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any, Literal, Self

import numpy as np
from pydantic import model_validator

from ..postprocess.cautions import WATER
from ..postprocess.chapter import Chapter
from ..postprocess.units import concise
from ..postprocess.water import ASSUMED, Cooled, leg_table, record, rise, sentences, stream_table, wall, warnings
from ..solver.coolant import ATMOSPHERE, Coolant
from ..solver.pipe import DRAWN, Passage, WaterError
from ..solver.problem import Conductor
from ..solver.solve import Progress, Solution, solve
from ..solver.water import WaterCircuit
from ..solver.wetted import bores, with_conduction
from .base import Table
from .fields import Bends, Flow, GaugePressure, Names, Pressure, Radius, Ratio, Temperature, fault, some
from .names import Roster

if TYPE_CHECKING:
    from .case import Case
    from .run import Result

ROUNDS = 8  # solves of the field at most
AGREED = 50.0  # temperature at which metal and water agree [K], times the wanted bound on resistances


class Water(Table):
    """Conductors that one stream of water passes through."""

    conductors: Annotated[Names, some("name the conductors whose bores carry the water")]
    joined: Literal["series", "parallel"] = "series"
    inlet: Temperature
    flow: Flow | None = None
    pressure_drop: Pressure | None = None
    glycol: Ratio = 0.0
    bends: Bends = 0
    roughness: Radius = DRAWN
    outlet_pressure: GaugePressure = 1e5
    wall_limit: Temperature | None = None
    outlet_limit: Temperature | None = None

    @model_validator(mode="after")
    def _consistent(self) -> Self:
        if (self.flow is None) == (self.pressure_drop is None):
            found = "neither" if self.flow is None else "both"
            raise fault("either flow or pressure_drop", found, "give exactly one of them: the other is found")
        lowest = -50.0 if self.glycol else 0.0
        if not lowest < self.inlet < 100:
            hint = "" if self.glycol or self.inlet > 0 else "water freezes there: add glycol"
            raise fault(f"an inlet from {lowest:g} to 100 degC", f"{self.inlet:g} degC", hint)
        for name, limit in (("wall_limit", self.wall_limit), ("outlet_limit", self.outlet_limit)):
            if limit is not None and limit <= self.inlet:
                raise fault(f"a {name} above the inlet's {self.inlet:g} degC", f"{limit:g} degC", "cool the inlet")
        return self


def passage(conductor: Conductor, loss: float, length: float, table: Water) -> Passage:
    """The water's way through a conductor that loses `loss` [W/m]."""
    coat = sum(conductor.part.bore_coats)
    own = bores(conductor.part)
    coated = [o if o in conductor.part.shape.holes else None for o in own]
    perimeters = [o.perimeter - (2 * math.pi * coat if c else 0.0) for o, c in zip(own, coated, strict=True)]
    areas = [
        abs(o.area) - (coat * o.perimeter - math.pi * coat**2 if c else 0.0) for o, c in zip(own, coated, strict=True)
    ]
    return Passage(conductor.name, sum(areas), sum(perimeters), length, loss, table.bends, table.roughness, len(own))


def cooled_by(case: Case, table: Water, solution: Solution) -> Cooled:
    """The water of one table with the losses of a solution."""
    conductors, loss = solution.problem.conductors, solution.fine.powers.real
    numbers = {c.name: k for k, c in enumerate(conductors)}
    rows = [numbers[name] for name in members_of(case, table)]
    passages = tuple(passage(conductors[k], float(loss[k]), case.length or math.nan, table) for k in rows)
    pressure = table.outlet_pressure + ATMOSPHERE
    circuit = WaterCircuit(passages, table.inlet, Coolant(table.glycol), table.joined, pressure)
    try:
        flow = table.flow if table.pressure_drop is None else circuit.flow_for_drop(table.pressure_drop)
        legs = circuit.at(flow or math.nan).legs
        circuit = replace(circuit, passages=tuple(with_conduction(leg, solution) for leg in legs))
    except WaterError as error:
        raise WaterError(f"[[water]] through {', '.join(table.conductors)}: {error}") from None
    heat = float(loss[rows].sum())
    limits = {"wall": table.wall_limit, "outlet": table.outlet_limit}
    return Cooled(
        name=", ".join(table.conductors),
        circuit=circuit,
        stream=circuit.at(flow or math.nan),
        frequency=solution.frequency,
        loss_error=float(solution.power_errors[rows].sum()) / heat if heat else 0.0,
        metal={c.name: c.temperature for c in conductors},
        limits={what: limit for what, limit in limits.items() if limit is not None},
    )


def members_of(case: Case, table: Water) -> tuple[str, ...]:
    """Names of the conductors a table means, copies one by one."""
    roster = Roster(case.data.conductor, dict(enumerate(case.data.conductor)))
    return tuple(name for word in table.conductors for name in roster.members(word))


def watered(case: Case, solution: Solution, progress: Progress | None = None) -> Solution:
    """The solution with every conductor that carries water at the temperature its own losses give it in that water.

    Where water boils at a wall there is no such temperature: the solution stays as it is, and the chapter says so.
    """
    for _ in range(ROUNDS if case.data.water else 0):
        metal = {c.name: c.temperature for c in solution.problem.conductors}
        apart = 0.0
        for table in case.data.water:
            stream = cooled_by(case, table, solution).stream
            if stream.margin <= 0:
                return solution
            apart = max([apart, *(abs(metal[leg.passage.name] - leg.metal) for leg in stream.legs)])
            metal |= {leg.passage.name: leg.metal for leg in stream.legs}
        if apart <= AGREED * case.accuracy:
            break
        warm = tuple(replace(c, temperature=metal[c.name]) for c in solution.problem.conductors)
        problem = replace(solution.problem, conductors=warm)
        solution = solve(problem, solution.frequency, accuracy=case.accuracy, progress=progress)
    return solution


def chapter(result: Result) -> Chapter | None:
    """Every table [[water]] at every frequency asked for one by one."""
    tables = result.case.data.water
    if not tables:
        return None
    streams = [[cooled_by(result.case, table, s) for s in result.solutions.values()] for table in tables]
    cooled = [c for group in streams for c in group]
    hottest = [max(group, key=lambda c: c.stream.heat) for group in streams]
    return Chapter(
        "water",
        "Water",
        {"streams": [record(c) for c in cooled], "source": cooled[0].circuit.coolant.source, "assumptions": ASSUMED},
        (stream_table(cooled), leg_table(cooled)),
        tuple(text for c in cooled for text in sentences(c)),
        tuple(text for c in cooled for text in warnings(c)),
        WATER,
        {f"water-{k + 1}" if k else "water": _picture(c, result) for k, c in enumerate(hottest)},
        measured={
            "water_rise": tuple(rise(c) for c in cooled),
            "wall_temperature": tuple(wall(leg) for c in cooled for leg in c.stream.legs),
        },
    )


def _picture(c: Cooled, result: Result) -> Callable[[], Any]:
    def draw() -> Any:
        from ..postprocess.pictures.water import water_picture

        flows = np.geomspace(0.2 * c.flow, 5 * c.flow, 60)
        streams = [s for s in (c.circuit.at(float(flow)) for flow in flows) if s.in_range]
        subject = f"Water through {c.name} · {concise(c.frequency, 'Hz')}"
        return water_picture(c.stream, streams, c.circuit.joined, result.case.title, subject)

    return draw
