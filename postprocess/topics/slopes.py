"""The words, table and record of slopes: how the answers change with each figure of a case."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.slope_answers import CircuitSlope, SlopeAnswer
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import THOU, engineering, frequency_words

MM = 1e-3
LISTED = 24  # rows of a table
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
    """

    points: Sequence[Answers]
    without: Mapping[str, str]
    warmed: bool = False


def by_weight(found: Sequence[SlopeAnswer]) -> list[SlopeAnswer]:
    """The slopes in the order of what matters."""
    return sorted(found, key=lambda one: -one.weight)


def record(found: SlopesAnswer) -> dict[str, Json]:
    """What stands beside the slopes of the points: the figures that have none, and those that have, most first."""
    order = {f"{p.frequency:g}": [one.key for one in by_weight(p.slopes)] for p in found.points}
    without: dict[str, Json] = dict(found.without)
    return {"most_first_by_frequency_hz": order, "without_slope": without, "temperatures_held": found.warmed}


def tables(found: SlopesAnswer) -> Iterator[TextTable]:
    """Of every frequency: in per cent for one per cent more, and per millimetre."""
    for point in found.points:
        ordered, at = by_weight(point.slopes)[:LISTED], frequency_words(point.frequency)
        for name in point.circuits:
            rows = [(one, one.circuits[name]) for one in ordered]
            of = f" of {name}" if len(point.circuits) > 1 else ""
            yield TextTable(
                f"One per cent more, {at}{f', circuit {name}' if of else ''}", ("figure", "now", "loss", "R", "L"),
                tuple(
                    (one.key, _now(one), *map(_per_cent, (one.loss_relative, c.resistance_relative,
                                                          c.inductance_relative)))
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


def _per_length(one: SlopeAnswer, c: CircuitSlope) -> tuple[str, ...]:
    return (
        one.key, engineering(one.loss * MM, "W/m", 3), engineering(one.loss * THOU, "W/m", 3),
        engineering(_times(c.resistance), "ohm/m", 3), engineering(_times(c.inductance), "H/m", 3),
        engineering(_times(c.resistance_error), "ohm/m", 2),
    )  # fmt: skip


def _times(slope: float | None) -> float | None:
    return None if slope is None else MM * slope


def _now(one: SlopeAnswer) -> str:
    return f"{one.value * 1e3:.6g} mm" if one.unit == "m" else engineering(one.value, one.unit).strip()


def _by_loss(one: SlopeAnswer) -> float:
    return -abs(one.loss_relative or 0.0)


def _per_cent(relative: float | None) -> str:
    return "-" if relative is None else f"{relative:+.3f} %"


def sentences(found: SlopesAnswer) -> Iterator[str]:
    """What matters most, and what has no slope."""
    for point in found.points:
        at = frequency_words(point.frequency)
        most = sorted((one for one in point.slopes if one.loss_relative), key=_by_loss)[:SAID]
        if most:
            said = ", ".join(f"{one.key} {_per_cent(one.loss_relative)}" for one in most)
            yield f"at {at}, one per cent more of each changes the loss by: {said}"
    if found.warmed:
        yield "the slopes hold the temperatures that were found: that a change also warms or cools is not in them"
    for key, why in found.without.items():
        yield f"{key} has no slope: {why}"
