"""The words, table and record of limits: whether they hold, and what would help most."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.limits import Standing, Verdict
from crosscurrent.postprocess.answers.metal_limits import BrokenBound, reached
from crosscurrent.postprocess.answers.summary import HoldingCurrent
from crosscurrent.postprocess.answers.tables import TextTable

from .limits_shown import change as change_in_words
from .limits_shown import in_words, shown, table_bar

IN_AIR = "[cooling] or [[water]], and a frequency listed in at"
KIND_NEEDS = {"bare": IN_AIR, "plated": IN_AIR, "insulated": IN_AIR, "touchable": IN_AIR}
NEEDS = {
    **{f"temperature_{kind}": needs for kind, needs in KIND_NEEDS.items()},
    "fault_temperature": "an answer of [fault], or of a [[duty]] without off",
    "voltage_drop": "the length of the run",
    "field": "[field] with points",
    "water_rise": "[[water]]",
    "wall_temperature": "[[water]]",
    "waste": "a piece that is heated, and a frequency listed in at",
    "leakage": "two coils or circuits, and a frequency listed in at",
    "piece_power": "a piece in no circuit that [power] does not name, and a frequency listed in at",
    "piece_temperature": "[[heating]], and a frequency listed in at",
    "tank_voltage": "[tank], and a frequency listed in at above 0 Hz",
    "reactive_power": "[tank], and a frequency listed in at above 0 Hz",
    "hoop_stress": "a turn off the axis, and a frequency listed in at",
    "flux_density": "magnetic metal or ferrite with a field in it, and a frequency listed in at",
    "mass": "a density of every metal in [material]",
}
RETURN_DEPENDENT = ("inductance", "voltage_drop")  # on the return_radius
ALL_ROUND = "field"  # on a return all round, further away than the points
SHOWN = 4  # changes that a sentence names
MANY = 6  # frequencies of one figure of which the table lists more than the worst


@dataclass(frozen=True)
class DesignChange:
    """What was changed, and the figure it leads from and to."""

    what: str
    before: float
    to: float

    @property
    def by(self) -> float:
        """In the figure's own unit; infinite where it had no end before."""
        return self.to - self.before


@dataclass(frozen=True)
class LimitsAnswer:
    """The verdicts on all limits.

    Attributes
    ----------
    stated : mapping of str to float
        The limits by their key, in SI units.
    verdicts : sequence of Verdict
    helps : sequence of DesignChange
        What would move the tightest, the most helpful first.
    spoiling : sequence of str
        What keeps the figures from holding.
    kinds : set of str
        Kinds of temperature limit that some conductor is of.
    held : set of str
        Those of which every conductor is held at a temperature that the case states.
    cycles : sequence of str
        The repeated duties.
    always_on : bool
        Whether the currents of the circuits flow on and on.
    returns_outside : bool
        Whether currents return outside the section.
    tried : tuple of str
        Changes that `helps` were looked for among.
    holds : tuple of HoldingCurrent
        Where temperatures run away, the currents that would not let them.
    """

    stated: Mapping[str, float]
    verdicts: Sequence[Verdict]
    helps: Sequence[DesignChange] = ()
    spoiling: Sequence[str] = ()
    kinds: frozenset[str] = frozenset()
    held: frozenset[str] = frozenset()
    cycles: Sequence[str] = ()
    always_on: bool = True
    returns_outside: bool = False
    tried: tuple[str, ...] = ("a tenth less current", "more gap", "larger conductors")
    holds: tuple[HoldingCurrent, ...] = ()

    @property
    def missing(self) -> list[str]:
        """Limits without a figure to judge by."""
        return [key for key in self.stated if not any(v.limit == key for v in self.verdicts)]

    @property
    def standing(self) -> Standing:
        """The verdict as a whole: one failed limit fails it, and it is no better than the least sure one."""
        standings = {v.standing for v in self.verdicts}
        if "fail" in standings:
            return "fail"
        return "pass" if standings == {"pass"} and not self.missing else "cannot tell"

    @property
    def tightest(self) -> Verdict | None:
        """The verdict that a change would better, as of `to_change`."""
        return to_change(self.verdicts)


def tightest(verdicts: Sequence[Verdict]) -> Verdict | None:
    """The verdict most in need of a change; None where there is none."""
    return min(verdicts, key=lambda v: v.rank, default=None)


