"""The chapter "hand formula": the closed forms that fit a case, and how far they lie from the answers."""

from __future__ import annotations

from collections.abc import Iterator

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics.hand_formula import HandComparison, record, sentences, table
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.hand_formula import HandFormula
from crosscurrent.solver.field.hand_formulas import hand_formulas
from crosscurrent.solver.field.problem import Problem


def chapter(solved: SolvedCase) -> Chapter | None:
    """At every frequency asked for one by one; nothing where no formula fits."""
    found = list(_compared(solved))
    if not found:
        return None
    return Chapter("hand_formula", "Check by hand", record(found), (table(found),), tuple(sentences(found)))


def _compared(solved: SolvedCase) -> Iterator[HandComparison]:
    for frequency, solution in solved.solutions.items() if not solved.case.axial else ():
        for formula in hand_formulas(solution.problem, frequency):
            yield _beside(formula, solution.problem, solved.at(frequency), frequency)


def _beside(formula: HandFormula, problem: Problem, point: Answers, frequency: float) -> HandComparison:
    circuits = [c for c in problem.circuits if c.name in formula.circuits]
    answers = [point.circuits[c.name] for c in circuits]
    own = [point.conductors[name] for c in circuits for name in c.members]
    loss, squares = sum(c.loss for c in own), sum(abs(c.current) ** 2 for c in answers)
    inductances = [c.inductance for c in answers if c.inductance is not None]
    return HandComparison(
        frequency,
        formula,
        loss / squares,
        sum(c.loss * c.loss_error for c in own) / loss,
        sum(inductances) / len(inductances) if inductances else None,
        max((c.inductance_error or 0.0 for c in answers), default=0.0),
        min((c.temperature_low for c in answers if c.temperature_low is not None), default=None),
        max((c.temperature_high for c in answers if c.temperature_high is not None), default=None),
    )
