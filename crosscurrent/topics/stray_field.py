"""The chapter "field": around the section, and what magnetic walls may make of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.casefile.tables.stray_field import FieldTable, file_part
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.cautions import FIELD
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.units import frequency_tag
from crosscurrent.postprocess.topics.stray_field import (
    FieldAnswer,
    csv,
    measured,
    record,
    sentences,
    tables,
)
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.permeability import permeability_band
from crosscurrent.solver.field.reference_levels import reference_levels
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.survey import Reading, Survey, along

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def chapter(solved: SolvedCase) -> Chapter | None:
    """At every frequency whose field is at hand."""
    asked = solved.case.data.field
    if asked is None:
        return None
    found = [_answered(asked, solution, solved.case.accuracy) for solution in solved.solutions.values()]
    marks = {p.name: np.array([p.at]) for p in asked.points} | {n.name: np.array([n.start, n.end]) for n in asked.lines}
    return Chapter(
        "field",
        "Stray field",
        record(found),
        tables(found),
        tuple(sentences(found)),
        cautions=(FIELD,),
        pictures={
            f"stray-field-{frequency_tag(one.frequency)}": partial(
                _drawn, solved.solutions[one.frequency], solved.case.title, _levels(asked, one), marks
            )
            for one in found
        },
        files={
            f"field-{file_part(name)}-{frequency_tag(one.frequency)}.csv": csv(values)
            for one in found
            for name, values in one.lines.items()
        },
        measured={"field": measured(found)},
    )


def _answered(asked: FieldTable, solution: Solution, accuracy: float) -> FieldAnswer:
    survey = Survey(solution)
    return FieldAnswer(
        solution.frequency,
        _at_points(asked, survey),
        {line.name: survey.readings(along(line.start, line.end, line.points)) for line in asked.lines},
        tuple((level, survey.reach(level.flux_density)) for level in reference_levels(solution.frequency)),
        None if asked.permeability is None else permeability_band(solution, *asked.permeability, accuracy=accuracy),
        survey.missing_current,
        _return_effects(asked, survey),
    )


def _at_points(asked: FieldTable, survey: Survey) -> dict[str, Reading]:
    if not asked.points:
        return {}
    found = survey.readings(np.array([point.at for point in asked.points]))
    return {point.name: reading for point, reading in zip(asked.points, found, strict=True)}


def _return_effects(asked: FieldTable, survey: Survey) -> dict[str, float]:
    """At every point, where currents return outside the section [T]."""
    if not asked.points or not survey.missing_current:
        return {}
    found = survey.return_effects(np.array([point.at for point in asked.points]))
    return {point.name: float(effect) for point, effect in zip(asked.points, found, strict=True)}


def _levels(asked: FieldTable, one: FieldAnswer) -> tuple[float, ...]:
    """At which the map has contours [T]."""
    return asked.levels or tuple(level.flux_density for level, _ in one.reaches)


def _drawn(solution: Solution, title: str, levels: Sequence[float], marks: Mapping[str, FloatArray]) -> Figure:
    from crosscurrent.postprocess.pictures.stray_field import stray_field_map

    return stray_field_map(solution, title, levels, marks)