def to_change(verdicts: Sequence[Verdict]) -> Verdict | None:
    """The verdict most in need of a change; none where only metals in doubt keep the limits from holding."""
    worst = tightest(verdicts)
    return None if worst is None or (worst.met and worst.standing != "pass") else worst


def spoiling(
    past: Iterable[tuple[Measured, BrokenBound]], endless: Iterable[Measured], molten: Iterable[Measured]
) -> list[str]:
    """What keeps figures from holding, each once: metals beyond their bounds, no stable temperature, molten metal."""
    bounds = {bound.words: f"{bound.words}, and {reached(m)}" for m, bound in past}
    words = (*(f"{m.of} has no stable temperature ({m.load})" for m in endless), *(f"{m.of} melts" for m in molten))
    return [*bounds.values(), *dict.fromkeys(words)]


def record(found: LimitsAnswer) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {
        "verdict": found.standing,
        "limits": [_record(v) for v in found.verdicts],
        "not_judged": found.missing,
        "does_not_hold": list(found.spoiling),
        "would_help": [
            {"change": c.what, "changes_value_by": _number(c.by), "to": _number(c.to)} for c in found.helps
        ],
    }


def table(found: LimitsAnswer) -> TextTable:
    """Every verdict with its margin; of one figure at many frequencies the worst."""
    columns = ("limit", "of", "value", "+-", "limit", "margin", "verdict")
    alike: dict[tuple[str, str, str], list[Verdict]] = {}
    for v in found.verdicts:
        alike.setdefault((v.limit, v.found.of, v.found.load), []).append(v)
    rows = [row for same in alike.values() for row in (map(_row, same) if len(same) <= MANY else [_worst(same)])]
    return TextTable("Limits, with the error bars taken into account", columns, tuple(rows))


def sentences(found: LimitsAnswer) -> Iterator[str]:
    """The verdict as a whole, what was judged, what would help."""
    yield _overall(found.verdicts, found.missing, found.spoiling)
    if found.cycles and any(f"temperature_{kind}" in found.stated for kind in KIND_NEEDS):
        cycles = ", ".join(found.cycles)
        both = f"the worse of the steady one at the circuits' currents and of the peaks of {cycles}"
        alone = f"the peaks of {cycles}, not the steady ones, since the circuits' currents come and go"
        yield f"temperatures judged: {both if found.always_on else alone}"
    if "fault_temperature" in found.stated:
        yield "fault temperature judged: the mean over each conductor, no heat given away"
    if found.tightest is not None and found.tried:
        worst = found.tightest
        endless = worst.found.endless and worst.limit.startswith("temperature_") and found.holds
        if endless:
            yield f"what would help {_name(worst)}: {', or '.join(h.words for h in found.holds)} at most"
        if found.helps or not endless:
            yield _helps(worst, found.helps, found.tried)


def warnings(found: LimitsAnswer) -> Iterator[str]:
    """Limits that could not be judged, and those that depend on where currents return."""
    for key in found.missing:
        yield f"[limits] {key}: nothing to judge by; {lacking(key, found.kinds, found.held)}"
    depends = [key for key in RETURN_DEPENDENT if key in found.stated]
    if depends and found.returns_outside:
        # inductances of currents that return outside the section are no property of it
        yield (
            f"[limits] {', '.join(depends)}: the currents do not sum to zero, so the figures depend on where they "
            "return; these verdicts hold for a return on the circle around the section that is given with them only"
        )
    if ALL_ROUND in found.stated and found.returns_outside:
        yield (
            f"[limits] {ALL_ROUND}: the currents do not sum to zero, so the field depends on where they return; the "
            "verdict holds for a return all round, further away than the points (see the chapter on the stray field)"
        )


