"""The words, table, files and record of the field around the section."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.noise import figure
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.solver.field.permeability import PermeabilityBand
from crosscurrent.solver.field.reference_levels import Level
from crosscurrent.solver.field.survey import Reach, Reading
from crosscurrent.solver.metals.depth import MU0

TINY = 1e-300


@dataclass(frozen=True, eq=False)
class FieldAnswer:
    """The field at one frequency.

    Attributes
    ----------
    frequency : float
        [Hz]
    points : mapping of str to Reading
        By the place's name.
    lines : mapping of str to tuple of Reading
        By the line's name.
    reaches : tuple of (Level, Reach)
        How far each reference level reaches.
    band : PermeabilityBand or None
        Where a permeability is uncertain.
    missing_current : float
        What does not return in the section [A].
    return_effects : mapping of str to float
        What its return in one conductor, twice as far from a point as the section, adds or takes at most [T].
    """

    frequency: float
    points: Mapping[str, Reading]
    lines: Mapping[str, tuple[Reading, ...]]
    reaches: tuple[tuple[Level, Reach], ...]
    band: PermeabilityBand | None = None
    missing_current: float = 0.0
    return_effects: Mapping[str, float] = field(default_factory=dict)

    @property
    def at(self) -> str:
        """The frequency in words."""
        return concise(self.frequency, "Hz") if self.frequency else "direct current"


def record(found: Sequence[FieldAnswer]) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {"frequencies": [_frequency(one) for one in found]}


def _frequency(one: FieldAnswer) -> dict[str, Json]:
    return {
        "frequency_hz": one.frequency,
        "missing_current_a": one.missing_current,
        "points": {
            name: {**_reading(r), "return_effect_t": one.return_effects.get(name, 0.0)}
            for name, r in one.points.items()
        },
        "lines": {name: [_reading(r) for r in values] for name, values in one.lines.items()},
        "reference_levels": [
            {
                "who": level.who,
                "source": level.source,
                "mean": level.mean,
                "flux_density_t": level.flux_density,
                "distance_m": reach.distance if math.isfinite(reach.distance) else None,
                "distance_error_m": reach.error if math.isfinite(reach.distance) else None,
                "beside": reach.beside,
            }
            for level, reach in one.reaches
        ],
        "uncertain_permeability": None if one.band is None else _band(one.band),
    }


def _reading(reading: Reading) -> dict[str, Json]:
    return {"place_m": list(reading.place), "flux_density_t": reading.strength, "error_t": reading.error}


def _band(band: PermeabilityBand) -> dict[str, Json]:
    return {
        "conductors": band.magnetic,
        "permeability": band.tried,
        "loss_w_per_m": dict(zip(band.conductors, band.losses.T.tolist(), strict=True)),
        "stated_loss_w_per_m": dict(zip(band.conductors, band.stated.tolist(), strict=True)),
    }


def measured(found: Sequence[FieldAnswer]) -> tuple[Measured, ...]:
    """The field at the points as limits refer to it."""
    return tuple(
        Measured(r.strength, r.error, "T", name, frequency=one.frequency, words=f"{name} at {one.at}")
        for one in found
        for name, r in one.points.items()
    )


def tables(found: Sequence[FieldAnswer]) -> tuple[TextTable, ...]:
    """At every point, and the highest on every line; none where there are no places."""
    rows: list[tuple[str, ...]] = []
    for one in found:
        rows += [(one.at, name, _strength(r), _error(r)) for name, r in one.points.items()]
        for name, values in one.lines.items():
            top = max(values, key=lambda r: r.strength)
            rows.append((one.at, f"{name}, highest at {_millimetres(top.place)}", _strength(top), _error(top)))
    columns = ("at", "place", "|B|", "+-")
    return (TextTable("Field around the section (|B|, rms)", columns, tuple(rows)),) if rows else ()


def _strength(reading: Reading) -> str:
    return figure(reading.strength, reading.error, "T")


def _error(reading: Reading) -> str:
    return engineering(reading.error, "T", 1)


def _millimetres(place: tuple[float, float]) -> str:
    return f"({place[0] * 1e3:.4g}, {place[1] * 1e3:.4g}) mm"


def sentences(found: Sequence[FieldAnswer]) -> Iterator[str]:
    """How far the reference levels reach, and what an uncertain permeability leaves open."""
    for one in found:
        for level, reach in one.reaches:
            yield _level_sentence(one.at, level, reach)
        if not one.reaches:
            yield f"{one.at}: the guidelines of ICNIRP 2010 and 2020 cited here have no level at this frequency"
        if one.missing_current:
            yield _returning(one)
        if one.band is not None:
            yield from _uncertain(one.at, one.band)


def _returning(one: FieldAnswer) -> str:
    """Where a current that does not return in the section is taken to return, and what that leaves open."""
    spread = MU0 / (2 * math.pi) * one.missing_current
    text = (
        f"{one.at}: {engineering(one.missing_current, 'A')} do not return in the section; fields and distances take "
        "them to return all round and further away than every place, where they add nothing. In one conductor at a "
        f"distance from a place they add or take there up to {engineering(spread, 'T m', 3)} over that distance"
    )
    if not one.return_effects:
        return text
    name = max(one.return_effects, key=lambda name: one.return_effects[name] / max(one.points[name].strength, TINY))
    effect, strength = one.return_effects[name], one.points[name].strength
    share = f", {100 * effect / strength:.2g} % of the field" if strength > 0 else ""
    return f"{text}: {engineering(effect, 'T', 3)}{share} at {name} if it is twice as far from there as the section"


def _level_sentence(at: str, level: Level, reach: Reach) -> str:
    whom = "the general public" if level.public else "occupational exposure"
    cited = f"{concise(level.flux_density, 'T', 3)}, {level.source}, {level.mean}"
    head = f"{at}: the reference level for {whom} ({cited})"
    distance = reach.distance
    if distance == 0:
        return f"{head} is not reached anywhere outside the conductors"
    if not math.isfinite(distance):
        return f"{head} reaches further than the section can tell: its currents do not sum to zero"
    error = engineering(reach.error, "m", 1)
    size = f"{distance * 1e3:.3g} mm ({distance / 0.0254:.3g} in; +- {error})"
    beside = f", close to {reach.beside}, whose metal or corner raises the field there" if reach.beside else ""
    return f"{head} reaches {size} from the nearest live conductor{beside}"


def _uncertain(at: str, band: PermeabilityBand) -> Iterator[str]:
    low, *_, high = band.tried
    for name in band.magnetic:
        k = band.conductors.index(name)
        losses = [*band.losses[:, k].tolist(), float(band.stated[k])]
        least, most = (engineering(loss, "W/m", 3) for loss in (min(losses), max(losses)))
        yield (
            f"{name} at {at}: with a relative permeability from {low:g} to {high:g} it loses {least} to {most}; "
            "treat the loss as uncertain by that much"
        )


def csv(values: Sequence[Reading]) -> str:
    """A line's readings as a file."""
    rows = [f"{r.place[0]!r},{r.place[1]!r},{r.strength!r},{r.error!r}" for r in values]
    return "\n".join(["x_m,y_m,flux_density_t,error_t", *rows]) + "\n"
