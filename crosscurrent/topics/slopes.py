"""The chapter "slopes": how resistance, inductance and loss change with each figure of a case; no further solve."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.casefile.quantities import nearest
from crosscurrent.casefile.units import DIMENSIONS
from crosscurrent.casefile.variables import Variable, variables
from crosscurrent.casefile.varied import varied
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.geometries.meshing.motion import stays
from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.slope_answers import SlopeAnswer, slope_answer
from crosscurrent.postprocess.answers.units import frequency_tag, frequency_words
from crosscurrent.postprocess.topics.slopes import SlopesAnswer, record, sentences, tables
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.slopes import slopes
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.wall_gains import WallGains, wall_gains

if TYPE_CHECKING:
    from matplotlib.figure import Figure

HAIR = 1e-6  # of a figure, or of the section where it is 0
TABLES = ("named", "conductor", "circuit", "material", "ambient")  # whose figures a field depends on
FREQUENCY = "frequency"


@dataclass(frozen=True, eq=False)
class Asked:
    """A figure of a case, and the problem in which it is larger by a step: or why there is none."""

    variable: Variable
    problem: Problem | None
    step: float
    why: str = ""


def asked(case: Case) -> tuple[Asked, ...]:
    """The figures whose slopes a case wants, each with a problem a hair apart; none without [slopes].

    Raises
    ------
    CaseError
        It wants that of a figure which it does not have.
    """
    if case.data.slopes is None:
        return ()
    known = {one.key: one for one in variables(case) if one.path[0] in TABLES and not _unmagnetic(one)}
    wanted = case.data.slopes.of
    for key in wanted or ():
        if key not in (*known, FREQUENCY):
            near = nearest(key, known)
            hint = f'did you mean "{near}"?' if near else "write a name of [named], or conductor.key"
            raise CaseError([Fault(None, "of", "a figure of the case", f'"{key}"', hint, "slopes")])
    return tuple(apart(case, one) for key, one in known.items() if wanted is None or key in wanted)


def _unmagnetic(one: Variable) -> bool:
    """Whether it is a permeability that nobody changes."""
    return one.path[-1] == "permeability" and one.value == 1


def apart(case: Case, one: Variable) -> Asked:
    """A figure of a case, and the problem in which it is a hair larger."""
    size = case.problem().section.size if one.dimension in ("length", "position", "radius") else 1.0
    step, why = HAIR * (abs(one.value) or size), ""
    for way in (step, -step):
        try:
            problem = varied(case, {one.key: one.value + way}).problem()
            for before, after in zip(case.problem().conductors, problem.conductors, strict=True):
                stays(before.part, after.part)
            return Asked(one, problem, way)
        except CrosscurrentError as error:
            why = why or next(iter(str(error).splitlines()), "")
    return Asked(one, None, step, f"a little more or less of it makes no sound case ({why})")


def with_slopes(case: Case, found: SolvedCase, wanted: Sequence[Asked]) -> SolvedCase:
    """The answers with their slopes, at the frequencies whose fields are there."""
    if case.data.slopes is None:
        return found
    points = [
        replace(point, slopes=tuple(_of(case, point, found.solutions[point.frequency], wanted)))
        if point.frequency in found.solutions
        else point
        for point in found.points
    ]
    return replace(found, points=tuple(points))


def _of(case: Case, point: Answers, solution: Solution, wanted: Sequence[Asked]) -> Iterator[SlopeAnswer]:
    changes = changes_of(case, solution, wanted)
    figures = [(one.variable.value, _unit(one.variable)) for one in wanted if one.problem is not None]
    of = case.data.slopes.of if case.data.slopes else None
    if solution.frequency and (of is None or FREQUENCY in of):
        changes.append(higher(solution))
        figures.append((solution.frequency, "Hz"))
    circuits = {name: (c.resistance, c.inductance) for name, c in point.circuits.items()}
    for slope, (value, unit) in zip(slopes(solution, changes), figures, strict=True):
        answer = slope_answer(slope, value, unit, point.total_loss, circuits)
        if answer.loss or any(c.resistance or c.inductance for c in answer.circuits.values()):
            yield answer


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
    without = {one.variable.key: one.why for one in asked(solved.case) if one.problem is None}
    found = SlopesAnswer(points, without, solved.case.data.cooling is not None)
    pictures = {
        f"slopes-{frequency_tag(f)}": partial(_picture, wall_gains(solution), solved.case, f)
        for f, solution in solved.solutions.items()
        if any(c.current for c in solution.problem.circuits)
    }
    return Chapter("slopes", "Slopes", record(found), tuple(tables(found)), tuple(sentences(found)), pictures=pictures)


def _picture(found: WallGains, case: Case, frequency: float) -> Figure:
    from crosscurrent.postprocess.pictures.slopes import wall_picture

    parts = case.problem().section.parts
    subject = f"What 0.1 mm more metal does to the loss · {frequency_words(frequency)}"
    return wall_picture(found, parts, case.title, subject)
