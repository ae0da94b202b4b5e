"""Whether the figures beside a settled section keep the limits of the case, each with its bar."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.tables.limits import LimitsTable
from crosscurrent.postprocess.answers.answers import answers
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.postprocess.topics.limits import lacking
from crosscurrent.postprocess.topics.limits_shown import shown
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.solution import Solution
from crosscurrent.topics import coils, cooling, stray_field, supports, tank, water, work_pieces
from crosscurrent.topics.cooling import states_of
from crosscurrent.topics.limits_kinds import KINDS, held_kinds, kinds_of
from crosscurrent.topics.limits_verdicts import verdicts

from .labels import in_titles
from .words import Plain

OF_METAL = tuple(f"temperature_{kind}" for kind in KINDS)
IN_TIME = "Run follows it in time and judges it"
# chapters whose figures some limits are set on; air and water decide whether any figure holds
NEEDED: tuple[tuple[Callable[[SolvedCase], Chapter | None], frozenset[str]], ...] = (
    (coils.chapter, frozenset({"current", "voltage", "leakage"})),
    (work_pieces.chapter, frozenset({"waste", "piece_power"})),
    (tank.chapter, frozenset({"tank_voltage", "reactive_power"})),
    (supports.chapter, frozenset({"force"})),
    (stray_field.chapter, frozenset({"field"})),
)


def judged(case: Case, solution: Solution) -> list[Plain]:
    """Every limit beside the worst of the figures of one name that it is set on, at the frequency that was solved.

    Returns
    -------
    list of dict
        "limit" (its key), "name" (in the trade's words), "of" (conductor, circuit or place), "value", "bar", "allowed"
        as text, "standing" ("pass", "fail", "cannot tell"); or "why" where nothing is judged here.

    Examples
    --------
    >>> from crosscurrent.api import case, circuit, conductor
    >>> from crosscurrent.solver.field.solve import solve
    >>> rod = conductor("rod", "round", material="copper", diameter="25 mm")
    >>> tight = case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["50 Hz"], limits={"loss": "1 mW/m"})
    >>> [(v["name"], v["standing"]) for v in judged(tight, solve(tight.problem(), 50.0))]
    [('loss', 'pass')]
    """
    asked = case.data.limits
    if asked is None or not asked.stated:
        return []
    frequency = solution.frequency
    listed = case.data.frequency.model_copy(update={"at": (frequency,), "sweep": None})
    solutions = {frequency: solution}
    solved = SolvedCase(
        case=replace(case, data=case.data.model_copy(update={"frequency": listed})), points=(answers(solution),),
        solutions=solutions, states=states_of(case, solutions),
    )  # fmt: skip
    later = _later(solved.case)
    asking = (cooling.chapter, water.chapter, *(ask for ask, keys in NEEDED if keys & asked.stated.keys()))
    others = [chapter for ask in asking if (chapter := ask(solved)) is not None]
    found = [v for v in verdicts(asked, solved, others) if v.limit not in later]
    return [*_worst(found), *_unjudged(solved.case, asked, found, later)]


def _later(case: Case) -> frozenset[str]:
    """Limits on what is only known when the case has been followed in time."""
    force = {"force"} if case.data.fault else set()
    return frozenset({"fault_temperature", "piece_temperature", *force, *(OF_METAL if case.data.duty else ())})


def _worst(found: list[Verdict]) -> list[Plain]:
    alike: dict[tuple[str, str], list[Verdict]] = {}
    for v in found:
        alike.setdefault((v.limit, v.found.of), []).append(v)
    return [_row(min(same, key=lambda v: v.rank)) for same in alike.values()]


def _row(v: Verdict) -> Plain:
    text = shown(v)
    return {
        "limit": v.limit, "name": named(v.limit), "of": v.found.of, "value": text.value, "bar": text.bar,
        "allowed": text.allowed, "standing": v.standing,
    }  # fmt: skip


def _unjudged(case: Case, asked: LimitsTable, found: list[Verdict], later: frozenset[str]) -> list[Plain]:
    kinds = frozenset(kind for own in kinds_of(case, asked).values() for kind in own)
    known = {v.limit for v in found}
    return [
        {"limit": key, "name": named(key), "of": "", "why": IN_TIME if key in later else _lacks(key, kinds, held)}
        for held in (held_kinds(case, asked),)
        for key in asked.stated
        if key not in known
    ]


def _lacks(key: str, kinds: frozenset[str], held: frozenset[str]) -> str:
    """What it needs, in the words of the forms; the frequency looked at is always there."""
    return in_titles(lacking(key, kinds, held)).replace(", and a frequency listed in at", "")


def named(limit: str) -> str:
    """What the trade calls the figure of a limit.

    Examples
    --------
    >>> named("temperature_bare"), named("voltage_drop")
    ('temperature', 'voltage drop')
    """
    return "temperature" if limit in OF_METAL else limit.replace("_", " ")
