"""The chapter "files": what the conductors of a case took from files."""

from __future__ import annotations

from pathlib import Path

from crosscurrent.casefile.bundles import BundleConductor
from crosscurrent.casefile.conductors_from_files import FileConductor
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.files import OutlinesAnswer, record, table
from crosscurrent.solved import SolvedCase


def chapter(solved: SolvedCase) -> Chapter | None:
    """One line for every conductor that comes from a file; None where none does."""
    found = [
        OutlinesAnswer(row.name, Path(row.file).name, read.group, read.shapes, read.digest)
        for row in solved.case.data.conductor
        if isinstance(row, FileConductor | BundleConductor) and row.file is not None
        for read in (row.found(),)
    ]
    if not found:
        return None
    return Chapter("files", "Outlines from files", record(found), (table(found),))
