"""The run of a case: read, solve, answer, write. One function for each step."""

from __future__ import annotations

import hashlib
import logging
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from .. import __version__
from ..postprocess.answers import Answers, CircuitAnswer, ConductorAnswer, answers
from ..postprocess.cautions import cautions
from ..postprocess.chapter import Chapter
from ..postprocess.results import Heading, as_csv, as_json
from ..postprocess.tables import circuit_table, conductor_table
from ..postprocess.units import concise
from ..postprocess.validity import validity_warnings
from ..solver.solve import Progress, Solution, solve
from .case import Case
from .chapters import chapters_of
from .folders import check_folder, whole_folder
from .reader import read_case
from .reporting import report_of

log = logging.getLogger("crosscurrent")


@dataclass(frozen=True, eq=False, repr=False)
class Result:
    """A solved case.

    Attributes
    ----------
    case : Case
    points : tuple of Answers
        In the order of case.frequencies.
    solutions : mapping of frequency [Hz] to Solution
        The fields of the frequencies that are drawn.
    warnings : tuple of str
    """

    case: Case
    points: tuple[Answers, ...]
    solutions: Mapping[float, Solution]
    warnings: tuple[str, ...]

    def at(self, frequency: float) -> Answers:
        """The answers at one of the case's frequencies [Hz]; KeyError for any other."""
        for point in self.points:
            if point.frequency == frequency:
                return point
        known = ", ".join(f"{p.frequency:g}" for p in self.points)
        raise KeyError(f"expected one of the case's frequencies ({known} Hz), found {frequency:g} Hz")

    @property
    def circuits(self) -> dict[str, CircuitAnswer]:
        """The circuits at the first frequency."""
        return self.points[0].circuits

    @property
    def conductors(self) -> dict[str, ConductorAnswer]:
        """The conductors at the first frequency."""
        return self.points[0].conductors

    @cached_property
    def heading(self) -> Heading:
        """Title, version, hash, warnings and cautions, as they stand above every output."""
        conductors, circuits = self.case.problem().conductors, self.case.problem().circuits
        notes = cautions(
            self.points,
            parallel=any(len(group) > 1 for c in circuits for group in (c.out, c.back)),
            magnetic=any(m.permeability > 1.5 for c in conductors for m in c.metals),
            plated=any(c.part.layers for c in conductors),
        )
        digest = hashlib.sha256(self.case.source).hexdigest()
        warnings = (*self.warnings, *(text for chapter in self.chapters for text in chapter.warnings))
        notes = tuple(dict.fromkeys((*notes, *(text for chapter in self.chapters for text in chapter.cautions))))
        return Heading(self.case.title, __version__, digest, self.case.length, warnings, notes)

    @cached_property
    def chapters(self) -> tuple[Chapter, ...]:
        """Answers to the further questions of the case."""
        return chapters_of(self)

    def draw(self, folder: str | Path) -> list[Path]:
        """Draw all pictures into a folder, as PNG and SVG, and return their paths."""
        from ..postprocess.pictures import draw_pictures, save

        Path(folder).mkdir(parents=True, exist_ok=True)
        drawn: list[Path] = []
        for frequency, solution in self.solutions.items():
            drawn += draw_pictures(solution, self.at(frequency), self.case.title, folder=Path(folder))
        for chapter in self.chapters:
            for stem, figure in chapter.pictures.items():
                drawn += save(figure(), Path(folder) / stem)
        return drawn

    def _repr_html_(self) -> str:
        parts = []
        for point in self.points[:4]:
            parts += [circuit_table(point).html(), conductor_table(point).html()]
        return "".join([*parts, *(table.html() for chapter in self.chapters for table in chapter.tables)])


def run_case(
    path: Path, out: Path | None, progress: Progress | None = None, *, report: bool = False
) -> tuple[Result, Path]:
    """Read a case file, solve it, and leave its results in a folder.

    Parameters
    ----------
    path : Path
    out : Path or None
        Folder for the results; None: beside the case file, under its name.
    progress : callable, optional
    report : bool
        Also leave report.html, and report.pdf where the extra for it is installed.

    Returns
    -------
    result, folder : Result, Path

    Raises
    ------
    CaseError
        The case is at fault; nothing is written.
    OutputError
        The folder cannot be used; nothing is solved.
    """
    case = read_case(path)
    folder = out if out is not None else path.with_suffix("")
    check_folder(folder)
    result = solve_case(case, progress=progress)
    write_result(result, folder, progress=progress, report=report)
    return result, folder


def solve_case(case: Case, *, progress: Progress | None = None) -> Result:
    """Solve a case at all its frequencies."""
    problem, frequencies = case.problem(), case.frequencies
    drawn = _drawn(case)
    points, solutions, noted = [], {}, []
    for number, frequency in enumerate(frequencies):

        def step(what: str, done: float, number: int = number, frequency: float = frequency) -> None:
            if progress:
                progress(f"{concise(frequency, 'Hz')}: {what}", (number + min(done, 1.0)) / len(frequencies))

        solution = solve(problem, frequency, accuracy=case.accuracy, progress=step)
        points.append(answers(solution))
        noted += [(frequency, text) for text in (*solution.warnings, *validity_warnings(solution, case.length))]
        if frequency in drawn:
            solutions[frequency] = solution
    return Result(case, tuple(points), solutions, (*case.warnings, *_collected(noted)))


def _drawn(case: Case) -> set[float]:
    """Frequencies that get pictures: those asked for one by one, else the ends and middle of the sweep."""
    every = case.frequencies
    return set(case.data.frequency.at) or {every[0], every[len(every) // 2], every[-1]}


def _collected(noted: list[tuple[float, str]]) -> list[str]:
    """Warnings that differ only in their numbers, once, with the frequencies they hold for."""
    kinds: dict[str, list[tuple[float, str]]] = {}
    for frequency, text in noted:
        kinds.setdefault(re.sub(r"[0-9][0-9.e+-]*", "#", text), []).append((frequency, text))
    lines = []
    for same in kinds.values():
        more = f" (and at {len(same) - 1} more frequencies up to {concise(same[-1][0], 'Hz')})" if len(same) > 1 else ""
        lines.append(f"{concise(same[0][0], 'Hz')}: {same[0][1]}{more}")
    return lines


def write_result(result: Result, folder: Path, *, progress: Progress | None = None, report: bool = False) -> None:
    """Write every file of a result: the folder appears whole, or not at all.

    Earlier results in the same folder are replaced, never mixed with the new ones.
    """
    from ..postprocess.fieldfile import write_series

    with whole_folder(folder) as fresh:
        if progress:
            progress("pictures", 0.95)
        (fresh / "results.json").write_text(as_json(result.heading, result.points, result.chapters), encoding="utf-8")
        (fresh / "table.csv").write_text(as_csv(result.heading, result.points), encoding="utf-8")
        (fresh / "case.toml").write_bytes(result.case.source)
        for chapter in result.chapters:
            for name, content in chapter.files.items():
                (fresh / name).write_text(content, encoding="utf-8")
        pictures = result.draw(fresh / "pictures")
        if report:
            _write_report(result, pictures, fresh)
        write_series(result.solutions, fresh)


def _write_report(result: Result, pictures: list[Path], folder: Path) -> None:
    from ..postprocess.report import ReportError, as_html, as_pdf

    html = as_html(report_of(result, pictures))
    (folder / "report.html").write_text(html, encoding="utf-8")
    try:
        (folder / "report.pdf").write_bytes(as_pdf(html))
    except ReportError as error:
        log.warning("%s", error)
