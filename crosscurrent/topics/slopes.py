"""The chapter "slopes": how resistance, inductance and loss change with each figure of a case; no further solve."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.units import DIMENSIONS
from crosscurrent.casefile.variables import Variable
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.bundle_sums import whole_conductors
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.slope_answers import SlopeAnswer, slope_answer
from crosscurrent.postprocess.answers.units import frequency_tag, frequency_words
from crosscurrent.postprocess.topics.slopes import SlopesAnswer, record, sentences, tables
from crosscurrent.postprocess.topics.slopes_csv import slopes_csv
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.band.sweep import Sweep
from crosscurrent.solver.band.swept_slopes import SweptSlopes, swept_slopes
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.slopes import Slope, sloped
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.wall_gains import WallGains, wall_gains

from .field_slopes import field_slopes
from .slopes_asked import EACH, FREQUENCY, FURTHER, HAIR, Asked, asked
from .slopes_counts import between, counts
from .slopes_eased import led_on
from .slopes_whole import with_whole_bundles

if TYPE_CHECKING:
    from matplotlib.figure import Figure

def with_slopes(case: Case, point: Answers, solution: Solution, wanted: Sequence[Asked]) -> Answers:
    """The answers at one frequency with their slopes, where the case asks for some."""
    return point if case.data.slopes is None else replace(point, slopes=tuple(_of(case, point, solution, wanted)))


def _of(case: Case, point: Answers, solution: Solution, wanted: Sequence[Asked]) -> Iterator[SlopeAnswer]:
    of = case.data.slopes.of if case.data.slopes else None
    own, beside = ([one for one in wanted if one.problem and (one.case is case) == same] for same in (True, False))
    changes = changes_of(case, solution, own)
    figures = [(one.variable.value, _unit(one.variable)) for one in own]
    if solution.frequency and (of is None or FREQUENCY in of) and sloped(solution.problem):
        changes.append(higher(solution))
        figures.append((solution.frequency, "Hz"))
    each = len(solution.problem.conductors) <= EACH
    strands = [one for one in counts(case, of) if one.ways]
    before = case.problem()
    changes += [Change(one.key, _warm(problem, before, solution.problem), by) for one in strands
                for problem, by in one.ways]  # fmt: skip
    found = field_slopes(case, solution, changes, each=each, whole=True)
    both, found = found[len(figures) :], found[: len(figures)]
    found += tuple(between(*both[2 * k : 2 * k + 2]) for k in range(len(strands)))
    figures += [(float(one.value), "") for one in strands]
    further = [one.further for one in beside if one.further is not None]
    if beside and len(further) == len(beside):
        near, far = (_of_eased(case, solution, some, each=each) for some in (beside, further))
        found += tuple(led_on(*pair, FURTHER) for pair in zip(near, far, strict=True))
        figures += [(one.variable.value, _unit(one.variable)) for one in beside]
    circuits = {name: (c.resistance, c.inductance) for name, c in point.circuits.items()}
    losses = {c.name: c.loss for c in whole_conductors(point)}
    for slope, (value, unit) in zip(found, figures, strict=True):
        whole = with_whole_bundles(slope, solution.problem)
        answer = slope_answer(whole, value, unit, circuits, losses)
        if answer.loss or any(c.resistance or c.inductance for c in answer.circuits.values()):
            yield answer


def _of_eased(case: Case, solution: Solution, some: Sequence[Asked], *, each: bool) -> tuple[Slope, ...]:
    """Slopes of an eased case, at the temperatures of the case itself."""
    softer = some[0].case
    other = solve(_warm(softer.problem(), case.problem(), solution.problem), solution.frequency,
                  accuracy=solution.wanted, keep=each)  # fmt: skip
    found = field_slopes(softer, other, changes_of(softer, other, some), each=each, whole=True)
    other.forget()
    return found


def changes_of(case: Case, solution: Solution, wanted: Sequence[Asked]) -> list[Change]:
    """Figures that have a problem a hair apart, as changes of a solution at its own temperatures."""
    before = case.problem()
    return [Change(one.variable.key, _warm(one.problem, before, solution.problem), one.step)
            for one in wanted if one.problem is not None]  # fmt: skip


def higher(solution: Solution) -> Change:
    """The same at a frequency that is a hair higher."""
    step = HAIR * solution.frequency
    return Change(FREQUENCY, solution.problem, step, step)


def _warm(after: Problem, before: Problem, solved: Problem) -> Problem:
    """A changed problem at the temperatures that were solved for, but for what the change itself warms."""
    conductors = tuple(
        replace(a, temperature=s.temperature + a.temperature - b.temperature)
        for a, b, s in zip(after.conductors, before.conductors, solved.conductors, strict=True)
    )
    return replace(after, conductors=conductors)


def _unit(one: Variable) -> str:
    return DIMENSIONS[one.dimension].si if one.dimension in DIMENSIONS else ""


def chapter(solved: SolvedCase) -> Chapter | None:
    """Where the case file has a table [slopes], empty or not."""
    if solved.case.data.slopes is None:
        return None
    points = [point for point in solved.points if point.slopes]
    wanted = asked(solved.case)
    without = {one.variable.key: one.why for one in wanted if one.problem is None}
    without |= {one.key: one.why for one in counts(solved.case, solved.case.data.slopes.of) if one.why}
    beside = tuple(one.variable.key for one in wanted if one.problem and one.case is not solved.case)
    over = None if solved.sweep is None else _over(solved.sweep, solved.case, wanted)
    at_all = None if over is None else int(over.solved.sum())
    problem = solved.case.problem()
    found = SlopesAnswer(
        points, without, solved.case.data.cooling is not None, beside, at_all,
        medium=any(c.strands is not None for c in problem.conductors),
    )  # fmt: skip
    pictures = {
        f"slopes-{frequency_tag(f)}": partial(_picture, wall_gains(solution), solved.case, f)
        for f, solution in solved.solutions.items()
        if any(c.current for c in solution.problem.circuits) and _walled(solution.problem)
    }
    return Chapter(
        "slopes", "Slopes", record(found), tuple(tables(found)), tuple(sentences(found)), pictures=pictures,
        files={} if solved.sweep is None or over is None else {"slopes.csv": _file(solved.sweep, over, wanted)},
    )  # fmt: skip


def _walled(problem: Problem) -> bool:
    """Whether the loss has slopes over walls of solid metal."""
    return sloped(problem) and any(c.strands is None for c in problem.conductors)


def _over(found: Sweep, case: Case, wanted: Sequence[Asked]) -> SweptSlopes | None:
    """At every frequency of a sweep; None where none of the figures has a slope on its mesh."""
    own = [one for one in wanted if one.case is case]
    of = case.data.slopes.of if case.data.slopes else None

    def changes(solution: Solution) -> list[Change]:
        faster = [higher(solution)] if (of is None or FREQUENCY in of) and sloped(solution.problem) else []
        return [*changes_of(case, solution, own), *faster]

    return swept_slopes(found, changes) if changes(found.solution(len(found.frequency) - 1)) else None


def _file(sweep: Sweep, over: SweptSlopes, wanted: Sequence[Asked]) -> str:
    figures = {one.variable.key: (one.variable.value, _unit(one.variable)) for one in wanted}
    return slopes_csv(sweep.frequency, over, figures, [c.name for c in sweep.problem.circuits])


def _picture(found: WallGains, case: Case, frequency: float) -> Figure:
    from crosscurrent.postprocess.pictures.slopes import wall_picture

    section = case.problem().section
    subject = f"What 0.1 mm more metal does to the loss · {frequency_words(frequency)}"
    crosses = section.crosses if section.axial else None
    return wall_picture(found, section.parts, case.title, subject, crosses)
