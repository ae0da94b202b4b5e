"""The chapter "bundles": strands, insulation and filling of every bundle, and what was taken by trade practice."""

from __future__ import annotations

from crosscurrent.casefile.bundles import BundleConductor
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.bundles import BundleAnswer, record, sentences, table
from crosscurrent.solved import SolvedCase


def chapter(solved: SolvedCase) -> Chapter | None:
    """One line for every bundle; None where there is none."""
    rows = [row for row in solved.case.data.conductor if isinstance(row, BundleConductor)]
    if not rows:
        return None
    found = [_answer(solved, row) for row in rows]
    return Chapter("bundles", "Bundles of strands", record(found), (table(found),), tuple(sentences(found)))


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
