"""Water in the bores of conductors: its table of the case file, and what the run says of it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby
from typing import TYPE_CHECKING, Annotated, Any, Literal, Self

import numpy as np
from pydantic import model_validator

from ..geometries.outline import FloatArray
from ..postprocess.beyond import burning
from ..postprocess.cautions import WATER
from ..postprocess.chapter import Chapter
from ..postprocess.water import (
    ASSUMED,
    Cooled,
    hottest_metal,
    leg_table,
    mixed_metals,
    record,
    rise,
    sentences,
    stream_table,
    wall,
    warnings,
)
from ..solver.balance import CEILING, NoStableTemperature, resistivity_ratio
from ..solver.coolant import Coolant, atmosphere
from ..solver.krylov import SweepError
from ..solver.pipe import DRAWN, Passage, WaterError
from ..solver.problem import Conductor
from ..solver.rated import state_of
from ..solver.solve import Progress, Solution, SolveError
from ..solver.warm import balance_of, guessed_exponent, solved_again
from ..solver.water import Leg, Stream, WaterCircuit
from ..solver.wetted import bores, with_conduction
from .base import Table
from .cooling import cooling_of, held_of
from .fields import Bends, Flow, GaugePressure, Glycol, Names, Pressure, Radius, Temperature, fault, some
from .names import Roster
from .waveform import answered

if TYPE_CHECKING:
    from .case import Case
    from .run import Result

ROUNDS = 8  # solves of the field at most
LOWEST_PRESSURE = 5e3  # absolute: water boils there at 33 degC [Pa]
HIGHEST_DROP = 1e7  # that is answered for [Pa]
SHARED = 4  # turns in which the bores of one conductor settle how they share its heat
AGREED = 50.0  # temperature at which metal and water agree [K], times the wanted bound on resistances


class Water(Table):
    """Conductors that one stream of water passes through."""

    conductors: Annotated[Names, some("name the conductors whose bores carry the water")]
    joined: Literal["series", "parallel"] = "series"
    inlet: Temperature
    flow: Flow | None = None
    pressure_drop: Pressure | None = None
    glycol: Glycol = 0.0
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
        lowest = Coolant(self.glycol).freezing
        if not lowest < self.inlet < 100:
            freezes = f"{'this mixture' if self.glycol else 'water'} freezes there: add glycol"
            hint = freezes if self.inlet <= lowest else ""
            raise fault(f"an inlet from {lowest:.3g} to 100 degC", f"{self.inlet:g} degC", hint)
        for name, limit in (("wall_limit", self.wall_limit), ("outlet_limit", self.outlet_limit)):
            if limit is not None and limit <= self.inlet:
                raise fault(f"a {name} above the inlet's {self.inlet:g} degC", f"{limit:g} degC", "cool the inlet")
        return self


@dataclass(frozen=True, eq=False)
class Heat:
    """What the water has to take.

    Attributes
    ----------
    frequency : float or None
        [Hz]; None for all harmonics of the waveform.
    solution : Solution
        In which the heat is spread over the sections like this.
    loss, error : (conductors,) float
        And a bound on its error [W/m].
    to_air : (conductors,) float or None
        What leaves otherwise [W/m]; None without [cooling].
    """

    frequency: float | None
    solution: Solution
    loss: FloatArray
    error: FloatArray
    to_air: FloatArray | None = None

    @classmethod
    def of(cls, solution: Solution, to_air: FloatArray | None = None) -> Heat:
        """The losses of a solution."""
        return cls(solution.frequency, solution, solution.fine.powers.real, solution.power_errors, to_air)

    @property
    def to_water(self) -> FloatArray:
        """The rest, (conductors,) [W/m]."""
        return self.loss if self.to_air is None else self.loss - self.to_air


def passages_of(conductor: Conductor, heat: float, length: float, table: Water) -> tuple[Passage, ...]:
    """The water's ways through a conductor from which it takes `heat` [W/m], shared by perimeter to begin with."""
    coat, own = sum(conductor.part.bore_coats), bores(conductor.part)
    coats = [coat if hole in conductor.part.shape.holes else 0.0 for hole in own]
    perimeters = [hole.perimeter - 2 * math.pi * c for hole, c in zip(own, coats, strict=True)]
    areas = [abs(hole.area) - c * hole.perimeter + math.pi * c**2 for hole, c in zip(own, coats, strict=True)]
    return tuple(
        Passage(
            conductor.name, area, perimeter, length, heat * perimeter / sum(perimeters), table.bends, table.roughness,
            bore=k if len(own) > 1 else 0,
        )
        for k, (area, perimeter) in enumerate(zip(areas, perimeters, strict=True), 1)
    )  # fmt: skip


