"""A meter's file laid over a case, without the rest of a run: read, say what was recognised, calculate, leave it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.reader import read_case
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.solver.field.solve import Progress
from crosscurrent.topics.measured import chapter_of, from_file

from .folders import whole_folder


def lay_over(
    case: Case | str | Path, file: str | Path, *, told: Callable[[str], None] | None = None,
    progress: Progress | None = None,
) -> Chapter:  # fmt: skip
    """What the file of a meter says of a case.

    Parameters
    ----------
    case : Case, str or Path
    file : str or Path
        CSV or Touchstone.
    told : callable, optional
        Told what was recognised, line by line, before anything is calculated.
    progress : callable, optional

    Raises
    ------
    CaseError
        The case is at fault, or does not say which circuit was measured, or how long the run was.
    MeterFileError
        The file is at fault, or can be read in two ways.
    MissingExtra
        What reads Touchstone files is not installed.
    """
    if not isinstance(case, Case):
        case = read_case(case)
    found = from_file(case, Path(file))
    if told is not None:
        for line in found.recognised:
            told(line)
    return chapter_of(case, found, progress)


def write_measured(chapter: Chapter, folder: Path) -> None:
    """Leave measured.json, measured.csv and the picture in a folder, whole or not at all.

    Raises
    ------
    OutputError
        The folder cannot take them.
    """
    from crosscurrent.postprocess.pictures import own_style, save

    said = {key: list(getattr(chapter, key)) for key in ("sentences", "warnings", "cautions")}
    with whole_folder(folder) as fresh:
        text = json.dumps({"format": "crosscurrent-measured/1", **chapter.record, **said}, indent=1)
        (fresh / "measured.json").write_text(text + "\n", encoding="utf-8")
        for name, content in chapter.files.items():
            (fresh / name).write_text(content, encoding="utf-8")
        (fresh / "pictures").mkdir()
        with own_style():
            for stem, draw in chapter.pictures.items():
                save(draw(), fresh / "pictures" / stem)
