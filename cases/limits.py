"""The table [limits] and its chapter: what must not be exceeded, whether it holds, and what would help most."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ..postprocess.chapter import Chapter, Measured
from ..postprocess.supports import peak_errors, pushes
from ..postprocess.tables import TextTable
from ..postprocess.units import concise, engineering
from ..postprocess.verdict import Verdict
from .base import Table
from .fields import (
    FluxDensity,
    ForcePerMetre,
    InductancePerMetre,
    LossPerMetre,
    MassPerMetre,
    Names,
    Temperature,
    TemperatureRise,
    Voltage,
)
from .names import Roster

if TYPE_CHECKING:
    from .run import Result

NEEDS = {
    "temperature_bare": "[cooling] or [[water]]",
    "temperature_plated": "[cooling] or [[water]]",
    "temperature_insulated": "[cooling] or [[water]]",
    "temperature_touchable": "[cooling] or [[water]]",
    "voltage_drop": "the length of the run",
    "field": "[field] with points",
    "water_rise": "[[water]]",
    "wall_temperature": "[[water]]",
    "mass": "densities of all metals and [prices]",
}


class Limits(Table):
    """What must not be exceeded; every key may be left out. Conductors are bare or plated unless named otherwise."""

    temperature_bare: Temperature | None = None
    temperature_plated: Temperature | None = None
    temperature_insulated: Temperature | None = None
    temperature_touchable: Temperature | None = None
    insulated: Names = ()
    touchable: Names = ()
    loss: LossPerMetre | None = None
    voltage_drop: Voltage | None = None
    inductance: InductancePerMetre | None = None
    force: ForcePerMetre | None = None
    field: FluxDensity | None = None
    water_rise: TemperatureRise | None = None
    wall_temperature: Temperature | None = None
    mass: MassPerMetre | None = None

    @property
    def stated(self) -> dict[str, float]:
        """The limits that are set, in SI units."""
        return {key: value for key, value in self if isinstance(value, float)}


def chapter(result: Result, others: Sequence[Chapter]) -> Chapter | None:
    """The verdict on every limit, from the answers and the other chapters."""
    asked = result.case.data.limits
    if asked is None:
        return None
    found = verdicts(asked, result, others)
    missing = [key for key in asked.stated if not any(v.limit == key for v in found)]
    warnings = tuple(
        f"[limits] {key}: nothing to judge by; it needs {NEEDS.get(key, 'a circuit with a current')}" for key in missing
    )
    warnings += _open_ended(asked, result)
    columns = ("limit", "of", "value", "+-", "limit", "margin", "verdict")
    table = TextTable("Limits, with the error bars taken into account", columns, tuple(_row(v) for v in found))
    tables, sentences, helps = [table], [_overall(found, missing)], []
    tightest = _tightest(found)
    if tightest is not None:
        from .changes import helpful

        helps = helpful(result, asked, found, tightest)
        sentences += [_helps(tightest, helps)] if helps else []
    record = {
        "limits": [_record(v) for v in found],
        "not_judged": missing,
        "would_help": [{"change": what, "changes_value_by": by} for what, by in helps],
    }
    return Chapter("limits", "Limits and verdict", record, tuple(tables), tuple(sentences), warnings)


def _open_ended(asked: Limits, result: Result) -> tuple[str, ...]:
    """Inductances of currents that return outside the section are no property of it."""
    depends = [key for key in ("inductance", "voltage_drop") if key in asked.stated]
    if not depends or not any(p.returns_outside for p in result.points):
        return ()
    return (
        f"[limits] {', '.join(depends)}: the currents do not sum to zero, so the figures depend on where they return; "
        "these verdicts hold for a return at the stated return_radius only",
    )


def verdicts(asked: Limits, result: Result, others: Sequence[Chapter]) -> list[Verdict]:
    """Every limit against every figure it is set on."""
    measured: dict[str, list[Measured]] = {}
    for chapter_ in others:
        for key, values in chapter_.measured.items():
            measured.setdefault(key, []).extend(values)
    found = []
    for key, allowed in asked.stated.items():
        figures = _FIGURES.get(key, lambda r, a, m, key=key: m.get(key, []))(result, asked, measured)
        found += [Verdict(key, allowed, figure) for figure in figures]
    return found


Figures = Callable[["Result", Limits, dict[str, list[Measured]]], list[Measured]]


def _temperatures(kind: str) -> Figures:
    def of_kind(result: Result, asked: Limits, measured: dict[str, list[Measured]]) -> list[Measured]:
        plated = {c.name for c in result.case.problem().conductors if c.part.coats}
        touchable, insulated = (_members(result, words) for words in (asked.touchable, asked.insulated))
        found = []
        for figure in measured.get("temperature", []):
            named = "touchable" if figure.of in touchable else "insulated" if figure.of in insulated else ""
            if (named or ("plated" if figure.of in plated else "bare")) == kind:
                found.append(figure)
        return found

    return of_kind


def _members(result: Result, words: Names) -> set[str]:
    """The conductors that words such as "bar.*" stand for."""
    roster = Roster(result.case.data.conductor, dict(enumerate(result.case.data.conductor)))
    return {name for word in words for name in roster.members(word)}


def _loss(result: Result, asked: Limits, measured: dict[str, list[Measured]]) -> list[Measured]:
    return [
        Measured(p.total_loss, sum(c.loss * c.loss_error for c in p.conductors.values()), "W/m", _at(p.frequency))
        for p in result.points
    ]


def _inductance(result: Result, asked: Limits, measured: dict[str, list[Measured]]) -> list[Measured]:
    return [
        Measured(c.inductance, c.inductance * (c.inductance_error or 0.0), "H/m", f"{c.name} at {_at(p.frequency)}")
        for p in result.points
        for c in p.circuits.values()
        if c.inductance is not None
    ]


def _drop(result: Result, asked: Limits, measured: dict[str, list[Measured]]) -> list[Measured]:
    length = result.case.length
    if length is None:
        return []
    return [
        Measured(
            abs(c.voltage) * length,
            abs(c.voltage) * length * max(c.resistance_error or 0.0, c.inductance_error or 0.0),
            "V",
            f"{c.name} at {_at(p.frequency)}",
        )
        for p in result.points
        for c in p.circuits.values()
    ]


def _force(result: Result, asked: Limits, measured: dict[str, list[Measured]]) -> list[Measured]:
    """Peak force: that of [fault], and of [supports] with its fault current if it states one; else in service."""
    struck = [replace(m, of=f"{m.of} in [fault]") for m in measured.get("fault_force", [])]
    if struck or measured.get("force"):
        return [*struck, *measured.get("force", [])]
    return [
        Measured(push.peak, float(error), "N/m", f"{c.name} at {_at(frequency)}")
        for frequency, s in result.solutions.items()
        for c, push, error in zip(s.problem.conductors, pushes(s.fine), peak_errors(s), strict=True)
    ]


_FIGURES: dict[str, Figures] = {
    **{f"temperature_{kind}": _temperatures(kind) for kind in ("bare", "plated", "insulated", "touchable")},
    "loss": _loss,
    "inductance": _inductance,
    "voltage_drop": _drop,
    "force": _force,
}


def _tightest(found: Sequence[Verdict]) -> Verdict | None:
    """The one most in need of a change: failed, else not certain, else the fullest."""
    order = {"fail": 0, "cannot tell": 1, "pass": 2}
    return min(found, key=lambda v: (order[v.standing], -v.used), default=None)


def _overall(found: Sequence[Verdict], missing: Sequence[str]) -> str:
    failed = [v for v in found if v.standing == "fail"]
    open_ = [v for v in found if v.standing == "cannot tell"]
    if not found:
        return "none of the limits could be judged"
    if failed:
        names = "; ".join(f"{_name(v)}: {_show(v.found.value, v)} against {_show(v.allowed, v)}" for v in failed)
        return f"{len(failed)} of {len(found)} limits fail: {names}"
    if open_:
        names = "; ".join(f"{_name(v)}: {_show(v.found.value, v)} against {_show(v.allowed, v)}" for v in open_)
        return f"no limit fails, but the error bar straddles {len(open_)} of them, so nobody can tell: {names}"
    rest = f"; {len(missing)} could not be judged" if missing else ""
    held = "the limit holds, error bar" if len(found) == 1 else f"all {len(found)} limits hold, error bars"
    return f"{held} included{rest}"


def _helps(tightest: Verdict, helps: Sequence[tuple[str, float]]) -> str:
    def effect(by: float) -> str:
        return f"{'lowers' if by < 0 else 'raises'} it by {_show_change(abs(by), tightest)}"

    listed = ", ".join(f"{what} {effect(by)}" for what, by in helps[:4])
    if helps[0][1] > 0:
        return f"no change that was tried lowers {_name(tightest)} (computed): {listed}"
    return f"what would help {_name(tightest)} most (computed): {listed}"


def _name(v: Verdict) -> str:
    of = f" of {v.found.of}" if v.found.of else ""
    return f"{v.limit.replace('_', ' ')}{of}"


def _at(frequency: float) -> str:
    return concise(frequency, "Hz") if frequency else "direct current"


def _show(value: float, v: Verdict) -> str:
    return f"{value:.1f} degC" if v.found.unit == "degC" else engineering(value, v.found.unit, 4)


def _show_change(value: float, v: Verdict) -> str:
    return f"{value:.1f} K" if v.found.unit == "degC" else engineering(value, v.found.unit, 3)


def _row(v: Verdict) -> tuple[str, ...]:
    return (
        v.limit.replace("_", " "),
        v.found.of or "-",
        _show(v.found.value, v),
        _show_change(v.found.error, v),
        _show(v.allowed, v),
        f"{'-' if v.margin < 0 else ''}{_show_change(abs(v.margin), v)}",
        v.standing,
    )


def _record(v: Verdict) -> dict[str, Any]:
    return {
        "limit": v.limit,
        "of": v.found.of,
        "unit": v.found.unit,
        "value": v.found.value,
        "error": v.found.error,
        "allowed": v.allowed,
        "margin": v.margin,
        "verdict": v.standing,
    }
