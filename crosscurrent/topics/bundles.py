"""The chapter "bundles": strands, insulation and filling of every bundle, and what was taken by trade practice."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from crosscurrent.casefile.bundles import BundleConductor
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.postprocess.topics.bundles import BundleAnswer, by_cause, record, sentences, table
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.solution import Solution

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def chapter(solved: SolvedCase) -> Chapter | None:
    """One line for every bundle; None where there is none."""
    rows = [row for row in solved.case.data.conductor if isinstance(row, BundleConductor)]
    if not rows:
        return None
    found = [_answer(solved, row) for row in rows]
    asked = [(solved.solutions[f], solved.at(f)) for f in solved.asked]
    said = (*(line for _, point in asked for line in by_cause(point)), *sentences(found))
    drawn = {
        f"loss-density-{concise(point.frequency, 'Hz').replace(' ', '')}": partial(
            _drawn, solution, point, solved.case.title
        )
        for solution, point in asked
        if point.frequency
    }
    return Chapter("bundles", "Bundles of strands", record(found), (table(found),), said, pictures=drawn)


def _drawn(solution: Solution, point: Answers, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.loss_map import loss_map

    return loss_map(solution, point, title)


def _answer(solved: SolvedCase, row: BundleConductor) -> BundleAnswer:
    sizes = row.sizes
    first = next(c for c in solved.case.problem().conductors if c.name in row.copies)
    return BundleAnswer(
        row.name,
        row.laid,
        sizes.insulated,
        row.draw().area,
        sizes.outer,
        row.serving,
        row.is_resolved,
        row.laid.resistance(row.lengthened * first.material.conductivity_at(first.temperature)),
        sizes.assumed,
    )
