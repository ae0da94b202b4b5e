"""The run of a case: read, solve, answer, write. One function for each step."""

from __future__ import annotations

import hashlib
import logging
from collections.abc import Callable, Sequence
from dataclasses import fields, replace
from pathlib import Path

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.reader import read_case
from crosscurrent.geometries.errors import RunStopped
from crosscurrent.postprocess.answers.answers import Answers, answers
from crosscurrent.postprocess.answers.cautions import cautions
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.drawn_picture import DrawnPicture
from crosscurrent.postprocess.answers.per_turn import per_turn
from crosscurrent.postprocess.answers.sweep_answers import sweep_answers
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.postprocess.answers.validity import ValidityWatch
from crosscurrent.postprocess.files.results import Heading
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.band.sweep import Sweep
from crosscurrent.solver.field.field_warning import FieldWarning
from crosscurrent.solver.field.solution import DirectSolution, Solution
from crosscurrent.solver.field.solve import Progress
from crosscurrent.topics.band import problem_of
from crosscurrent.topics.cooling import solved_in_air, states_of, with_currents
from crosscurrent.topics.duty import courses_of
from crosscurrent.topics.measured import run_of
from crosscurrent.topics.slopes import with_slopes
from crosscurrent.topics.slopes_asked import Asked, asked
from crosscurrent.topics.summary import summary_of
from crosscurrent.topics.water import watered
from crosscurrent.topics.waveform import answered
from crosscurrent.topics.work_pieces import at_wanted_power

from . import __version__
from .chapters import chapters_of, others_of
from .folders import REPORT, check_folder, holds_report, whole_folder
from .result import Result, leave
from .run_sweep import left_out, served, swept

Stop = Callable[[], bool]
log = logging.getLogger("crosscurrent")
EVERY = 10  # answers of a sweep from one word of progress to the next
WATCHED = 12  # frequencies of a sweep at which the limits of the picture are looked at
FIELDS, CHAPTERS, PICTURES = 0.75, 0.8, 0.95  # shares of a run at which fields, shared answers and chapters are there


def run_case(
    path: str | Path,
    out: str | Path | None,
    progress: Progress | None = None,
    *,
    stop: Stop | None = None,
    report: bool = False,
) -> tuple[Result, Path]:
    """Read a case file, solve it, and leave its results in a folder.

    Parameters
    ----------
    path : str or Path
    out : str, Path or None
        Folder for the results; None: beside the case file, under its name.
    progress : callable, optional
    stop : callable, optional
        Asked at every step; the run ends where it says True.
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
    RunStopped
        It was asked to; nothing is written.

    Examples
    --------
    >>> import tempfile
    >>> from crosscurrent.examples import copied, known
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = copied(known("rod-100khz"), Path(folder))
    ...     result, left = run_case(Path(folder) / "rod-100khz.toml", None)
    ...     sorted(path.name for path in left.iterdir())[:4]
    ['case.toml', 'contents.txt', 'fields.regions.json', 'fields.vtu']
    """
    case = read_case(path)
    folder = Path(out) if out is not None else Path(path).with_suffix("")
    check_folder(folder)
    for note in case.warnings:  # before the wait, not after it
        log.warning("%s", note)
    bench = run_of(case)
    for line in bench.recognised if bench else ():
        log.info("%s", line)
    result = solve_case(case, progress=progress, stop=stop)
    write_result(result, folder, progress=progress, report=report)
    return result, folder


def solve_case(case: Case | str | Path, *, progress: Progress | None = None, stop: Stop | None = None) -> Result:
    """Solve a case, or the case file of that name, at all its frequencies, and answer all its questions.

    Parameters
    ----------
    case : Case, str or Path
    progress : callable, optional
        Told what is being done, and the share of the run that is done.
    stop : callable, optional
        Asked at every step; the run ends where it says True.

    Raises
    ------
    CaseError
        The case file is at fault.
    RunStopped
        It was asked to stop.

    Examples
    --------
    >>> from crosscurrent.api import case, circuit, conductor
    >>> rod = conductor("rod", "round", material="copper", diameter="25 mm")
    >>> result = solve_case(case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["100 kHz"]))
    >>> round(result["feed"].resistance_ratio, 2)
    30.16
    """
    step = _watching(progress, stop)
    if not isinstance(case, Case):
        case = read_case(case)
    solved = solved_case(case, step)
    case = solved.case
    solved = replace(solved, states=with_currents(case, solved.solutions, solved.states))

    def resolve(changed: Case) -> tuple[SolvedCase, tuple[Chapter, ...]]:
        other = solved_case(changed, lambda what, _: step(f"changed case: {what}", PICTURES))
        return other, others_of(other)

    chapters = chapters_of(solved, resolve, lambda what, done: step(what, CHAPTERS + (PICTURES - CHAPTERS) * done))
    held = {f.name: getattr(solved, f.name) for f in fields(solved)}
    return Result(**held, heading=_heading(solved, chapters), chapters=chapters)


