"""The run of a case: read, solve, answer, write. One function for each step."""

from __future__ import annotations

import hashlib
import logging
import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from .. import __version__
from ..postprocess.answers import Answers, CircuitAnswer, ConductorAnswer, answers
from ..postprocess.cautions import cautions
from ..postprocess.chapter import Chapter
from ..postprocess.results import Heading, as_csv, as_json, curve
from ..postprocess.tables import html_list, sentences, tables
from ..postprocess.units import concise
from ..postprocess.validity import validity_warnings
from ..solver.solve import Progress, Solution
from ..solver.sweep import Sweep
from .banded import left_out, served, swept
from .case import Case
from .chapters import chapters_of
from .cooling import solved
from .folders import OutputError, check_folder, whole_folder
from .reader import read_case
from .reporting import report_of
from .water import watered

if TYPE_CHECKING:
    from ..postprocess.pictures import Shown

log = logging.getLogger("crosscurrent")
WATCHED = 12  # frequencies of a sweep at which the limits of the picture are looked at
SHOWN = 4  # frequencies whose tables a notebook shows


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
    sweep : Sweep or None
        The reduced model of the sweep, if one serves it.
    """

    case: Case
    points: tuple[Answers, ...]
    solutions: Mapping[float, Solution]
    warnings: tuple[str, ...]
    sweep: Sweep | None = None

    def __repr__(self) -> str:
        return f"<Result of {self.case!r}>"

    def at(self, frequency: float) -> Answers:
        """The answers at one of the case's frequencies [Hz]; KeyError for any other."""
        for point in self.points:
            if point.frequency == frequency:
                return point
        known = ", ".join(concise(p.frequency, "Hz") for p in self.points)
        raise KeyError(f"expected one of the case's frequencies ({known}), found {concise(frequency, 'Hz')}")

    def solution_at(self, frequency: float) -> Solution:
        """The fields at one of the drawn frequencies, or without a new solve at any within the sweep [Hz]."""
        if frequency in self.solutions:
            return self.solutions[frequency]
        if self.sweep and self.sweep.frequency[0] <= frequency <= self.sweep.frequency[-1]:
            return self.sweep.solution_at(frequency)
        known = ", ".join(concise(f, "Hz") for f in self.solutions)
        raise KeyError(
            f"expected a frequency that is drawn ({known}) or lies in a sweep, found {concise(frequency, 'Hz')}"
        )

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

    @property
    def cautions(self) -> tuple[str, ...]:
        """The cautions that belong on these answers."""
        return self.heading.cautions

    @cached_property
    def chapters(self) -> tuple[Chapter, ...]:
        """Answers to the further questions of the case."""
        return chapters_of(self)

    def chapter(self, key: str) -> Chapter:
        """The chapter of that key, such as "temperature", "limits", "ladder"; KeyError where the case has none."""
        found = {chapter.key: chapter for chapter in self.chapters}
        if key not in found:
            raise KeyError(f"expected a chapter of this case ({', '.join(found) or 'it has none'}), found {key!r}")
        return found[key]

    def draw(self, folder: str | Path, *, at: float | None = None) -> list[Path]:
        """Draw all pictures into a folder, as PNG and SVG, and return their paths.

        With `at`, only those of one frequency [Hz], which may be any within a sweep: it takes no new solve.
        """
        from ..postprocess.pictures import draw_pictures, save

        drawn: list[Path] = []
        try:
            Path(folder).mkdir(parents=True, exist_ok=True)
            for frequency in self.solutions if at is None else (at,):
                solution = self.solution_at(frequency)
                found = next((p for p in self.points if p.frequency == frequency), None) or answers(solution)
                drawn += draw_pictures(solution, found, self.case.title, folder=Path(folder))
            for chapter in self.chapters if at is None else ():
                for stem, figure in chapter.pictures.items():
                    drawn += save(figure(), Path(folder) / stem)
        except OSError as error:
            raise OutputError(f"{folder}: no pictures can be written there ({error.strerror})") from None
        return drawn

    def picture(self, name: str = "current-density", *, at: float | None = None) -> Shown:
        """One picture, which shows itself in a notebook.

        Parameters
        ----------
        name : str
            "current-density", "phase", "flux-lines", "along-outline", or that of a chapter's file, such as "sweep".
        at : float, optional
            Frequency [Hz] of one of the former, as for `solution_at`; default the lowest that is drawn.

        Raises
        ------
        KeyError
            No such picture, or no such frequency.
        """
        from ..postprocess.pictures import PICTURES, Shown, picture

        if name in PICTURES:
            solution = self.solution_at(next(iter(self.solutions)) if at is None else at)
            return picture(solution, answers(solution), self.case.title, name)
        others = {stem: draw for chapter in self.chapters for stem, draw in chapter.pictures.items()}
        if name not in others:
            raise KeyError(f"expected the name of a picture ({', '.join([*PICTURES, *others])}), found {name!r}")
        return Shown.of(others[name](), name)

    def curve(self, name: str) -> dict[str, npt.NDArray[np.float64]]:
        """All figures of a circuit, or else conductor, over frequency: arrays under the names of table.csv.

        Such as "frequency_hz", "resistance_ohm_per_m", "inductance_h_per_m", "loss_w_per_m"; KeyError for an unknown
        name.
        """
        known = [*self.circuits, *self.conductors]
        if name not in known:
            raise KeyError(f"expected a circuit or conductor ({', '.join(known)}), found {name!r}")
        return curve(self.points, name, self.case.length)

    def _repr_html_(self) -> str:
        parts = [f"<p><b>{escape(self.case.title)}</b></p>"]
        for point in self.points[:SHOWN]:
            parts += [*(table.html() for table in tables(point, self.case.length)), html_list("", sentences(point))]
        if len(self.points) > SHOWN:
            parts.append(f"<p>... and {len(self.points) - SHOWN} more frequencies in points</p>")
        parts += [chapter.html() for chapter in self.chapters]
        parts += [html_list("Warnings", self.heading.warnings), html_list("Cautions", self.cautions)]
        return "".join(parts)


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