def cooled_by(case: Case, table: Water, heat: Heat) -> Cooled:
    """The water of one table with the heat it has to take."""
    conductors, length = heat.solution.problem.conductors, case.length or math.nan
    numbers = {c.name: k for k, c in enumerate(conductors)}
    rows = [numbers[name] for name in members_of(case, table)]
    passages = tuple(p for k in rows for p in passages_of(conductors[k], float(heat.to_water[k]), length, table))
    air = atmosphere(case.data.cooling.altitude if case.data.cooling else 0.0)
    circuit = WaterCircuit(passages, table.inlet, Coolant(table.glycol), table.joined, table.outlet_pressure + air)
    try:
        circuit, stream = _settled(circuit, table, heat.solution)
    except WaterError as error:
        raise WaterError(f"[[water]] through {', '.join(table.conductors)}: {error}") from None
    taken = float(heat.to_water[rows].sum())
    limits = {"wall": table.wall_limit, "outlet": table.outlet_limit}
    return Cooled(
        name=", ".join(table.conductors),
        circuit=circuit,
        stream=stream,
        frequency=heat.frequency,
        spread=heat.solution.frequency,
        loss_error=abs(float(heat.error[rows].sum()) / taken) if taken else 0.0,
        gauge=table.outlet_pressure,
        to_air=None if heat.to_air is None else float(heat.to_air[rows].sum()) * length,
        conductors={conductors[k].name: conductors[k] for k in rows},
        limits={what: limit for what, limit in limits.items() if limit is not None},
        refitted=partial(_refitted, heat=heat),
    )


def _settled(circuit: WaterCircuit, table: Water, solution: Solution) -> tuple[WaterCircuit, Stream]:
    """The circuit with the heat spread over its bores as conduction has it, and its stream."""
    if circuit.outlet_pressure < LOWEST_PRESSURE:
        raise WaterError("nothing is left of the air's pressure at its outlet; give a higher outlet_pressure")
    for _ in range(SHARED if any(p.bore for p in circuit.passages) else 1):
        flow = table.flow or circuit.flow_for_drop(table.pressure_drop or math.nan)
        circuit = _conducted(circuit, circuit.at(flow).legs, solution)
    stream = circuit.at(flow)
    if stream.drop > HIGHEST_DROP:
        raise WaterError(
            f"{flow * 6e4:.4g} l/min would take a pressure drop of {stream.drop / 1e5:.0f} bar, which no pump for such "
            "pipes gives; take less flow or a wider bore"
        )
    return circuit, stream


def _conducted(circuit: WaterCircuit, legs: Iterable[Leg], solution: Solution) -> WaterCircuit:
    by_conductor = groupby(legs, key=lambda leg: leg.passage.name)
    return replace(circuit, passages=tuple(p for _, own in by_conductor for p in with_conduction(tuple(own), solution)))


def _refitted(circuit: WaterCircuit, flow: float, *, heat: Heat) -> WaterCircuit:
    """The circuit at another flow [m3/s]: losses follow the temperature of the metal, and conduction spreads them."""
    conductors, legs = heat.solution.problem.conductors, circuit.at(flow).legs
    metal = {leg.passage.name: min(leg.metal, CEILING) for leg in legs}
    warm = np.array([metal.get(c.name, c.temperature) for c in conductors])
    losses = heat.to_water * resistivity_ratio(conductors, warm) ** guessed_exponent(heat.solution)
    wanted = {c.name: float(loss) for c, loss in zip(conductors, losses, strict=True)}
    before: dict[str, float] = {}
    for leg in legs:
        before[leg.passage.name] = before.get(leg.passage.name, 0.0) + leg.passage.loss
    factor = {name: wanted[name] / loss if loss else 1.0 for name, loss in before.items()}
    grown = [replace(leg.passage, loss=factor[leg.passage.name] * leg.passage.loss) for leg in legs]
    changed = (replace(leg, passage=passage) for leg, passage in zip(legs, grown, strict=True))
    return _conducted(circuit, changed, heat.solution)


