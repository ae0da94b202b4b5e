"""Every limit against every figure it is set on, and what keeps the figures of a case from holding."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from crosscurrent.casefile.tables.limits import LimitsTable
from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.answers.limits import Standing, Verdict
from crosscurrent.postprocess.answers.metal_limits import (
    TEMPERATURES,
    BrokenBound,
    broken_bounds,
    nearly_broken,
    of_all,
)
from crosscurrent.postprocess.topics.limits import spoiling
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.heat.balance import CEILING

from .limits_figures import Found, figures_of, in_service, measured_by
from .limits_kinds import KINDS

# limits on figures that hold at whatever temperature it settles
COLD = ("current", "inductance", "leakage", "force", "hoop_stress", "flux_density", "field", "mass")
OF_METAL = (*(f"temperature_{kind}" for kind in KINDS), "fault_temperature")


def verdicts(asked: LimitsTable, solved: SolvedCase, others: Sequence[Chapter]) -> list[Verdict]:
    """Every limit against every figure it is set on; of a conductor's temperatures against the worst.

    Where a metal of the section melts, stops being magnetic or has no stable temperature, the figures are those of a
    section that will not be: no verdict is then better than "cannot tell". A section that only has no stable
    temperature will carry less current: what does not depend on temperature is judged all the same.
    """
    measured = measured_by(others)
    past, endless, molten = _spoilt(solved, measured)
    changed, in_doubt = bool(past or molten), bool(past or molten or endless)
    found: list[Verdict] = []
    for key, allowed in asked.stated.items():
        best: Standing = "cannot tell" if changed or (in_doubt and key not in COLD) else "pass"
        rows = [Verdict(key, allowed, figure, best) for figure in figures_of(key, asked, solved, measured)]
        found += _worst([_of_metal(v, solved) for v in rows]) if key in OF_METAL else rows
    return found


def spoilt(solved: SolvedCase, others: Sequence[Chapter]) -> list[str]:
    """What keeps the figures of a case from holding, in words: metals beyond their bounds, no stable temperature."""
    return spoiling(*_spoilt(solved, measured_by(others)))


def ruined(solved: SolvedCase, others: Sequence[Chapter]) -> list[str]:
    """What in words lets a case not be at all: no stable temperature in service, metal that melts."""
    past, endless, molten = _spoilt(solved, measured_by(others))
    return spoiling([(m, bound) for m, bound in past if bound.melts], endless, molten)


def _spoilt(
    solved: SolvedCase, measured: Found
) -> tuple[list[tuple[Measured, BrokenBound]], list[Measured], list[Measured]]:
    """Temperatures past a bound of their metal, those in service without an end, and what a fault melts."""
    past = broken_bounds(solved.case.problem().conductors, of_all(measured, TEMPERATURES))
    endless = [m for m in in_service(solved, measured) if m.endless]
    return past, endless, [m for m in measured.get("fault_temperature", []) if m.endless]


def is_steady(others: Sequence[Chapter]) -> bool:
    """Whether the losses are those of temperatures that the cooling keeps up, where the case asks for that."""
    return all(m.value < float("inf") for m in measured_by(others).get("temperature", []))


def _worst(found: Sequence[Verdict]) -> Iterator[Verdict]:
    """One of each conductor."""
    for name in dict.fromkeys(v.found.of for v in found):
        yield min((v for v in found if v.found.of == name), key=lambda v: v.rank)


def _of_metal(v: Verdict, solved: SolvedCase) -> Verdict:
    """A temperature at which the metal melts has failed; one that may come to that, or to the ceiling, is not sure."""
    conductors = solved.case.problem().conductors
    if any(b.melts for _, b in broken_bounds(conductors, [v.found])):
        return replace(v, at_best="fail")
    if nearly_broken(conductors, [v.found]) or (v.limit != "fault_temperature" and _too_hot(v.found)):
        return replace(v, at_best="cannot tell")
    return v


def _too_hot(found: Measured) -> bool:
    """Whether it may lie where metal data are not trusted."""
    return found.known and found.value + found.error >= CEILING
