"""What would help, from slopes: where the figure of a limit has an exact one, no changed case is solved."""

from __future__ import annotations

import math

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.model import CaseData
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.postprocess.topics.limits import DesignChange
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.slopes import Slope, slopes

from .limits_variants import STEP, changed

HAIR = 1e-6  # relative change of what a slope is taken over


def by_slopes(solved: SolvedCase, tightest: Verdict, plain: CaseData) -> list[DesignChange] | None:
    """How each change moves the loss or an inductance at stated temperatures; None of figures without an exact slope.

    A figure is taken to go with a power of what is changed, as its slope says: exact for the loss over a current.
    """
    solution = solved.solutions.get(tightest.found.frequency) if tightest.found.frequency is not None else None
    data = solved.case.data
    if tightest.limit not in ("loss", "inductance") or solution is None or data.cooling or data.water:
        return None
    near = dict(changed(solved.case, plain, HAIR))
    sound = [what for what, larger in changed(solved.case, plain) if _is_sound(_case(solved, larger))]
    changes = [Change(what, _case(solved, near[what]).problem(), HAIR) for what in sound]
    try:
        found = slopes(solution, changes)
    except CrosscurrentError:  # a part that gets other sides
        return None
    return [_moved(slope, solved, tightest) for slope in found]


def _is_sound(case: Case) -> bool:
    """Whether no parts would overlap."""
    try:
        return bool(case.problem().section.parts)
    except CrosscurrentError:
        return False


def _case(solved: SolvedCase, data: CaseData) -> Case:
    return Case(data, solved.case.source, solved.case.path)


def _moved(slope: Slope, solved: SolvedCase, tightest: Verdict) -> DesignChange:
    names = [c.name for c in solved.case.problem().circuits]
    rate = slope.loss if tightest.limit == "loss" else float(slope.inductance[names.index(tightest.found.of)])
    tenth = -math.log1p(-STEP) if "less" in slope.key else math.log1p(STEP)
    before = tightest.found.value
    return DesignChange(slope.key, before, before * math.exp(rate / before * tenth))
