"""The chapter "files": what the conductors of a case took from files."""

from __future__ import annotations

from pathlib import Path

from crosscurrent.casefile.conductors_from_files import FileConductor
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.files import OutlinesAnswer, record, table
from crosscurrent.solved import SolvedCase


def chapter(solved: SolvedCase) -> Chapter | None:
    """One line for every conductor that comes from a file; None where none does."""
    rows = [(row, row.found()) for row in solved.case.data.conductor if isinstance(row, FileConductor)]
    if not rows:
        return None
    found = [OutlinesAnswer(row.name, Path(row.file).name, f.group, f.shapes, f.digest) for row, f in rows]
    return Chapter("files", "Outlines from files", record(found), (table(found),))
