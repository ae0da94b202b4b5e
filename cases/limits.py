"""The table [limits] and its chapter: what must not be exceeded, whether it holds, and what would help most."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from ..postprocess.chapter import Chapter
from ..postprocess.tables import TextTable
from ..postprocess.units import engineering, error_bar
from ..postprocess.verdict import Verdict
from .base import Table
from .duty import always_on
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
from .judged import is_steady, kind_of, spoilt, verdicts

if TYPE_CHECKING:
    from .changes import Change
    from .run import Result

IN_AIR = "[cooling] or [[water]], and a frequency listed in at"
NEEDS = {
    "temperature_bare": IN_AIR,
    "temperature_plated": IN_AIR,
    "temperature_insulated": IN_AIR,
    "temperature_touchable": IN_AIR,
    "fault_temperature": "[fault], or a [[duty]] without off",
    "voltage_drop": "the length of the run",
    "field": "[field] with points",
    "water_rise": "[[water]]",
    "wall_temperature": "[[water]]",
    "mass": "densities of all metals and [prices]",
}


class Limits(Table):
    """What must not be exceeded; every key may be left out. Conductors are bare or plated unless named otherwise.

    temperature_... are those in service: steady, or the peak of a repeated [[duty]]; fault_temperature is the mean of a
    conductor after a [fault] or a [[duty]] that happens once.
    """

    temperature_bare: Temperature | None = None
    temperature_plated: Temperature | None = None
    temperature_insulated: Temperature | None = None
    temperature_touchable: Temperature | None = None
    fault_temperature: Temperature | None = None
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
    warnings = tuple(f"[limits] {key}: nothing to judge by; {_lacking(key, asked, result)}" for key in missing)
    warnings += _open_ended(asked, result)
    columns = ("limit", "of", "value", "+-", "limit", "margin", "verdict")
    table = TextTable("Limits, with the error bars taken into account", columns, tuple(_row(v) for v in found))
    spoiling = spoilt(result, others)
    tables, sentences, helps = [table], [_overall(found, missing, spoiling), *_judged(asked, result)], []
    tightest = min(found, key=lambda v: v.rank, default=None)
    if tightest is not None:
        from .changes import helpful

        helps = helpful(result, asked, found, tightest, steady=is_steady(others))
        sentences.append(_helps(tightest, helps))
    record = {
        "limits": [_record(v) for v in found],
        "not_judged": missing,
        "does_not_hold": spoiling,
        "would_help": [{"change": c.what, "changes_value_by": _number(c.by), "to": _number(c.to)} for c in helps],
    }
    return Chapter("limits", "Limits and verdict", record, tuple(tables), tuple(sentences), warnings)


def _lacking(key: str, asked: Limits, result: Result) -> str:
    """What a limit needs to be judged."""
    kind = key.removeprefix("temperature_")
    if kind != key and not any(kind in kinds for kinds in kind_of(result, asked).values()):
        return f"no conductor is {kind}" + (f": name them in {kind}" if kind in ("insulated", "touchable") else "")
    return f"it needs {NEEDS.get(key, 'a circuit with a current')}"


def _judged(asked: Limits, result: Result) -> list[str]:
    """Which temperatures were judged, where a repeated duty leaves a choice, or after a fault."""
    cycles = ", ".join(duty.name for duty in result.case.data.duty if duty.off is not None)
    lines = []
    if cycles and any(key.startswith("temperature") for key in asked.stated):
        both = f"the worse of the steady one at the circuits' currents and of the peaks of {cycles}"
        alone = f"the peaks of {cycles}, not the steady ones, since the circuits' currents come and go"
        lines.append(f"temperatures judged: {both if always_on(result) else alone}")
    if asked.fault_temperature is not None:
        lines.append("fault temperature judged: the mean over each conductor, no heat given away")
    return lines


def _open_ended(asked: Limits, result: Result) -> tuple[str, ...]:
    """Inductances of currents that return outside the section are no property of it."""
    depends = [key for key in ("inductance", "voltage_drop") if key in asked.stated]
    if not depends or not any(p.returns_outside for p in result.points):
        return ()
    return (
        f"[limits] {', '.join(depends)}: the currents do not sum to zero, so the figures depend on where they return; "
        "these verdicts hold for a return at the stated return_radius only",
    )


def _overall(found: Sequence[Verdict], missing: Sequence[str], spoiling: Sequence[str]) -> str:
    failed = [v for v in found if v.standing == "fail"]
    open_ = [v for v in found if v.standing == "cannot tell"]
    count = _count(found)
    lead = f"as computed this cannot be: {'; '.join(spoiling)}; " if spoiling else ""
    if not found:
        return "no limit is stated" if not missing else f"{lead}none of the limits could be judged"
    if failed:
        some = f"{_count(failed)} of {count} limits fail{'s' if _count(failed) == 1 else ''}"
        rest = f"; nobody can tell: {_listed(open_)}" if open_ else ""
        return f"{lead}{'the limit fails' if count == 1 else some}: {_listed(failed)}{rest}"
    if spoiling:
        return f"{lead}so {'the limit cannot' if count == 1 else f'none of the {count} limits can'} be said to hold"
    if open_:
        straddled = f"the error bar straddles {_count(open_)} of them, so nobody can tell: {_listed(open_)}"
        known = all(v.found.known for v in open_)
        return f"no limit fails, but {straddled}" if known else f"nobody can tell: {_listed(open_)}"
    rest = f"; {len(missing)} could not be judged" if missing else ""
    held = "the limit holds, error bar" if count == 1 else f"all {count} limits hold, error bars"
    return f"{held} included{rest}"


def _count(found: Sequence[Verdict]) -> int:
    """How many limits, whatever the number of figures each is set on."""
    return len({v.limit for v in found})


def _listed(found: Sequence[Verdict]) -> str:
    """The worst figure of each limit, and how many more there are."""
    parts = []
    for key in dict.fromkeys(v.limit for v in found):
        alike = sorted((v for v in found if v.limit == key), key=lambda v: v.rank)
        more = f" (and {len(alike) - 1} more)" if len(alike) > 1 else ""
        parts.append(f"{_against(alike[0])}{more}")
    return "; ".join(parts)


def _against(v: Verdict) -> str:
    return f"{_name(v)}: {_show(v.found.value, v)} against {_show(v.allowed, v)}"


def _helps(tightest: Verdict, helps: Sequence[Change]) -> str:
    if not helps:
        return f"no change that was tried moves {_name(tightest)}: a tenth less current, more gap, larger conductors"
    listed = ", ".join(f"{c.what} {_effect(c, tightest)}" for c in helps[:4])
    if helps[0].by > 0:
        return f"no change that was tried lowers {_name(tightest)} (computed): {listed}"
    return f"what would help {_name(tightest)} most (computed): {listed}"


def _effect(change: Change, tightest: Verdict) -> str:
    if not math.isfinite(change.by):
        return f"brings it to {_show(change.to, tightest)}"
    return f"{'lowers' if change.by < 0 else 'raises'} it by {_show_change(abs(change.by), tightest)}"


def _name(v: Verdict) -> str:
    of = f" {'at' if v.limit == 'loss' else 'of'} {_of(v)}" if _of(v) else ""
    return f"{v.limit.replace('_', ' ')}{of}"


def _of(v: Verdict) -> str:
    """What the figure belongs to, and under which load."""
    return ", ".join(filter(None, (v.found.of, v.found.load)))


def _show(value: float, v: Verdict) -> str:
    if not math.isfinite(value):
        return "not known" if v.found.error else "no end"
    return f"{value:.1f} degC" if v.found.unit == "degC" else _in_unit(value, v.found.unit, 4)


def _in_unit(value: float, unit: str, digits: int) -> str:
    return engineering(1e3 * value, "g/m", digits) if unit == "kg/m" else engineering(value, unit, digits)


def _bar(v: Verdict) -> str:
    """The error bar, of temperatures in kelvin, of all else relative."""
    if v.found.unit in ("degC", "K") or not v.found.known:
        return _show_change(v.found.error, v)
    return error_bar(abs(v.found.error / v.found.value)) if v.found.value else "-"


def _show_change(value: float, v: Verdict) -> str:
    if not math.isfinite(value):
        return "-"
    return f"{value:.1f} K" if v.found.unit == "degC" else _in_unit(value, v.found.unit, 3)


def _row(v: Verdict) -> tuple[str, ...]:
    return (
        v.limit.replace("_", " "),
        _of(v) or "-",
        _show(v.found.value, v),
        _bar(v),
        _show(v.allowed, v),
        f"{'-' if -math.inf < v.margin < 0 else ''}{_show_change(abs(v.margin), v)}",
        v.standing,
    )


def _record(v: Verdict) -> dict[str, Any]:
    return {
        "limit": v.limit,
        "of": v.found.of,
        "load": v.found.load or None,
        "unit": v.found.unit,
        "value": _number(v.found.value),
        "error": _number(v.found.error),
        "allowed": v.allowed,
        "margin": _number(v.margin),
        "verdict": v.standing,
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None
