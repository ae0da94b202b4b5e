"""The one table of answers of a report: the total first, then circuits and conductors, as much as a page holds."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from crosscurrent.postprocess.answers.answers import Answers, CircuitAnswer, ConductorAnswer
from crosscurrent.postprocess.answers.bundle_sums import whole_conductors
from crosscurrent.postprocess.answers.customary_units import customary
from crosscurrent.postprocess.answers.few_names import few
from crosscurrent.postprocess.answers.noise import (
    NONE,
    density_noise,
    force_noise,
    inductance_noise,
    loss_noise,
    or_none,
    own_noise,
    own_resistance_noise,
    resistance_noise,
    voltage_noise,
)
from crosscurrent.postprocess.answers.summary import HeatedPieces, SectionLoss
from crosscurrent.postprocess.answers.units import engineering, error_bar, frequency_words, significant
from crosscurrent.postprocess.report import AnswerRow, Group

from .result import Result

TERMINAL = "inductance at its terminals"
MAIN = ("resistance", "inductance", TERMINAL, "voltage drop")  # of a circuit, where there is no room for all
PAIRS = 3  # of coils whose coupling is told
CIRCUITS, CONDUCTORS = 4, 6  # rows of them where there are many; the appendix and the files have all


def answer_groups(result: Result, points: Sequence[Answers], most: int) -> tuple[Group, ...]:
    """The fullest table for these frequencies that keeps to so many rows, headings among them.

    Resistance and inductance at the first of them are never left out: what has no room stands on the next page.
    """
    length, total = result.case.length, total_group(result, points)
    tables: tuple[list[Group], ...] = (
        [*_circuits(points, length), *_conductors(points)],
        [*_circuits(points, length), *_losses(points)],
        [*_in_brief(points), *_losses(points)],
        [*_in_brief(points)],
        [*_in_brief([points[0], points[-1]])],
        [*_in_brief(points[:1]), *_losses(points[:1])],
        [*_in_brief(points[:1])],
        [*_in_brief(points[:1], ("resistance", "inductance", TERMINAL))],
    )
    fitting = (groups for groups in tables if _rows([total, *groups]) <= most)
    return (total, *next(fitting, tables[-1]))


def total_group(result: Result, points: Sequence[Answers]) -> Group:
    """What is told of the whole section, its total loss first; it stands on one page."""
    rows = (row for loss in result.summary.losses for row in _total(loss, result.case.length, axial=result.case.axial))
    return Group("the whole section", (*rows, *_heated(result.summary.heated), *_coupled(result, points)))


def _rows(groups: Sequence[Group]) -> int:
    return sum(1 + len(group.rows) for group in groups)


def _total(found: SectionLoss, length: float | None, *, axial: bool) -> Iterator[AnswerRow]:
    bar = found.error / found.loss if found.loss else None
    if found.total is not None:
        noise = found.error * (length or 1.0)
        yield _row(f"total loss over {length:g} m {found.of}", found.total, "W", bar, noise=noise)
    yield _row(f"loss {found.of}", found.loss, "W/m", bar, noise=found.error, axial=axial)


def _heated(found: HeatedPieces | None) -> Iterator[AnswerRow]:
    """What the case says is heated on purpose."""
    if found is not None:
        into, at = few(found.names), frequency_words(found.frequency)
        bar = found.power_error / found.power if found.power else None
        yield _row(f"power into {into} at {at}", found.power, "W", bar, noise=found.power_error)
        yield AnswerRow(f"efficiency at {at}", f"{100 * found.efficiency:.4g} %", "", error_bar(found.efficiency_error))


def _coupled(result: Result, points: Sequence[Answers]) -> Iterator[AnswerRow]:
    """Coupling factors at the first frequency, of two coils or three."""
    every = [m for c in result.chapters for m in c.measured.get("coupling", ()) if m.frequency == points[0].frequency]
    at = frequency_words(points[0].frequency)
    for m in every if len(every) <= PAIRS else ():
        value = or_none(f"{m.value:.5g}", m.value, m.error)
        yield AnswerRow(f"coupling factor of {m.of} at {at}", value, "", significant(m.error, 1))


def _circuits(points: Sequence[Answers], length: float | None) -> Iterator[Group]:
    """Everything of each circuit."""
    for point in points:
        for circuit in point.circuits.values():
            rows = _own(circuit, point, length) if point.coupled else _loop(circuit, point, length)
            whose = "its own conductors" if point.coupled else _turns(circuit) if point.axial else "loop"
            at = frequency_words(point.frequency)
            yield Group(f"circuit {circuit.name} at {at} ({abs(circuit.current):.4g} A, {whose})", tuple(rows))


def _in_brief(points: Sequence[Answers], kept: Sequence[str] = MAIN) -> Iterator[Group]:
    """Resistance and inductance of each circuit; of coupled ones the drop."""
    for point in points:
        every = list(point.circuits.values())
        rows = [row for c in every[:CIRCUITS] for row in _main(c, point, kept)]
        if len(every) > CIRCUITS:
            rows.append(AnswerRow(f"and of {len(every) - CIRCUITS} more", "see the appendix"))
        whose = "of its own conductors" if point.coupled else "of all turns" if point.axial else "of the loop"
        yield Group(f"circuits at {frequency_words(point.frequency)} (resistance {whose})", tuple(rows))


def _main(c: CircuitAnswer, point: Answers, kept: Sequence[str]) -> Iterator[AnswerRow]:
    rows = _own(c, point, None) if point.coupled else _loop(c, point, None)
    yield from (replace(row, name=f"{row.name} of {c.name}") for row in rows if row.name in kept)


def _conductors(points: Sequence[Answers]) -> Iterator[Group]:
    """Everything of each conductor."""
    for point in points:
        for conductor in whole_conductors(point):
            at = frequency_words(point.frequency)
            yield Group(f"conductor {conductor.name} at {at}", tuple(_conductor(conductor, point)))


def _losses(points: Sequence[Answers]) -> Iterator[Group]:
    """The loss of each conductor."""
    for point in points:
        every = whole_conductors(point)
        rows = [
            _row(f"loss of {c.name}", c.loss, "W/m", c.loss_error, noise=loss_noise(c, point), axial=point.axial)
            for c in every[:CONDUCTORS]
        ]
        if len(every) > CONDUCTORS:
            rows.append(AnswerRow(f"and of {len(every) - CONDUCTORS} more", "see the appendix"))
        yield Group(f"conductors at {frequency_words(point.frequency)}", tuple(rows))


def _turns(c: CircuitAnswer) -> str:
    return f"{c.turns} turns in series" if c.turns > 1 else "one turn"


def _row(
    name: str, value: float | None, unit: str, bar: float | None = None, digits: int = 4, *, noise: float = -1.0,
    axial: bool = False,
) -> AnswerRow:  # fmt: skip
    """Of a straight run per metre; round an axis in all."""
    unit = unit.removesuffix("/m") if axial else unit
    if value is not None and abs(value) <= noise:
        return AnswerRow(name, NONE)
    said = error_bar(bar) if bar else ""
    return AnswerRow(name, engineering(value, unit, digits), customary(value, unit, digits), said)


def _loop(c: CircuitAnswer, point: Answers, length: float | None) -> Iterable[AnswerRow]:
    noise = voltage_noise(c, point)
    yield _row("resistance", c.resistance, "ohm/m", c.resistance_error, 5, noise=resistance_noise(c), axial=point.axial)
    if c.resistance_ratio is not None:
        yield AnswerRow("over that of direct current", f"{c.resistance_ratio:.4g}")
    if c.laid_resistance is not None:
        yield _row("up to, where groups of strands are only twisted", c.laid_resistance, "ohm/m", axial=point.axial)
    yield _row("inductance", c.inductance, "H/m", c.inductance_error, 5, noise=inductance_noise(c), axial=point.axial)
    yield _row("voltage", abs(c.voltage), "V/m", noise=noise, axial=point.axial)
    if length is not None:
        yield _row(f"total voltage over {length:g} m", abs(c.voltage) * length, "V", noise=noise * length)


def _own(c: CircuitAnswer, point: Answers, length: float | None) -> Iterable[AnswerRow]:
    """Of coupled circuits: the power that passes between them is in the appendix."""
    least = own_resistance_noise(c)
    yield _row("resistance", c.own_resistance, "ohm/m", c.own_resistance_error, 5, noise=least, axial=point.axial)
    if c.inductance is not None:
        yield _row(TERMINAL, c.inductance, "H/m", c.inductance_error, 5, noise=inductance_noise(c), axial=point.axial)
    yield _row("loss", c.own_loss, "W/m", c.own_loss_error, noise=own_noise(c, point), axial=point.axial)
    size, noise = abs(c.voltage), voltage_noise(c, point)
    bar = c.voltage_error / size if size else None
    yield _row("voltage drop", size, "V/m", bar, noise=noise, axial=point.axial)
    if length is not None:
        yield _row(f"voltage drop over {length:g} m", size * length, "V", bar, noise=noise * length)


def _conductor(c: ConductorAnswer, point: Answers) -> Iterable[AnswerRow]:
    yield _row("current", abs(c.current), "A") if c.loss_ratio is not None else AnswerRow("current", "induced")
    yield _row("loss", c.loss, "W/m", c.loss_error, noise=loss_noise(c, point), axial=point.axial)
    if c.skin_depth is not None:
        yield AnswerRow("skin depth", f"{c.skin_depth * 1e3:.3g} mm", customary(c.skin_depth, "m", 3))
    largest = [("largest, rms", c.peak_current_density)]
    if c.crest_current_density > c.peak_current_density:
        largest.append(("largest, crest", c.crest_current_density))
    for which, density in largest:
        yield AnswerRow(f"current density ({which})", *_density(density, density_noise(c, point)))
    force, noise = math.hypot(*c.force), force_noise(c)
    if point.axial:
        for way, part in zip(("radial force, summed round the turn", "axial force"), c.force, strict=True):
            yield _row(f"{way} (time average)", part, "N", c.force_error / abs(part) if part else None, 3, noise=noise)
        return
    yield _row("force (time average)", force, "N/m", c.force_error / force if force else None, 3, noise=noise)


def _density(density: float, noise: float) -> tuple[str, str]:
    """In both units."""
    texts = (f"{density / 1e6:.4g} A/mm2", NONE), (customary(density, "A/m2"), "")
    metric, other = (or_none(text, density, noise, none) for text, none in texts)
    return metric, other
