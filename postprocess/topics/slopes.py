"""The words, table and record of slopes: how the answers change with each figure of a case."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.bundle_sums import whole_conductors
from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.noise import figure, or_none
from crosscurrent.postprocess.answers.slope_answers import CircuitSlope, ConductorSlope, SlopeAnswer
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import THOU, engineering, frequency_words, significant

MM = 1e-3
LISTED = 24  # rows of a table
ABREAST = 5  # conductors in one table
SAID = 3  # figures that a sentence names


@dataclass(frozen=True)
class SlopesAnswer:
    """What was asked.

    Attributes
    ----------
    points : sequence of Answers
        Those with slopes.
    without : mapping of str to str
        Figures that have no slope, and why.
    warmed : bool
        Whether temperatures were found, which the slopes hold.
    beside : sequence of str
        Figures whose slopes were found with the edges a little less round.
    swept : int or None
        At how many frequencies of a sweep the fields told them; None where the points alone have them.
    medium : bool
        Whether strands of a bundle count as one medium.
    """

    points: Sequence[Answers]
    without: Mapping[str, str]
    warmed: bool = False
    beside: Sequence[str] = ()
    swept: int | None = None
    medium: bool = False


def by_weight(found: Sequence[SlopeAnswer]) -> list[SlopeAnswer]:
    """The slopes in the order of what matters."""
    return sorted(found, key=lambda one: -one.weight)


def record(found: SlopesAnswer) -> dict[str, Json]:
    """What stands beside the slopes of the points: the figures that have none, and those that have, most first."""
    order = {f"{p.frequency:g}": [one.key for one in by_weight(p.slopes)] for p in found.points}
    without: dict[str, Json] = dict(found.without)
    beside: list[Json] = list(found.beside)
    return {
        "most_first_by_frequency_hz": order, "without_slope": without, "temperatures_held": found.warmed,
        "with_edges_less_round": beside, "solved_in_the_sweep": found.swept,
    }  # fmt: skip


def tables(found: SlopesAnswer) -> Iterator[TextTable]:
    """Of every frequency: in per cent for one per cent more, and per millimetre."""
    for point in found.points:
        ordered, at = by_weight(point.slopes)[:LISTED], frequency_words(point.frequency)
        driven = [name for name in point.circuits if any(one.circuits[name].resistance is not None for one in ordered)]
        for name in driven or list(point.circuits)[:1]:
            rows = [(one, one.circuits[name]) for one in ordered]
            of = f" of {name}" if len(point.circuits) > 1 else ""
            yield TextTable(
                f"One per cent more, {at}{f', circuit {name}' if of else ''}", ("figure", "now", "loss", "R", "L"),
                tuple(
                    (one.key, _now(one), _per_cent(one.loss_relative, one.loss, one.loss_error),
                     _per_cent(c.resistance_relative, c.resistance, c.resistance_error),
                     _per_cent(c.inductance_relative, c.inductance, c.inductance_error))
                    for one, c in rows if one.value
                ),
            )  # fmt: skip
            lengths = [(one, c) for one, c in rows if one.unit == "m"]
            if lengths:
                yield TextTable(
                    f"One millimetre more, {at}{f', circuit {name}' if of else ''}",
                    ("figure", "loss", "loss per thou", "R", "L", "error of R"),
                    tuple(_per_length(one, c) for one, c in lengths),
                )
        yield from _alone(point, ordered)


def _alone(point: Answers, ordered: Sequence[SlopeAnswer]) -> Iterator[TextTable]:
    """Loss of every conductor and the peak force on it, in per cent for one per cent more of each figure."""
    rows, at = [one for one in ordered if one.value and one.conductors], frequency_words(point.frequency)
    names = [c.name for c in whole_conductors(point)]
    lossy = [c.name for c in whole_conductors(point) if c.loss]
    yield from _by_conductor(f"Loss of each conductor for one per cent more, {at}", lossy, rows, _of_loss)
    pushed = [name for name in names if any(_pushed(one, name) for one in rows)]
    which = "Peak force along the axis on each conductor" if point.axial else "Peak force on each conductor"
    yield from _by_conductor(f"{which} for one per cent more, {at}", pushed, rows, _of_force)
    widened = [name for name in names if any(one.conductors[name].outward is not None for one in rows)]
    yield from _by_conductor(
        f"Peak force away from the axis or towards it on each conductor for one per cent more, {at}", widened, rows,
        _of_outward,
    )  # fmt: skip


def _by_conductor(
    title: str, names: Sequence[str], rows: Sequence[SlopeAnswer], said: Callable[[ConductorSlope], str]
) -> Iterator[TextTable]:
    for first in range(0, len(names) if rows and len(names) > 1 else 0, ABREAST):
        some = names[first : first + ABREAST]
        cells = tuple((one.key, *(said(one.conductors[n]) for n in some)) for one in rows)
        yield TextTable(title, ("figure", *some), cells)


def _pushed(one: SlopeAnswer, name: str) -> bool:
    return one.conductors[name].force is not None


def _per_length(one: SlopeAnswer, c: CircuitSlope) -> tuple[str, ...]:
    return (
        one.key, _change(one.loss, one.loss_error, "W/m"), _change(one.loss, one.loss_error, "W/m", THOU),
        _change(c.resistance, c.resistance_error, "ohm/m"), _change(c.inductance, c.inductance_error, "H/m"),
        "-" if c.resistance_error is None else engineering(MM * c.resistance_error, "ohm/m", 2),
    )  # fmt: skip


def _change(slope: float | None, error: float | None, unit: str, step: float = MM) -> str:
    """What a length longer by a step [m] makes."""
    return "-" if slope is None else figure(step * slope, step * (error or 0.0), unit, 3)


def _now(one: SlopeAnswer) -> str:
    """As the trade writes it: angles in degrees, no prefix on plain numbers and coefficients."""
    if one.unit == "rad":
        return f"{math.degrees(one.value):.6g} deg"
    if one.unit in ("", "1/K"):
        return f"{significant(one.value, 4)} {one.unit}".strip()
    return f"{one.value * 1e3:.6g} mm" if one.unit == "m" else engineering(one.value, one.unit)


def _by_loss(one: SlopeAnswer) -> float:
    return -abs(one.loss_relative or 0.0)


def _per_cent(relative: float | None, slope: float | None, error: float | None) -> str:
    if relative is None or slope is None:
        return "-"
    said = f"{relative:+.3f} %"
    return or_none("below 0.001 %" if not float(said[:-2]) else said, slope, error or 0.0)


def _of_loss(one: ConductorSlope) -> str:
    return _per_cent(one.loss_relative, one.loss, one.loss_error)


def _of_force(one: ConductorSlope) -> str:
    return _per_cent(one.force_relative, one.force, one.force_error)


def _of_outward(one: ConductorSlope) -> str:
    return _per_cent(one.outward_relative, one.outward, one.outward_error)


def _of_forces(point: Answers) -> Iterator[str]:
    """What matters most for the force on the conductor on which it changes most."""
    rows = [
        (abs(c.force_relative), one.key, name, _of_force(c))
        for one in point.slopes
        for name, c in one.conductors.items()
        if c.force is not None and c.force_relative and abs(c.force) > (c.force_error or 0.0)
    ]
    if rows:
        most = max(rows)[2]
        own = [f"{key} {change}" for _, key, of, change in sorted(rows, reverse=True) if of == most]
        said = ", ".join(own[:SAID])
        which = "peak force along the axis" if point.axial else "peak force"
        yield f"at {frequency_words(point.frequency)}, the {which} on {most}: {said}"


def _of_currents(point: Answers) -> Iterator[str]:
    """What the currents of a wanted power go with, most first."""
    rows = [
        (abs(one.current_relative), f"{one.key} {_per_cent(one.current_relative, one.current, one.current_error)}")
        for one in point.slopes
        if one.current_relative and one.current is not None and abs(one.current) > (one.current_error or 0.0)
    ]
    if rows:
        said = ", ".join(one for _, one in sorted(rows, reverse=True)[:SAID])
        at = frequency_words(point.frequency)
        yield f"at {at}, all slopes hold the wanted power; one per cent more of each changes its currents by: {said}"


def sentences(found: SlopesAnswer) -> Iterator[str]:
    """What matters most, and what has no slope."""
    for point in found.points:
        at = frequency_words(point.frequency)
        sure = (one for one in point.slopes if one.loss_relative and abs(one.loss) > one.loss_error)
        most = sorted(sure, key=_by_loss)[:SAID]
        if most:
            said = ", ".join(f"{one.key} {_per_cent(one.loss_relative, one.loss, one.loss_error)}" for one in most)
            yield f"at {at}, one per cent more of each changes the loss by: {said}"
        yield from _of_forces(point)
        yield from _of_currents(point)
    if found.warmed:
        yield (
            "the slopes hold the temperatures that were found: that a change also warms or cools is not in them; "
            'differences = ["temperature"] in [slopes] tells it'
        )
    if found.swept is not None:
        yield (
            f"slopes.csv has them at every frequency of the sweep: {found.swept} from the fields, between them from a "
            "spline whose deviation is in the bars"
        )
    if found.beside:
        yield (
            f"{', '.join(found.beside)}: found with all edges 0.04 % and 0.2 % less round and led on from there, since "
            "edges of half a thickness leave no flat to grow or shrink"
        )
    if found.medium:
        yield (
            "the bars of slopes are those of computing: what strands as one medium leave open is in the bars of R, L "
            "and loss alone"
        )
    for key, why in found.without.items():
        yield f"{key} has no slope: {why}"
