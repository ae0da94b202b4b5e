"""Enamel of strands that is too hot: told in the chapter of bundles, once all temperatures are known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from crosscurrent.casefile.bundles import BundleConductor
from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.topics.enamel import enamel_warnings
from crosscurrent.solved import SolvedCase

from .limits_figures import in_service, measured_by


def with_enamel(solved: SolvedCase, others: Sequence[Chapter]) -> tuple[Chapter, ...]:
    """The same chapters, that of bundles with what their enamel does not bear.

    Only strands whose enamel is stated, or taken by trade practice: of an `insulated_diameter` nobody knows what it is.
    """
    if all(chapter.key != "bundles" for chapter in others):
        return tuple(others)
    measured = measured_by(others)
    service, faults = in_service(solved, measured), measured.get("fault_temperature", ())
    found: list[str] = []
    for row in solved.case.data.conductor:
        if isinstance(row, BundleConductor) and row.insulated_diameter is None:
            names = {*row.copies, *(part.name for part in row.envelope())}
            stated = [
                Measured(c.temperature, 0.0, "degC", row.name, "as stated")
                for c in solved.case.problem().conductors if c.name in names
            ]  # fmt: skip
            lasting = [m for m in service if m.of in names] or stated
            found += enamel_warnings(row.name, lasting, [m for m in faults if m.of in names])
    return tuple(
        replace(chapter, warnings=(*chapter.warnings, *found)) if chapter.key == "bundles" else chapter
        for chapter in others
    )