def solve_case(case: Case | str | Path, *, progress: Progress | None = None) -> Result:
    """Solve a case, or the case file of that name, at all its frequencies."""
    if not isinstance(case, Case):
        case = read_case(case)
    found = swept(case, progress and (lambda what, done: progress(f"sweep: {what}", 0.5 * done)))
    known = dict(served(found))
    drawn, watched = _drawn(case), _watched(case)
    points, solutions, noted = [], {}, []
    for number, frequency in enumerate(case.frequencies):
        share = (number / len(case.frequencies), (number + 1) / len(case.frequencies))
        at_once = frequency in known and frequency not in case.data.frequency.at
        solution = known[frequency] if at_once else _single(case, frequency, share, progress)
        if progress and at_once and not number % 10:
            progress(f"{concise(frequency, 'Hz')}: answers", 0.5 + 0.5 * share[0])
        points.append(answers(solution))
        noted += [(frequency, text) for text in solution.warnings]
        if frequency in watched:
            noted += [(frequency, text) for text in validity_warnings(solution, case.length)]
        if frequency in drawn:
            solutions[frequency] = solution
    return Result(case, tuple(points), solutions, (*case.warnings, *left_out(found), *_collected(noted)), found)


def _single(case: Case, frequency: float, share: tuple[float, float], progress: Progress | None) -> Solution:
    """One frequency by itself; `share` is its part of the whole run, from and to."""

    def step(what: str, done: float) -> None:
        if progress:
            progress(f"{concise(frequency, 'Hz')}: {what}", share[0] + (share[1] - share[0]) * min(done, 1.0))

    solution = watered(case, solved(case, frequency, step), step)
    if case.data.cooling and case.data.water:  # air has now to agree with what water left
        solution = watered(case, solved(case, frequency, step, start=solution.problem), step)
    return solution


def _watched(case: Case) -> set[float]:
    """Frequencies at which it is asked whether the picture holds: of a long sweep some, both ends included."""
    every = case.data.frequency.swept
    return {*case.data.frequency.at, *every[:: max(1, len(every) // WATCHED)], *every[-1:]}


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
    from ..postprocess.workshop.files import as_dxf, as_svg
    from ..postprocess.workshop.layout import section_sheet

    with whole_folder(folder) as fresh:
        if progress:
            progress("pictures", 0.95)
        (fresh / "results.json").write_text(as_json(result.heading, result.points, result.chapters), encoding="utf-8")
        (fresh / "table.csv").write_text(as_csv(result.heading, result.points), encoding="utf-8")
        (fresh / "case.toml").write_bytes(result.case.source)
        for chapter in result.chapters:
            for name, content in chapter.files.items():
                (fresh / name).write_text(content, encoding="utf-8")
        sheet = section_sheet(result.case.problem().conductors, result.case.title, result.cautions)
        (fresh / "section.dxf").write_text(as_dxf(sheet), encoding="utf-8")
        (fresh / "section.svg").write_text(as_svg(sheet), encoding="utf-8")
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
