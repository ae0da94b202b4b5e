"""The chapter "water": streams through the bores of conductors, and the field solved at the temperatures they give."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Literal

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.names import Roster
from crosscurrent.casefile.tables.water import WaterTable
from crosscurrent.postprocess.answers.cautions import WATER
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.metal_limits import burning
from crosscurrent.postprocess.topics.water import ASSUMED, WaterAnswer, hottest_metal, record, rise, wall
from crosscurrent.postprocess.topics.water_tables import branch_table, stream_table
from crosscurrent.postprocess.topics.water_words import mixed_metals, sentences, warnings
from crosscurrent.postprocess.topics.waveform import WaveformAnswer
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import Progress
from crosscurrent.solver.heat.ampacity import State
from crosscurrent.solver.water.coolant import Coolant, atmosphere
from crosscurrent.solver.water.cooled import Supply, WaterCooling, WaterHeat, cooled
from crosscurrent.solver.water.coupled import solved_in_water, to_air
from crosscurrent.solver.water.enough import NOT_BOILING, Aim, below, enough
from crosscurrent.solver.water.turns import lengths

from .cooling import cooling_of
from .temperatures import replaced

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def cooled_of(case: Case, table: WaterTable, heat: WaterHeat, frequency: float | None) -> WaterAnswer:
    """The water of one table with the heat it has to take at a frequency, or (None) with the waveform."""
    water = cooled(supply_of(case, table), heat)
    limits: dict[Literal["wall", "outlet"], float | None] = {"wall": table.wall_limit, "outlet": table.outlet_limit}
    stated = {what: limit for what, limit in limits.items() if limit is not None}
    again = None if frequency is None else partial(_again, case, table, heat.solution)
    return WaterAnswer(
        name=", ".join(table.conductors),
        water=water,
        frequency=frequency,
        gauge=table.outlet_pressure,
        limits=stated,
        needed={what: _needed(water, below(what, limit), again) for what, limit in stated.items()},
        to_not_boil=enough(water, NOT_BOILING, again) if water.is_close_to_boiling else None,
    )


def _needed(water: WaterCooling, aim: Aim, again: Callable[[float], WaterCooling] | None) -> float | None:
    """Smallest flow for an aim [m3/s], no more than the present one where that does."""
    flow = enough(water, aim, again)
    return min(water.stream.flow, flow or math.inf) if aim.holds(water) else flow


def _again(case: Case, table: WaterTable, solution: Solution, flow: float) -> WaterCooling:
    """Field and water solved with another flow [m3/s] in one table, from a solution at the stated ones."""
    own = replace(supply_of(case, table), flow=flow, pressure_drop=None)
    supplies = [own if other is table else supply_of(case, other) for other in case.data.water]
    air = cooling_of(case)
    found = solved_in_water(solution, supplies, air)
    return cooled(own, WaterHeat.of(found, to_air(found, supplies, air)))


def supply_of(case: Case, table: WaterTable) -> Supply:
    """A table as the solver takes it."""
    air = atmosphere(case.data.cooling.altitude if case.data.cooling else 0.0)
    return Supply(
        name=f"[[water]] through {', '.join(table.conductors)}",
        conductors=members_of(case, table),
        length=case.length or math.nan,
        inlet=table.inlet,
        outlet_pressure=table.outlet_pressure + air,
        flow=table.flow,
        pressure_drop=table.pressure_drop,
        coolant=Coolant(table.glycol),
        joined=table.joined,
        bends=table.bends,
        roughness=table.roughness,
    )


def members_of(case: Case, table: WaterTable) -> tuple[str, ...]:
    """Names of the conductors a table means, copies one by one."""
    roster = Roster(case.data.conductor, dict(enumerate(case.data.conductor)))
    return tuple(name for word in table.conductors for name in roster.members(word))


def watered(case: Case, solution: Solution, progress: Progress | None = None) -> Solution:
    """The solution with every conductor that carries water at the temperature its own losses give it in that water."""
    supplies = [supply_of(case, table) for table in case.data.water]
    return solved_in_water(solution, supplies, cooling_of(case), progress)


def heats_of(solved: SolvedCase) -> Iterator[tuple[float | None, WaterHeat]]:
    """The heat at every frequency asked for one by one, and (None) that of the waveform."""
    states = {f: state for f, state in solved.states.items() if isinstance(state, State)}
    known = [
        WaterHeat.of(s, states[f].balance.lost if f in states else None) for f, s in solved.solutions.items()
    ]
    yield from zip(solved.solutions, known, strict=True)
    found = solved.waveform
    if isinstance(found, WaveformAnswer):
        loss = found.loss
        nearest = min(known, key=lambda heat: abs(heat.solution.frequency - loss.strongest))
        way = lengths(nearest.solution.problem)
        yield None, WaterHeat(
            nearest.solution, loss.by_conductor / way, loss.errors_by_conductor / way, nearest.to_air
        )


def chapter(solved: SolvedCase) -> Chapter | None:
    """Every table [[water]] at every frequency asked for one by one, and with the waveform."""
    tables = solved.case.data.water
    if not tables:
        return None
    heats = list(heats_of(solved))
    streams = [[cooled_of(solved.case, table, heat, f) for f, heat in heats] for table in tables]
    every = [c for group in streams for c in group]
    hottest = [max(group, key=_heat) for group in streams]
    metal = tuple(m for c in every for m in hottest_metal(c))
    return Chapter(
        "water",
        "Water",
        {"streams": [record(c) for c in every], "source": every[0].water.supply.coolant.source, "assumptions": ASSUMED},
        (stream_table(every), branch_table(every)),
        (
            *(text for group in streams for c in sorted(group, key=_heat, reverse=True) for text in sentences(c)),
            *(() if solved.case.data.cooling else replaced(solved)),  # else said there
            *(_bent(every) if solved.case.axial else ()),
        ),
        (*(text for c in sorted(every, key=_heat, reverse=True) for text in warnings(c)), *mixed_metals(every)),
        (*WATER, *burning(metal)),
        {f"water-{k + 1}" if k else "water": partial(_drawn, c, solved.case.title) for k, c in enumerate(hottest)},
        measured={
            "water_rise": tuple(rise(c) for c in every),
            "wall_temperature": tuple(wall(c, branch) for c in every for branch in c.water.stream.branches),
            "water_temperature": metal,
        },
    )


def _bent(every: list[WaterAnswer]) -> Iterator[str]:
    """How long the way is round an axis, and what the bend of the turns adds."""
    for c in every:
        branches = c.water.stream.branches
        way = sum(b.passage.length for b in branches)
        more = max(b.passage.bend(b.reynolds) for b in branches)
        yield (
            f"{c.name}, {c.at}: its turns are {way:.3g} m long in all (2 pi times the radius of each bore's middle; "
            f"leads and hoses are not in it); the bend makes its friction {more:.3g} times that of a straight tube (H. "
            "Ito 1959, from memory), counted in; turns one after the other have one inlet and one outlet"
        )


def _heat(c: WaterAnswer) -> float:
    return c.water.stream.heat


def _drawn(c: WaterAnswer, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.water import water_picture

    flows = np.geomspace(0.2 * c.flow, 5 * c.flow, 60)
    streams = [s for s in (c.water.circuit.at(float(flow)) for flow in flows) if s.in_range]
    return water_picture(c.water.stream, streams, title, f"Water through {c.name} · {c.at}")
