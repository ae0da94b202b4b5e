"""The chapters of a result: every further question that a case file can ask, in the order they are answered."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.solve import Progress
from crosscurrent.topics import (
    bundles,
    coils,
    cooling,
    duty,
    enamel,
    fault,
    files,
    hand_formula,
    heating,
    joints,
    ladder,
    limits,
    measured,
    prices,
    slopes,
    slopes_differences,
    steel,
    stray_field,
    supports,
    sweep,
    tank,
    tolerance,
    voltage,
    water,
    waveform,
    work_pieces,
)
from crosscurrent.topics.limits_changes import Resolve
from crosscurrent.topics.limits_tolerance import within_tolerances

if TYPE_CHECKING:
    from matplotlib.figure import Figure

# Each takes the solved case and returns None where the case file does not ask.
CHAPTERS: dict[str, Callable[[SolvedCase], Chapter | None]] = {
    "work pieces": work_pieces.chapter,
    "coils": coils.chapter,
    "tank": tank.chapter,
    "steel": steel.chapter,
    "sweep": sweep.chapter,
    "temperature": cooling.chapter,
    "duty": duty.chapter,
    "heating": heating.chapter,
    "water": water.chapter,
    "voltage": voltage.chapter,
    "forces": supports.chapter,
    "stray field": stray_field.chapter,
    "joints": joints.chapter,
    "bundles": bundles.chapter,
    "mass": prices.chapter,
    "waveform": waveform.chapter,
    "fault": fault.chapter,
    "ladder": ladder.chapter,
    "outlines": files.chapter,
    "slopes": slopes.chapter,
    "hand formula": hand_formula.chapter,
}


def others_of(solved: SolvedCase, progress: Progress | None = None) -> tuple[Chapter, ...]:
    """All chapters but the verdict."""
    found = []
    for number, (name, ask) in enumerate(CHAPTERS.items()):
        if progress:
            progress(name, number / len(CHAPTERS))
        chapter = ask(solved)
        found += [chapter] if chapter is not None else []
    return tuple(found)


def chapters_of(solved: SolvedCase, resolve: Resolve, progress: Progress | None = None) -> tuple[Chapter, ...]:
    """All chapters the case asks for, the verdict on its limits first, what tolerances make of it last.

    Parameters
    ----------
    solved : SolvedCase
    resolve : callable
        Solves a changed case and answers its questions, to say what would help, what differences and tolerances do.
    progress : callable, optional
        Told each question and the share of them that is done.
    """
    others = enamel.with_enamel(solved, others_of(solved, progress))
    verdict = limits.chapter(solved, others, resolve)
    differences = slopes_differences.chapter(solved, resolve)
    spread = tolerance.chapter(solved, others, resolve)
    verdict = within_tolerances(verdict, spread)
    bench = measured.chapter(solved, progress and (lambda what, _: progress(f"measured: {what}", 1.0)))
    found = (chapter for chapter in (verdict, *others, differences, spread, bench) if chapter is not None)
    return tuple(_round_the_axis(chapter) if solved.case.axial else chapter for chapter in found)


def _round_the_axis(chapter: Chapter) -> Chapter:
    """A chapter in the words of a section round an axis, its pictures as well."""
    pictures = {stem: partial(_drawn_round_the_axis, draw) for stem, draw in chapter.pictures.items()}
    return replace(chapter.round_the_axis(), pictures=pictures)


def _drawn_round_the_axis(draw: Callable[[], Figure]) -> Figure:
    from crosscurrent.postprocess.pictures.axial_words import in_axial_words

    return in_axial_words(draw())
