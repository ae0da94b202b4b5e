"""The chapter "limits": what must not be exceeded, whether it holds, and what would help most."""

from __future__ import annotations

from collections.abc import Sequence

from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.limits import LimitsAnswer, record, sentences, table, to_change, warnings
from crosscurrent.solved import SolvedCase

from .duty import always_on
from .limits_changes import Resolve, helpful
from .limits_kinds import held_kinds, kinds_of
from .limits_variants import tried
from .limits_verdicts import is_steady, spoilt, verdicts
from .summary import holding_currents


def chapter(solved: SolvedCase, others: Sequence[Chapter], resolve: Resolve) -> Chapter | None:
    """The verdict on every limit, from the answers and the other chapters; `resolve` answers a changed case."""
    case, asked = solved.case, solved.case.data.limits
    if asked is None:
        return None
    judged = verdicts(asked, solved, others)
    worst = to_change(judged)
    helps = [] if worst is None else helpful(solved, judged, worst, resolve, steady=is_steady(others))
    found = LimitsAnswer(
        asked.stated,
        judged,
        helps,
        spoilt(solved, others),
        frozenset(kind for kinds in kinds_of(case, asked).values() for kind in kinds),
        held_kinds(case, asked),
        [duty.name for duty in case.data.duty if duty.off is not None],
        always_on(case),
        any(point.returns_outside for point in solved.points),
        tried(case),
        tuple(holding_currents(solved)),
    )
    return Chapter(
        "limits",
        "Limits and verdict",
        record(found),
        (table(found),),
        tuple(sentences(found)),
        tuple(warnings(found)),
    )