def _watching(progress: Progress | None, stop: Stop | None) -> Progress:
    """Hands on every step, unless the run is to end there."""

    def step(what: str, done: float) -> None:
        if stop is not None and stop():
            raise RunStopped(f"the run was stopped at: {what}")
        if progress is not None:
            progress(what, done)

    return step


def solved_case(case: Case, step: Progress) -> SolvedCase:
    """The fields of a case and what several of its questions share."""
    figures = asked(case)  # before the wait: what is wrong with it is said at once
    case, begun = _at_wanted_power(case, step)

    def rest(what: str, done: float) -> None:
        step(what, begun + (1 - begun / FIELDS) * done)

    solved = _fields(case, figures if case.scaled == 1.0 else asked(case), rest)
    step("temperatures and waveforms", FIELDS)
    states = states_of(case, solved.solutions)
    courses, service = courses_of(case, solved.solutions, states)
    found = answered(case, problem_of(solved))
    return replace(solved, states=states, courses=courses, service=service, waveform=found)


def _at_wanted_power(case: Case, step: Progress) -> tuple[Case, float]:
    """The case with the currents that give the power wanted in its pieces, and how much of the run that took.

    How many solves it takes is not known before: each is counted as half of what is left of half the fields.
    """
    begun = 0.0

    def solved(changed: Case) -> Solution:
        nonlocal begun
        share = begun, 0.5 * (begun + 0.5 * FIELDS)
        begun = share[1]
        return one_frequency(changed, changed.frequencies[0], share, lambda what, done: step(f"power: {what}", done))

    return at_wanted_power(case, solved), begun


def _fields(case: Case, figures: Sequence[Asked], step: Progress) -> SolvedCase:
    """Every frequency of a case, solved and answered, with the slopes over some of its figures."""
    found = swept(case, lambda what, done: step(f"sweep: {what}", 0.5 * FIELDS * done))
    known = {f: number for f, number in served(found).items() if f not in case.data.frequency.at}
    quick = _read(found, known, step)
    to_draw, watched = _drawn(case), _watched(case)
    points, solutions, noted = [], {}, []
    watch, count = ValidityWatch(case.length), len(case.frequencies)
    for number, frequency in enumerate(case.frequencies):
        if found is not None and frequency in known:
            solution: Solution = found.solution(known[frequency])
            points.append(quick[frequency])
        else:
            share = (FIELDS * number / count, FIELDS * (number + 1) / count)
            solution = one_frequency(case, frequency, share, step)
            points.append(answers(solution))
        noted += [(frequency, warning) for warning in solution.warnings]
        if frequency in watched:
            noted += [(frequency, warning) for warning in watch.warnings(solution)]
        if frequency in to_draw:
            solutions[frequency] = solution
            points[-1] = with_slopes(case, points[-1], solution, figures)
        if isinstance(solution, DirectSolution):
            solution.forget()
    warnings = (*case.warnings, *left_out(found), *_collected(noted))
    return SolvedCase(case=case, points=tuple(points), solutions=solutions, warnings=warnings, sweep=found)


def _read(found: Sweep | None, known: dict[float, int], step: Progress) -> dict[float, Answers]:
    """Answers of the frequencies that a sweep serves, under their numbers in it."""
    points: dict[float, Answers] = {}
    if found is None:
        return points
    step("answers of the sweep", FIELDS * 0.5)  # what single strands carry is worked out for all at once
    for point in sweep_answers(found, list(known.values())):
        if not len(points) % EVERY:
            done = FIELDS * (0.5 + 0.5 * len(points) / len(known))
            step(f"{concise(point.frequency, 'Hz')}: answers", done)
        points[point.frequency] = point
    return points


def one_frequency(case: Case, frequency: float, share: tuple[float, float], progress: Progress) -> Solution:
    """One frequency by itself, in the air and water of the case; `share` is its part of the whole run, from and to."""
    reached = share[0]

    def step(what: str, done: float) -> None:
        nonlocal reached
        reached = max(reached, share[0] + (share[1] - share[0]) * min(done, 1.0))  # warmer metal is solved for again
        progress(f"{concise(frequency, 'Hz')}: {what}", reached)

    solution = watered(case, solved_in_air(case, frequency, step), step)
    if case.data.cooling and case.data.water:  # air has now to agree with what water left
        solution = watered(case, solved_in_air(case, frequency, step, start=solution.problem), step)
    return solution


