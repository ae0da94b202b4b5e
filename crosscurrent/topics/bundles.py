"""The chapter "bundles": strands, sizes and filling of every bundle, and what was taken by trade practice."""

from __future__ import annotations

from collections.abc import Iterator

from crosscurrent.casefile.bundles import BundleConductor
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.bundles import BundleAnswer, record, sentences, table, warnings
from crosscurrent.solved import SolvedCase


def chapter(solved: SolvedCase) -> Chapter | None:
    """One line for every bundle; None where there is none."""
    rows = [row for row in solved.case.data.conductor if isinstance(row, BundleConductor)]
    if not rows:
        return None
    found = [_answer(solved, row) for row in rows]
    told = tuple(sentences(found)), tuple(warnings(found))
    return Chapter("bundles", "Bundles of strands", record(found), (table(found),), *told)


def _answer(solved: SolvedCase, row: BundleConductor) -> BundleAnswer:
    sizes, highest = row.sizes, max(solved.solutions)
    conductors = [c for c in solved.case.problem().conductors if c.name in row.copies]
    metal, temperature = conductors[0].material, conductors[0].temperature
    strands = row.laid
    conductivity = metal.conductivity_at(temperature) * row.lengthened  # of the metal itself
    currents = [max(_currents(solved, frequency, row), default=0.0) for frequency in solved.solutions]
    return BundleAnswer(
        row.name,
        strands,
        sizes.insulated,
        row.draw().area,
        sizes.outer,
        row.serving,
        row.is_resolved,
        max(currents) or None,
        strands.resistance(conductivity),
        metal.skin_depth(highest, temperature) / row.lengthened**0.5,
        highest,
        sizes.assumed,
    )


def _currents(solved: SolvedCase, frequency: float, row: BundleConductor) -> Iterator[float]:
    """What a strand carries on average in every copy [A rms]."""
    point = solved.at(frequency)
    for names in row.whole.values():
        yield abs(sum(point.conductors[name].current for name in names)) / row.count
