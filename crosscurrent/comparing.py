"""The same requirement met by several designs: solve each, put them side by side, leave a folder."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.casefile.reader import read_case
from crosscurrent.postprocess.answers.compared_rows import ComparedDesign, DesignVerdict
from crosscurrent.postprocess.answers.comparison import Comparison, compared
from crosscurrent.postprocess.answers.few_names import few
from crosscurrent.postprocess.answers.short_titles import short_titles
from crosscurrent.solver.field.solve import Progress
from crosscurrent.topics.limits_verdicts import ruined

from . import __version__
from .folders import whole_folder
from .result import Result
from .run import solve_case

FEWEST, MOST = 2, 8


def compare_cases(paths: Sequence[Path], progress: Progress | None = None) -> tuple[Comparison, tuple[Result, ...]]:
    """Solve two to eight cases and compare them at the frequencies they share.

    Raises
    ------
    CaseError
        Too few or too many cases, one at fault, straight runs beside sections round an axis, or no frequency in common.
    """
    if not FEWEST <= len(paths) <= MOST:
        raise CaseError([Fault(None, "", f"{FEWEST} to {MOST} case files", f"{len(paths)}")])
    cases = [read_case(path) for path in paths]
    _of_one_symmetry({path.name: case for path, case in zip(paths, cases, strict=True)})
    shared = set(cases[0].frequencies).intersection(*(case.frequencies for case in cases))
    if not shared:
        hint = "give all of them the same [frequency]"
        raise CaseError([Fault(None, "", "a frequency that all cases share", "none", hint)])
    results = []
    for number, case in enumerate(cases):

        def step(what: str, done: float, number: int = number) -> None:
            if progress:
                progress(f"{paths[number].name}: {what}", (number + min(done, 1.0)) / len(paths))

        results.append(solve_case(case, progress=step))
    return compare(dict(zip(_names(paths, cases), results, strict=True))), tuple(results)


def _names(paths: Sequence[Path], cases: Sequence[Case]) -> tuple[str, ...]:
    """The titles, of cases that share theirs the names of their files."""
    titles = [case.title for case in cases]
    own = [t if titles.count(t) == 1 else path.stem for t, path in zip(titles, paths, strict=True)]
    return short_titles(own)


def compare(results: Mapping[str, Result]) -> Comparison:
    """Put solved cases side by side at the frequencies they share.

    Parameters
    ----------
    results : mapping of str to Result
        The name of each design and its result.

    Raises
    ------
    CaseError
        Straight runs beside sections round an axis.

    Examples
    --------
    >>> from crosscurrent.api import case, circuit
    >>> from crosscurrent.run import solve_case
    >>> from crosscurrent.shape_constructors import round
    >>> feed = circuit("feed", "1 A", out=["rod"])
    >>> rods = {size: round("rod", diameter=size, material="copper") for size in ("10 mm", "20 mm")}
    >>> found = compare({size: solve_case(case(size, rod, feed, at=["0 Hz"])) for size, rod in rods.items()})
    >>> found.names
    ('10 mm', '20 mm')
    """
    _of_one_symmetry({name: result.case for name, result in results.items()})
    return compared(
        [
            ComparedDesign(name, r.case.title, r.points, r.chapters, settings(r.case), verdict_of(r), r.case.length)
            for name, r in results.items()
        ]
    )


def _of_one_symmetry(cases: Mapping[str, Case]) -> None:
    axial = [name for name, case in cases.items() if case.axial]
    if axial and len(axial) < len(cases):
        straight = [name for name in cases if name not in axial]
        found = f"{few(axial)} round an axis, {few(straight)} straight, with figures per metre of run"
        hint = "compare those of one kind with each other"
        wanted = "cases that are all straight runs, or all round an axis"
        raise CaseError([Fault(None, "", wanted, found, hint)])


def verdict_of(result: Result) -> DesignVerdict:
    """That of its [limits]; a design that has no stable temperature, or melts, fails whatever its limits say."""
    summary = result.summary
    gone = ruined(result, result.chapters) or [f"{name} has no stable temperature" for name in summary.runs_away]
    if gone and summary.verdict != "fail":
        return DesignVerdict("fail", "; ".join(gone))
    return DesignVerdict(summary.verdict, summary.verdict_words)


def settings(case: Case) -> dict[str, str]:
    """Every key of a case with its path and what it says, tables of a list by their names."""
    found: dict[str, str] = {}

    def walk(value: object, path: str) -> None:
        if isinstance(value, Mapping):
            for key, inner in value.items():
                if key not in ("name", "title"):
                    walk(inner, f"{path}: {key}" if path else key)
        elif isinstance(value, list) and value and all(isinstance(row, Mapping) for row in value):
            for number, row in enumerate(value, 1):
                walk(row, f"{path} {row.get('name', number)}")
        else:
            found[path] = value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)

    walk(tomllib.loads(case.source.decode("utf-8-sig")), "")
    return found


def write_comparison(comparison: Comparison, results: Sequence[Result], folder: Path) -> None:
    """Leave comparison.html, .json, .csv and the pictures in a folder, whole or not at all."""
    from crosscurrent.postprocess.pictures import draw_side_by_side
    from crosscurrent.postprocess.report import Picture, comparison_html

    with whole_folder(folder) as fresh:
        (fresh / "comparison.json").write_text(comparison.as_json(), encoding="utf-8")
        (fresh / "comparison.csv").write_text(comparison.as_csv(), encoding="utf-8")
        (fresh / "pictures").mkdir()
        drawn = []
        for frequency in sorted(set(results[0].solutions).intersection(*(r.solutions for r in results))):
            shown = [(name, r.solutions[frequency]) for name, r in zip(comparison.names, results, strict=True)]
            drawn.append(draw_side_by_side(shown, folder=fresh / "pictures"))
        caption = "Current density, rms; all designs have one scale of colours and one scale of lengths."
        alt = f"Maps of the current density of {', '.join(comparison.names)}"
        page = comparison_html(
            comparison,
            version=__version__,
            pictures=[Picture(png.read_bytes(), caption, alt) for png, _ in drawn],
            warnings=[f"{n}: {w}" for n, r in zip(comparison.names, results, strict=True) for w in r.heading.warnings],
            cautions=list(dict.fromkeys(text for r in results for text in r.heading.cautions)),
        )
        (fresh / "comparison.html").write_text(page, encoding="utf-8")