def lacking(key: str, kinds: frozenset[str], held: frozenset[str] = frozenset()) -> str:
    """What a limit needs to be judged.

    Examples
    --------
    >>> lacking("temperature_bare", frozenset({"bare"}), frozenset({"bare"}))
    'every bare conductor is held at a temperature that the case states: leave the limit out, or do not hold one'
    """
    kind = next((kind for kind in KIND_NEEDS if key == f"temperature_{kind}"), None)
    if kind is not None and kind not in kinds:
        return f"no conductor is {kind}" + (f": name them in {kind}" if kind in ("insulated", "touchable") else "")
    if kind is not None and kind in held:
        why = f"every {kind} conductor is held at a temperature that the case states"
        return f"{why}: leave the limit out, or do not hold one"
    return f"it needs {NEEDS.get(key, 'a circuit with a current')}"


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
        kept = [v.limit for v in found if v.standing == "pass"]
        also = f"; {_and(kept)} {'hold' if len(set(kept)) > 1 else 'holds'} at any temperature" if kept else ""
        which = "the limit cannot" if count == 1 else f"{_none_of(open_, count)} can"
        return f"{lead}so {which} be said to hold{also}"
    if open_:
        what = "the lay of strands decides" if all(v.by_lay for v in open_) else "the error bar straddles"
        straddled = f"{what} {_count(open_)} of them, so nobody can tell: {_listed(open_)}"
        known = all(v.found.known for v in open_)
        return f"no limit fails, but {straddled}" if known else f"nobody can tell: {_listed(open_)}"
    rest = f"; {len(missing)} could not be judged" if missing else ""
    held = "the limit holds, error bar" if count == 1 else f"all {count} limits hold, error bars"
    return f"{held} included{rest}"


def _count(found: Sequence[Verdict]) -> int:
    """How many limits, whatever the number of figures each is set on."""
    return len({v.limit for v in found})


def _none_of(found: Sequence[Verdict], count: int) -> str:
    return f"none of the {count} limits" if _count(found) == count else f"no limit on {_and([v.limit for v in found])}"


def _and(keys: Sequence[str]) -> str:
    return ", ".join(key.replace("_", " ") for key in dict.fromkeys(keys))


def _listed(found: Sequence[Verdict]) -> str:
    """The worst figure of each limit, and how many more there are."""
    parts = []
    for key in dict.fromkeys(v.limit for v in found):
        alike = sorted((v for v in found if v.limit == key), key=lambda v: v.rank)
        more = f" (and {len(alike) - 1} more)" if len(alike) > 1 else ""
        parts.append(f"{_against(alike[0])}{more}")
    return "; ".join(parts)


def _against(v: Verdict) -> str:
    text = shown(v)
    bars = [f"+- {text.bar}"] if text.bar else []
    if v.by_lay:
        bars.append(f"as bundles are laid up to {in_words(v, v.found.highest)}")
    bar = f" ({', '.join(bars)})" if bars else ""
    return f"{_name(v)}: {text.value}{bar} against {text.allowed}"


def _helps(tightest: Verdict, helps: Sequence[DesignChange], tried: Sequence[str]) -> str:
    if not helps:
        return f"no change that was tried moves {_name(tightest)}: {', '.join(tried)}"
    lower, higher = (
        ", ".join(f"{c.what} {_effect(c, tightest)}" for c in helps[:SHOWN] if (c.by > 0) == raises)
        for raises in (False, True)
    )
    if not lower:
        return f"no change that was tried lowers {_name(tightest)} (computed): {higher}"
    return f"what would help {_name(tightest)} most (computed): {lower}{f'; {higher}' if higher else ''}"


def _effect(change: DesignChange, tightest: Verdict) -> str:
    if not math.isfinite(change.by):
        return f"brings it to {in_words(tightest, change.to)}"
    return f"{'lowers' if change.by < 0 else 'raises'} it by {change_in_words(tightest, abs(change.by))}"


def _name(v: Verdict) -> str:
    of = f" {'at' if v.limit in ('loss', 'waste') else 'of'} {_of(v)}" if _of(v) else ""
    return f"{v.limit.replace('_', ' ')}{of}"


def _of(v: Verdict) -> str:
    """What the figure belongs to, and under which load."""
    return ", ".join(filter(None, (v.found.label, v.found.load)))


def _worst(same: Sequence[Verdict]) -> tuple[str, ...]:
    limit, of, *rest = _row(min(same, key=lambda v: v.rank))
    return limit, f"{of} (worst of {len(same)})", *rest


def _row(v: Verdict) -> tuple[str, ...]:
    text = shown(v)
    return (
        v.limit.replace("_", " "),
        _of(v) or "-",
        text.value,
        table_bar(v),
        text.allowed,
        f"{'-' if -math.inf < v.margin < 0 else ''}{text.margin}",
        v.standing,
    )


def _record(v: Verdict) -> dict[str, Json]:
    return {
        "limit": v.limit,
        "of": v.found.label,
        "load": v.found.load or None,
        "unit": v.found.unit,
        "value": _number(v.found.value),
        "error": _number(v.found.error),
        "as_laid_up_to": _number(v.found.value + v.found.above) if v.found.above else None,
        "allowed": v.allowed,
        "margin": _number(v.margin),
        "verdict": v.standing,
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None
