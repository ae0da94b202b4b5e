"""What would help, from slopes: where the figure of a limit has an exact one, no changed case is solved."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.model import CaseData
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.postprocess.topics.limits import DesignChange
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.ring_forces import body_forces
from crosscurrent.solver.field.slopes import Slope
from crosscurrent.solver.field.solution import Solution

from .field_slopes import field_slopes
from .limits_variants import LESS, STEP, changed

HAIR = 1e-6  # relative change of what a slope is taken over


def by_slopes(solved: SolvedCase, tightest: Verdict, plain: CaseData) -> list[DesignChange] | None:
    """How each change moves loss, R, L or force at stated temperatures; None of figures without an exact slope.

    A figure is taken to go with a power of what is changed, as its slope says: exact for the loss over a current.
    """
    solution = solved.solutions.get(tightest.found.frequency) if tightest.found.frequency is not None else None
    data = solved.case.data
    along = tightest.limit == "force" and data.symmetry == "axial" and not (data.cooling or data.water)
    if solution is None or not (has_slope(tightest.limit, data) or (along and not _at_fault(data))):
        return None
    together = _of_body(tightest.found.of, solution) if along else ()
    near = dict(changed(solved.case, plain, HAIR))
    sound = [what for what, larger in changed(solved.case, plain) if _is_sound(_case(solved, larger))]
    changes = [Change(what, _case(solved, near[what]).problem(), HAIR) for what in sound]
    try:
        found = field_slopes(solved.case, solution, changes, each=tightest.limit == "force", together=together)
    except CrosscurrentError:  # a part that gets other sides
        return None
    moved = [_moved(slope, solved, tightest, together) for slope in found]
    return moved if all(math.isfinite(one.to) for one in moved) else None


def has_slope(limit: str, data: CaseData) -> bool:
    """Whether the figure of a limit has an exact slope: at stated temperatures and currents, forces those in service.

    Round an axis a limit on force is on that of all turns of a coil, which slopes of single turns are not.
    """
    if data.cooling or data.water:
        return False
    alone = len((*data.circuit, *data.coil)) == 1  # else currents of others are in the figure at the terminals
    if limit == "inductance" or (limit == "resistance" and alone):
        return True
    if data.symmetry == "axial" and limit == "force":
        return False
    return limit == "loss" or (limit == "force" and not _at_fault(data))


def _at_fault(data: CaseData) -> bool:
    """Whether forces are those of a fault."""
    return data.fault is not None or (data.supports is not None and data.supports.fault_current is not None)


def _of_body(name: str, solution: Solution) -> tuple[int, ...]:
    """The conductors of a body round an axis."""
    members = next(body.members for body in body_forces(solution) if body.name == name)
    return tuple(solution.problem.names.index(member) for member in members)


def rate_of(limit: str, of: str, slope: Slope, solved: SolvedCase) -> float:
    """The slope of the figure of a limit; nan of a force that does not stand out from its bar."""
    if limit == "loss":
        return slope.loss
    problem = solved.case.problem()
    if limit in ("resistance", "inductance"):
        each = slope.resistance if limit == "resistance" else slope.inductance
        return float(each[[c.name for c in problem.circuits].index(of)])
    return math.nan if slope.own is None else float(slope.own.forces[[c.name for c in problem.conductors].index(of)])


def _is_sound(case: Case) -> bool:
    """Whether no parts would overlap."""
    try:
        return bool(case.problem().section.parts)
    except CrosscurrentError:
        return False


def _case(solved: SolvedCase, data: CaseData) -> Case:
    return replace(solved.case, data=data)


def _moved(slope: Slope, solved: SolvedCase, tightest: Verdict, together: Sequence[int]) -> DesignChange:
    if together and slope.own is not None:
        rate = float(slope.own.forces[list(together)].sum())
    else:
        rate = rate_of(tightest.limit, tightest.found.of, slope, solved)
    tenth = -math.log1p(-STEP) if slope.key.startswith(LESS) else math.log1p(STEP)
    before = tightest.found.value
    return DesignChange(slope.key, before, before * math.exp(rate / before * tenth))
