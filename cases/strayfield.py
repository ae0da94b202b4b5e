"""The table [field] and its chapter: the field around the section, and what magnetic walls may make of it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated, Any, Self

import numpy as np
from pydantic import AfterValidator, model_validator

from ..geometries.outline import FloatArray
from ..postprocess.chapter import Chapter, Measured
from ..postprocess.stray_field import Level, Reach, Reading, Survey, along, reference_levels
from ..postprocess.tables import TextTable
from ..postprocess.units import concise, engineering, frequency_tag
from ..solver.materials import Material
from ..solver.problem import Problem
from ..solver.solve import Solution, solve
from .base import Table
from .fields import FluxDensity, Name, Pair, Permeability, Points, fault

if TYPE_CHECKING:
    from .run import Result

TRIED = 3  # permeabilities of the band that are solved for
MAGNETIC = 10  # relative permeability from which on a metal's own is uncertain
CAUTION = (
    "Reference levels are cited for orientation, not as compliance: implants, rings and loose metal need more "
    "distance; leave the assessment of exposure to those whom local rules name."
)


class Place(Table):
    """A point the field is wanted at [m]."""

    name: Name
    at: Pair


class Line(Table):
    """A line along which the field is wanted [m]."""

    name: Name
    start: Pair
    end: Pair
    points: Points = 51

    @model_validator(mode="after")
    def _long(self) -> Self:
        if self.start == self.end:
            raise fault("two different ends", "the same twice", "for one place write points = [...]")
        return self


def _low_to_high(pair: tuple[float, float]) -> tuple[float, float]:
    if pair[0] >= pair[1]:
        raise fault("a low and a high permeability", f"{pair[0]:g} and {pair[1]:g}", "the lower one first")
    return pair


class StrayField(Table):
    """Where the field is wanted, and at which levels its map has contours."""

    points: tuple[Place, ...] = ()
    lines: tuple[Line, ...] = ()
    levels: tuple[FluxDensity, ...] = ()
    permeability: Annotated[tuple[Permeability, Permeability], AfterValidator(_low_to_high)] | None = None

    @model_validator(mode="after")
    def _told_apart(self) -> Self:
        named = {"point": [place.name for place in self.points], "line": [line.name for line in self.lines]}
        for what, names in named.items():
            twice = next((name for name in names if names.count(name) > 1), None)
            if twice is not None:
                raise fault(f"a name of its own for every {what}", f'"{twice}" a second time', "name one of them anew")
        files: dict[str, str] = {}
        for name in named["line"]:
            if (other := files.setdefault(_file(name).casefold(), name)) != name:
                found = f'"{other}" and "{name}"'
                raise fault("lines whose names make different file names", found, "name one of them anew")
        return self


def chapter(result: Result) -> Chapter | None:
    """At every frequency whose field is at hand."""
    asked = result.case.data.field
    if asked is None:
        return None
    rows: list[tuple[str, ...]] = []
    record: list[dict[str, Any]] = []
    sentences: list[str] = []
    measured: list[Measured] = []
    files, pictures = {}, {}
    marks = {p.name: np.array([p.at]) for p in asked.points} | {n.name: np.array([n.start, n.end]) for n in asked.lines}
    for frequency, solution in result.solutions.items():
        at = concise(frequency, "Hz") if frequency else "direct current"
        survey = Survey(solution)
        found = _at_places(asked, survey)
        lines = {line.name: _on_line(line, survey) for line in asked.lines}
        distances = [(level, survey.reach(level.flux_density)) for level in reference_levels(frequency)]
        rows += [(at, name, _strength(r), _error(r)) for name, r in found.items()]
        for name, values in lines.items():
            top = max(values, key=lambda r: r.strength)
            where = f"{name}, highest at {_millimetres(top.place)}"
            rows.append((at, where, _strength(top), _error(top)))
            files[f"field-{_file(name)}-{frequency_tag(frequency)}.csv"] = _csv(values)
        sentences += [_level_sentence(at, level, d) for level, d in distances]
        if not distances:
            sentences.append(f"{at}: the guidelines of ICNIRP 2010 and 2020 cited here have no level at this frequency")
        measured += [Measured(r.strength, r.error, "T", f"{name} at {at}") for name, r in found.items()]
        record.append({
            "frequency_hz": frequency,
            "points": {name: _record(r) for name, r in found.items()},
            "lines": {name: [_record(r) for r in values] for name, values in lines.items()},
            "reference_levels": [
                {"who": level.who, "source": level.source, "mean": level.mean, "flux_density_t": level.flux_density,
                 "distance_m": d.distance if math.isfinite(d.distance) else None,
                 "distance_error_m": d.error if math.isfinite(d.distance) else None, "beside": d.beside}
                for level, d in distances
            ],
            "uncertain_permeability": _uncertain(asked, result, solution),
        })  # fmt: skip
        sentences += _uncertain_sentences(at, record[-1]["uncertain_permeability"])
        levels = asked.levels or tuple(level.flux_density for level, _ in distances)
        pictures[f"stray-field-{frequency_tag(frequency)}"] = _map(solution, result.case.title, levels, marks)
    tables = (TextTable("Field around the section (|B|, rms)", ("at", "place", "|B|", "+-"), tuple(rows)),)
    return Chapter(
        "field",
        "Stray field",
        {"frequencies": record},
        tables if rows else (),
        tuple(sentences),
        cautions=(CAUTION,),
        pictures=pictures,
        files=files,
        measured={"field": tuple(measured)},
    )


def _map(solution: Solution, title: str, levels: Sequence[float], marks: Mapping[str, FloatArray]) -> Any:
    def draw() -> Any:
        from ..postprocess.pictures.stray import stray_field_map

        return stray_field_map(solution, title, levels, marks)

    return draw


def _at_places(asked: StrayField, survey: Survey) -> dict[str, Reading]:
    if not asked.points:
        return {}
    found = survey.readings(np.array([place.at for place in asked.points]))
    return {place.name: reading for place, reading in zip(asked.points, found, strict=True)}


def _on_line(line: Line, survey: Survey) -> tuple[Reading, ...]:
    return survey.readings(along(line.start, line.end, line.points))


def _uncertain(asked: StrayField, result: Result, solution: Solution) -> dict[str, Any] | None:
    """Losses with the permeability of every magnetic metal from its lowest to its highest.

    A wall about as thick as its skin loses most in between, so the ends alone are no band.
    """
    problem = solution.problem
    magnetic = [c.name for c in problem.conductors if any(m.permeability > MAGNETIC for m in c.metals)]
    if asked.permeability is None or not magnetic:
        return None
    tried = np.geomspace(*asked.permeability, TRIED).tolist()
    losses = []
    for permeability in tried:
        other = solve(_with_permeability(problem, permeability), solution.frequency, accuracy=result.case.accuracy)
        losses.append(other.fine.powers.real.tolist())
    names = [c.name for c in problem.conductors]
    return {
        "conductors": magnetic,
        "permeability": tried,
        "loss_w_per_m": {name: [row[k] for row in losses] for k, name in enumerate(names)},
        "stated_loss_w_per_m": dict(zip(names, solution.fine.powers.real.tolist(), strict=True)),
    }


def _with_permeability(problem: Problem, permeability: float) -> Problem:
    def other(metal: Material) -> Material:
        return replace(metal, permeability=permeability) if metal.permeability > MAGNETIC else metal

    def all_of(metals: tuple[Material, ...]) -> tuple[Material, ...]:
        return tuple(map(other, metals))

    conductors = tuple(
        replace(
            c,
            material=other(c.material),
            coats=all_of(c.coats),
            bore_coats=all_of(c.bore_coats),
            pieces=all_of(c.pieces),
        )
        for c in problem.conductors
    )
    return replace(problem, conductors=conductors)


def _uncertain_sentences(at: str, band: dict[str, Any] | None) -> list[str]:
    if band is None:
        return []
    low, *_, high = band["permeability"]
    found = []
    for name in band["conductors"]:
        losses = [*band["loss_w_per_m"][name], band["stated_loss_w_per_m"][name]]
        least, most = (engineering(loss, "W/m", 3) for loss in (min(losses), max(losses)))
        found.append(
            f"{name} at {at}: with a relative permeability from {low:g} to {high:g} it loses {least} to {most}; "
            "treat the loss as uncertain by that much"
        )
    return found


def _level_sentence(at: str, level: Level, reach: Reach) -> str:
    whom = "the general public" if level.who.startswith("general") else "occupational exposure"
    cited = f"{concise(level.flux_density, 'T', 3)}, {level.source}, {level.mean}"
    head = f"{at}: the reference level for {whom} ({cited})"
    distance = reach.distance
    if distance == 0:
        return f"{head} is not reached anywhere outside the metal"
    if not math.isfinite(distance):
        return f"{head} reaches further than the section can tell: its currents do not sum to zero"
    error = engineering(reach.error, "m", 1)
    size = f"{distance * 1e3:.3g} mm ({distance / 0.0254:.3g} in; +- {error})"
    beside = f", close to {reach.beside}, whose metal or corner raises the field there" if reach.beside else ""
    return f"{head} reaches {size} from the nearest live conductor{beside}"


def _strength(reading: Reading) -> str:
    """Below its own bar a field is known to be no more than both together."""
    if reading.strength <= reading.error:
        return f"< {engineering(reading.strength + reading.error, 'T', 2)}"
    return engineering(reading.strength, "T", 4)


def _error(reading: Reading) -> str:
    return "-" if reading.strength <= reading.error else engineering(reading.error, "T", 1)


def _millimetres(place: tuple[float, float]) -> str:
    return f"({place[0] * 1e3:.4g}, {place[1] * 1e3:.4g}) mm"


def _record(reading: Reading) -> dict[str, Any]:
    return {"place_m": list(reading.place), "flux_density_t": reading.strength, "error_t": reading.error}


def _csv(values: Sequence[Reading]) -> str:
    rows = [f"{r.place[0]!r},{r.place[1]!r},{r.strength!r},{r.error!r}" for r in values]
    return "\n".join(["x_m,y_m,flux_density_t,error_t", *rows]) + "\n"


def _file(name: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in name)
