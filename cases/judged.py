"""Every limit against every figure it is set on: the figures of a result, and what keeps them from holding."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ..postprocess.beyond import IN_SERVICE, TEMPERATURES, broken, nearly, of_all, reached
from ..postprocess.chapter import Chapter, Measured
from ..postprocess.supports import peak_errors, pushes
from ..postprocess.units import concise
from ..postprocess.verdict import Standing, Verdict
from ..solver.balance import CEILING
from .duty import always_on
from .names import Roster

if TYPE_CHECKING:
    from ..postprocess.answers import Answers
    from .fields import Names
    from .limits import Limits
    from .run import Result

KINDS = ("bare", "plated", "insulated", "touchable")
OF_METAL = (*(f"temperature_{kind}" for kind in KINDS), "fault_temperature")

Found = Mapping[str, Sequence[Measured]]
Figures = Callable[["Result", "Limits", Found], Sequence[Measured]]


def verdicts(asked: Limits, result: Result, others: Sequence[Chapter]) -> list[Verdict]:
    """Every limit against every figure it is set on; of a conductor's temperatures against the worst.

    No verdict is better than "cannot tell" where a metal of the section melts, stops being magnetic or has no stable
    temperature: the figures are those of a section that will not be.
    """
    measured = measured_by(others)
    best: Standing = "cannot tell" if spoilt(result, others) else "pass"
    found: list[Verdict] = []
    for key, allowed in asked.stated.items():
        figures = _FIGURES.get(key, lambda r, a, m, key=key: m.get(key, []))(result, asked, measured)
        rows = [Verdict(key, allowed, figure, best) for figure in figures]
        found += _worst([_of_metal(v, result) for v in rows]) if key in OF_METAL else rows
    return found


def measured_by(others: Sequence[Chapter]) -> dict[str, list[Measured]]:
    """What all chapters measured, by its key."""
    found: dict[str, list[Measured]] = {}
    for chapter in others:
        for key, values in chapter.measured.items():
            found.setdefault(key, []).extend(values)
    return found


def spoilt(result: Result, others: Sequence[Chapter]) -> list[str]:
    """What keeps the figures of a result from holding, in words: metals beyond their bounds, no stable temperature."""
    measured = measured_by(others)
    figures = of_all(measured, TEMPERATURES)
    past = {b.words: f"{b.words}, and {reached(m)}" for m, b in broken(result.case.problem().conductors, figures)}
    arising = [m for key in _arising(result, IN_SERVICE) for m in measured.get(key, [])]
    endless = [m for m in arising if m.value == math.inf and not m.error]
    molten = [m for m in measured.get("fault_temperature", []) if m.value == math.inf and not m.error]
    words = (*(f"{m.of} has no stable temperature ({m.load})" for m in endless), *(f"{m.of} melts" for m in molten))
    return [*past.values(), *dict.fromkeys(words)]


def is_steady(others: Sequence[Chapter]) -> bool:
    """Whether the losses are those of temperatures that the cooling keeps up, where the case asks for that."""
    return all(m.value < math.inf for m in measured_by(others).get("temperature", []))


def kind_of(result: Result, asked: Limits) -> dict[str, tuple[str, ...]]:
    """The kinds of temperature limit that hold for each conductor: as it is named, else bare or plated."""
    named = {"insulated": _members(result, asked.insulated), "touchable": _members(result, asked.touchable)}
    return {
        c.name: tuple(kind for kind, names in named.items() if c.name in names)
        or ("plated" if c.part.coats else "bare",)
        for c in result.case.problem().conductors
    }


def _members(result: Result, words: Names) -> set[str]:
    """The conductors that words such as "bar.*" stand for."""
    roster = Roster(result.case.data.conductor, dict(enumerate(result.case.data.conductor)))
    return {name for word in words for name in roster.members(word)}


def _worst(found: Sequence[Verdict]) -> Iterator[Verdict]:
    """One of each conductor."""
    for name in dict.fromkeys(v.found.of for v in found):
        yield min((v for v in found if v.found.of == name), key=lambda v: v.rank)


def _of_metal(v: Verdict, result: Result) -> Verdict:
    """A temperature at which the metal melts has failed; one that may come to that, or to the ceiling, is not sure."""
    conductors = result.case.problem().conductors
    if any(b.melts for _, b in broken(conductors, [v.found])):
        return replace(v, at_best="fail")
    in_service = v.limit != "fault_temperature"
    if nearly(conductors, [v.found]) or (in_service and v.found.known and v.found.value + v.found.error >= CEILING):
        return replace(v, at_best="cannot tell")
    return v


def _arising(result: Result, keys: Sequence[str]) -> list[str]:
    """Without the steady temperature of currents that come and go."""
    return [key for key in keys if key != "temperature" or always_on(result)]


def _temperatures(kind: str) -> Figures:
    def of_kind(result: Result, asked: Limits, measured: Found) -> list[Measured]:
        names = [name for name, kinds in kind_of(result, asked).items() if kind in kinds]
        known = [m for key in _arising(result, IN_SERVICE) for m in measured.get(key, []) if m.of in names]
        lacking = [name for name in names if known and name not in {m.of for m in known}]
        return [*known, *(Measured(math.inf, math.inf, "degC", name, "not computed") for name in lacking)]

    return of_kind


def _loss(result: Result, asked: Limits, measured: Found) -> list[Measured]:
    return [
        Measured(
            p.total_loss,
            sum(c.loss * c.loss_error for c in p.conductors.values()) + p.total_loss * _warmth(result, measured, p),
            "W/m",
            at(p.frequency),
        )
        for p in result.points
    ]


def _warmth(result: Result, measured: Found, point: Answers) -> float:
    """What the bands of the temperatures found leave open of all losses together, relative."""
    open_ = 0.0
    figures = [m for key in ("temperature", "water_temperature") for m in measured.get(key, []) if m.known]
    solution = result.solutions.get(point.frequency)
    for conductor in solution.problem.conductors if solution is not None else ():
        own = [m for m in figures if m.of == conductor.name and m.load.endswith(f" {concise(point.frequency, 'Hz')}")]
        metal = conductor.material
        slope = metal.temperature_coefficient * metal.conductivity_at(conductor.temperature) / metal.conductivity
        open_ += point.conductors[conductor.name].loss * abs(slope) * max((m.error for m in own), default=0.0)
    return open_ / point.total_loss if point.total_loss else 0.0


def _inductance(result: Result, asked: Limits, measured: Found) -> list[Measured]:
    return [
        Measured(c.inductance, c.inductance * (c.inductance_error or 0.0), "H/m", f"{c.name} at {at(p.frequency)}")
        for p in result.points
        for c in p.circuits.values()
        if c.inductance is not None
    ]


def _drop(result: Result, asked: Limits, measured: Found) -> list[Measured]:
    length = result.case.length
    if length is None:
        return []
    found = []
    for p in result.points:
        warmth = _warmth(result, measured, p)
        for c in p.circuits.values():
            size, resistive = abs(c.voltage), abs(c.current) * abs(c.resistance or 0.0)
            error = size * max(c.resistance_error or 0.0, c.inductance_error or 0.0)
            error += warmth * resistive**2 / size if size else 0.0
            found.append(Measured(size * length, error * length, "V", f"{c.name} at {at(p.frequency)}"))
    return found


def _force(result: Result, asked: Limits, measured: Found) -> list[Measured]:
    """Peak force: that of [fault], and of [supports] with its fault current if it states one; else in service."""
    struck = [replace(m, of=f"{m.of} in [fault]") for m in measured.get("fault_force", [])]
    if struck or measured.get("force"):
        return [*struck, *measured.get("force", [])]
    return [
        Measured(push.peak, float(error), "N/m", f"{c.name} at {at(frequency)}")
        for frequency, s in result.solutions.items()
        for c, push, error in zip(s.problem.conductors, pushes(s.fine), peak_errors(s), strict=True)
    ]


def at(frequency: float) -> str:
    """A frequency in words."""
    return concise(frequency, "Hz") if frequency else "direct current"


_FIGURES: dict[str, Figures] = {
    **{f"temperature_{kind}": _temperatures(kind) for kind in KINDS},
    "loss": _loss,
    "inductance": _inductance,
    "voltage_drop": _drop,
    "force": _force,
}