def members_of(case: Case, table: Water) -> tuple[str, ...]:
    """Names of the conductors a table means, copies one by one."""
    roster = Roster(case.data.conductor, dict(enumerate(case.data.conductor)))
    return tuple(name for word in table.conductors for name in roster.members(word))


def watered(case: Case, solution: Solution, progress: Progress | None = None) -> Solution:
    """The solution with every conductor that carries water at the temperature its own losses give it in that water.

    Where water boils at a wall there is no such temperature: nothing gets warmer then, and the chapter says so.
    """
    for _ in range(ROUNDS if case.data.water else 0):
        metal = {c.name: c.temperature for c in solution.problem.conductors}
        apart, heat = 0.0, Heat.of(solution, _to_air(case, solution, settled=False))
        for table in case.data.water:
            stream = cooled_by(case, table, heat).stream
            for leg in stream.legs:
                name, before = leg.passage.name, metal[leg.passage.name]
                metal[name] = leg.metal if stream.margin > 0 else min(leg.metal, before)
                apart = max(apart, abs(metal[name] - before))
        if apart <= AGREED * case.accuracy:
            break
        solution = solved_again(solution, np.array(list(metal.values())), progress)
    return solution


def _to_air(case: Case, solution: Solution, *, settled: bool) -> FloatArray | None:
    """What every conductor gives to the air and to its neighbours (conductors,) [W/m]; None without [cooling].

    `settled`: the solution is at the temperatures that the chapter on air gives.
    """
    cooling, held = cooling_of(case), held_of(case)
    if cooling is None:
        return None
    try:
        if settled:
            balance = state_of(solution, cooling, held).balance
        else:
            balance = balance_of(solution, cooling, guessed_exponent(solution), held=held)
    except NoStableTemperature:  # which the chapter on air says
        return None
    return balance.by_conductor(balance.losses.total)


def heats_of(result: Result) -> Iterator[Heat]:
    """The heat at every frequency asked for one by one, and that of the waveform."""
    known = [Heat.of(s, _to_air(result.case, s, settled=True)) for s in result.solutions.values()]
    yield from known
    try:
        found = answered(result)
    except (SweepError, SolveError):  # which the chapter on the waveform says
        return
    if found is not None:
        loss = found.loss
        strongest = float(loss.spectrum.frequency[loss.shares.argmax()])
        nearest = min(known, key=lambda heat: abs(heat.solution.frequency - strongest))
        losses = loss.losses.sum(axis=0)
        errors = loss.errors.sum(axis=0) + loss.rest * losses / loss.total
        yield Heat(None, nearest.solution, losses, errors, nearest.to_air)


def chapter(result: Result) -> Chapter | None:
    """Every table [[water]] at every frequency asked for one by one, and with the waveform."""
    tables = result.case.data.water
    if not tables:
        return None
    heats = list(heats_of(result))
    streams = [[cooled_by(result.case, table, heat) for heat in heats] for table in tables]
    cooled = [c for group in streams for c in group]
    hottest = [max(group, key=_heat) for group in streams]
    metal = tuple(m for c in cooled for m in hottest_metal(c))
    return Chapter(
        "water",
        "Water",
        {"streams": [record(c) for c in cooled], "source": cooled[0].circuit.coolant.source, "assumptions": ASSUMED},
        (stream_table(cooled), leg_table(cooled)),
        tuple(text for group in streams for c in sorted(group, key=_heat, reverse=True) for text in sentences(c)),
        (*(text for c in cooled for text in warnings(c)), *mixed_metals(cooled)),
        (*WATER, *burning(metal)),
        {f"water-{k + 1}" if k else "water": _picture(c, result) for k, c in enumerate(hottest)},
        measured={
            "water_rise": tuple(rise(c) for c in cooled),
            "wall_temperature": tuple(wall(c, leg) for c in cooled for leg in c.stream.legs),
            "water_temperature": metal,
        },
    )


def _heat(c: Cooled) -> float:
    return c.stream.heat


def _picture(c: Cooled, result: Result) -> Callable[[], Any]:
    def draw() -> Any:
        from ..postprocess.pictures.water import water_picture

        flows = np.geomspace(0.2 * c.flow, 5 * c.flow, 60)
        streams = [s for s in (c.circuit.at(float(flow)) for flow in flows) if s.in_range]
        subject = f"Water through {c.name} · {c.at}"
        return water_picture(c.stream, streams, result.case.title, subject)

    return draw
