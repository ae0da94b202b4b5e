"""The chapter "heating": work pieces heated in time by the loss in them."""

from __future__ import annotations

import math
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.casefile.tables.heating import HeatingTable
from crosscurrent.casefile.tables.stray_field import file_part
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.cautions import HOT_PIECE
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.units import frequency_tag
from crosscurrent.postprocess.topics.heating import HeatingAnswer, as_csv, hottest, record, sentences, table, warnings
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.probe import Probe
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.heat.convection import ZERO
from crosscurrent.solver.heat.heated_in_coil import (
    HeatedInCoil,
    field_temperatures,
    fields_at,
    heated_in_coil,
    values_at,
)
from crosscurrent.solver.heat.implicit_steps import StepsError
from crosscurrent.solver.heat.open_surface import Surroundings
from crosscurrent.solver.heat.warm_metal import WarmMetal
from crosscurrent.solver.metals.materials import Material

if TYPE_CHECKING:
    from matplotlib.figure import Figure

PROFILE = 81  # places of the profile
BELOW = 1e-5  # its ends lie below the surface, of its length
NOWHERE = np.zeros(0)


def chapter(solved: SolvedCase) -> Chapter | None:
    """Every work piece at each frequency asked for one by one."""
    asked = solved.case.data.heating
    if not asked:
        return None
    found = [_answered(solved, row, f, s) for f, s in solved.asked.items() for row in asked]
    done = [one for one in found if one.found is not None]
    return Chapter(
        "heating",
        "Heating of work pieces",
        {"pieces": [record(one) for one in found]},
        tuple(table(one) for one in done),
        tuple(text for one in found for text in sentences(one)),
        tuple(text for one in found for text in warnings(one)),
        (HOT_PIECE,),
        {f"heating-{_stem(one)}": partial(_drawn, one, solved.case.title) for one in done},
        {f"heating-{_stem(one)}.csv": as_csv(one) for one in done},
        measured={"piece_temperature": tuple(map(hottest, done))},
    )


def _stem(one: HeatingAnswer) -> str:
    return f"{file_part(one.name)}-{frequency_tag(one.frequency)}"


def _answered(solved: SolvedCase, row: HeatingTable, frequency: float, solution: Solution) -> HeatingAnswer:
    number = solution.problem.names.index(row.piece)
    conductor = solution.problem.conductors[number]
    start = conductor.temperature if row.start is None else row.start
    ambient = solved.case.data.ambient if row.ambient is None else row.ambient
    fields: tuple[tuple[float, Solution], ...] = ((conductor.temperature, solution),)
    if row.fields > 1 and row.until is not None and row.until > start:
        fields = fields_at(solution, number, field_temperatures(conductor, start, row.until, row.fields))
    around = Surroundings(ambient, row.emissivity, row.film, row.axis == "upright")
    metal = _metal(row, conductor.material)
    try:
        found = heated_in_coil(fields, number, around, start=start, duration=row.time, power=row.power, metal=metal)
    except StepsError as error:
        return HeatingAnswer(row.piece, frequency, row.until, row.power is not None, None, NOWHERE, NOWHERE, str(error))
    radius, profile = _profile(found)
    return HeatingAnswer(row.piece, frequency, row.until, row.power is not None, found, radius, profile)


def _metal(row: HeatingTable, material: Material) -> WarmMetal | None:
    """What it conducts and takes over temperature, where the case says so."""
    if not row.over_temperature:
        return None
    at = np.array([one.at for one in row.over_temperature]) + ZERO
    own = {"thermal_conductivity": material.conduction, "heat_capacity": material.heat_capacity or math.nan}
    conductivity, capacity = (
        np.array([usual if getattr(one, key) is None else getattr(one, key) for one in row.over_temperature])
        for key, usual in own.items()
    )
    return WarmMetal(at, conductivity, capacity / capacity[0], float(capacity[0]))


def _profile(found: HeatedInCoil) -> tuple[FloatArray, FloatArray]:
    """Radii at the height of the core [m], and the temperature there at the end [degC]."""
    heating, part = found.fine, found.surface.part
    height = float(heating.piece.positions[heating.core, 1])
    low, high = max(0.0, float(part.bounds[0][0])), float(part.bounds[1][0])
    radius, within = np.linspace(low, high, PROFILE), BELOW * (high - low)
    places_in = np.clip(radius, low + (within if low else 0.0), high - within)  # on the surface air would be found
    points = np.column_stack((places_in, np.full(PROFILE, height)))
    rows, places = Probe(found.solutions[0][1].fine).located(points)
    inside = heating.piece.elements.mesh.part[rows] == found.number
    values = values_at(heating, rows[inside], places[inside], heating.duration)
    return radius[inside], values


def _drawn(one: HeatingAnswer, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.heating import heating_picture

    return heating_picture(one, title)