def _watched(case: Case) -> set[float]:
    """Frequencies at which it is asked whether the picture holds: of a long sweep some, both ends included."""
    every = case.data.frequency.swept
    return {*case.data.frequency.at, *every[:: max(1, len(every) // WATCHED)], *every[-1:]}


def _drawn(case: Case) -> set[float]:
    """Frequencies that get pictures: those asked for one by one, else the ends and middle of the sweep."""
    every = case.frequencies
    return set(case.data.frequency.at) or {every[0], every[len(every) // 2], every[-1]}


def _collected(noted: list[tuple[float, FieldWarning]]) -> list[str]:
    """Warnings of one kind about one thing and its repetitions, once: of the worst, with how many and where."""
    kinds: dict[tuple[str, str], list[tuple[float, FieldWarning]]] = {}
    for frequency, warning in noted:
        kinds.setdefault((warning.kind, _made_alike(warning.about)), []).append((frequency, warning))
    lines = []
    for same in kinds.values():
        at, worst = max(same, key=lambda pair: pair[1].weight)
        others = len({warning.about for _, warning in same}) - 1
        further = _further(at, sorted({frequency for frequency, _ in same}))
        more = ", ".join(filter(None, (f"and {others} more like it" if others else "", further)))
        lines.append(f"{concise(at, 'Hz')}: {worst.text}{f' ({more})' if more else ''}")
    return lines


def _further(told: float, every: Sequence[float]) -> str:
    """At which other frequencies [Hz], of some that rise.

    Examples
    --------
    >>> _further(50.0, [50.0]), _further(50.0, [50.0, 150.0]), _further(50.0, [50.0, 150.0, 250.0])
    ('', 'also at 150 Hz', 'also at further frequencies up to 250 Hz')
    >>> _further(150.0, [50.0, 150.0, 250.0])
    'also at others from 50 Hz to 250 Hz'
    """
    others = [f for f in every if f != told]
    if len(others) <= 1:
        return "".join(f"also at {concise(f, 'Hz')}" for f in others)
    if told < others[0]:
        return f"also at further frequencies up to {concise(others[-1], 'Hz')}"
    return f"also at others from {concise(others[0], 'Hz')} to {concise(others[-1], 'Hz')}"


def _made_alike(name: str) -> str:
    """Name of a conductor without the number that it has among its repetitions.

    Examples
    --------
    >>> _made_alike("strap.12"), _made_alike("strap"), _made_alike("rail.left")
    ('strap', 'strap', 'rail.left')
    """
    head, _, number = name.rpartition(".")
    return head if head and number.isdigit() else name


def _heading(solved: SolvedCase, chapters: tuple[Chapter, ...]) -> Heading:
    """What stands above every output."""
    case, problem = solved.case, solved.case.problem()
    notes = cautions(
        solved.points,
        parallel=any(len(group) > 1 for c in problem.circuits for group in (c.out, c.back) if c.sharing != "series"),
        magnetic=any(c.is_magnetic and c.conducts for c in problem.conductors),
        plated=any(c.part.layers for c in problem.conductors),
    )
    warnings = (*solved.warnings, *(text for chapter in chapters for text in chapter.warnings))
    if case.axial:
        warnings = tuple(map(per_turn, warnings))
    notes = tuple(dict.fromkeys((*notes, *(text for chapter in chapters for text in chapter.cautions))))
    digest = hashlib.sha256(case.source).hexdigest()
    return Heading(case.title, __version__, digest, case.length, warnings, notes, summary_of(solved, chapters))


def write_result(result: Result, folder: Path, *, progress: Progress | None = None, report: bool = False) -> None:
    """Write every file of a result: the folder appears whole, or not at all.

    Earlier results in the same folder are replaced, never mixed with the new ones; a report among them is made anew,
    so that none is left that speaks of other results.

    Raises
    ------
    OutputError
        The folder cannot take results.
    """
    anew = not report and holds_report(folder)
    with whole_folder(folder) as fresh:
        if progress:
            progress("pictures", PICTURES)
        pictures = leave(result, fresh)
        if report or anew:
            _write_report(result, pictures, fresh)
    if anew:
        log.info("%s: its report was of the earlier results and has been made anew", folder / REPORT)


def _write_report(result: Result, pictures: list[DrawnPicture], folder: Path) -> None:
    from crosscurrent.postprocess.report import ReportError, as_html, as_pdf

    from .report import report_of  # takes as long to load as a solve

    html = as_html(report_of(result, pictures))
    (folder / REPORT).write_text(html, encoding="utf-8")
    try:
        (folder / "report.pdf").write_bytes(as_pdf(html))
    except ReportError as error:
        log.warning("%s", error)
