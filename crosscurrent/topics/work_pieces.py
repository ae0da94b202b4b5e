"""The chapter "work_pieces": power in what has no terminals, efficiency, and the currents for a wanted power."""

from __future__ import annotations

import logging
import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from crosscurrent.casefile.case import Case
from crosscurrent.postprocess.answers.cautions import INDUCTION, PULL
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.summary import HeatedPieces
from crosscurrent.postprocess.topics.work_pieces import (
    TITLE,
    PieceAnswer,
    PiecesAnswer,
    TerminalPower,
    measured,
    power_factor,
    record,
    sentences,
    share_error,
    tables,
    warnings,
)
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.pieces import piece_power
from crosscurrent.solver.field.solution import Solution

log = logging.getLogger("crosscurrent")
CLOSE = 2e-4  # of the wanted power: currents of linear metal meet it at once
MOST = 8  # solves for it
STEEPEST = 0.35  # factor on the currents from one solve to the next, at least; its inverse at most


def chapter(solved: SolvedCase) -> Chapter | None:
    """Of a section round an axis with pieces that are in no circuit."""
    names = pieces_of(solved.case)
    if not names or not solved.case.axial:
        return None
    found = [_answer(solved, solution, names) for f, solution in solved.solutions.items() if f > 0]
    if not found:
        return None
    steel = any(c.is_magnetic and c.name in names for c in solved.case.problem().conductors)
    said = (INDUCTION, *((PULL,) if steel else ()))
    return Chapter(
        "work_pieces",
        TITLE,
        record(found),
        tuple(tables(found)),
        tuple(sentences(found)),
        tuple(warnings(found)),
        said,
        measured=measured(found),
    )


def heated_pieces(solved: SolvedCase) -> HeatedPieces | None:
    """For the first screen, at the first frequency that is drawn; None where the case does not say what is heated."""
    if solved.case.data.power is None or not solved.case.axial:
        return None
    point = next((solved.at(f) for f in solved.solutions if f > 0), None)
    if point is None:
        return None
    names = solved.case.heated
    useful = sum(point.conductors[name].loss for name in names)
    errors = {c.name: c.loss * c.loss_error for c in point.conductors.values()}
    error = sum(errors[name] for name in names)
    share = share_error(useful, point.total_loss - useful, error, sum(errors.values()) - error)
    efficiency = useful / point.total_loss if point.total_loss else 0.0
    return HeatedPieces(names, point.frequency, useful, error, efficiency, share)


def pieces_of(case: Case) -> tuple[str, ...]:
    """Conductors in no circuit that conduct."""
    problem = case.problem()
    return tuple(c.name for c in problem.conductors if c.name not in problem.live and c.material.conductivity > 0)


def power_into(solution: Solution, names: tuple[str, ...]) -> float:
    """Power in some conductors together [W]."""
    index = {name: k for k, name in enumerate(solution.problem.names)}
    return float(sum(solution.fine.powers[index[name]].real for name in names))


def at_wanted_power(case: Case, solve: Callable[[Case], Solution]) -> Case:
    """The case with all currents scaled so that the wanted power goes into its pieces; itself where none is wanted.

    Linear metal takes the square of the currents; with steel, or temperatures that follow the losses, the power is
    searched for, each time with the slope found so far.

    Parameters
    ----------
    case : Case
    solve : callable
        Solves a changed case at its frequency.
    """
    wanted = case.data.power.wanted if case.data.power else None
    if wanted is None:
        return case
    steel = any(c.is_saturable for c in case.problem().conductors)
    linear = not case.data.cooling and not steel
    if case.data.cooling and not steel:  # nearly there before temperatures are followed
        plain = replace(case, data=case.data.model_copy(update={"cooling": None, "water": ()}))
        power = power_into(solve(plain), case.heated)
        case = case.with_currents(math.sqrt(wanted / power)) if power > 0 else case
    slope, before = 2.0, None
    for _ in range(MOST):
        power = power_into(solve(case), case.heated)
        if power <= 0 or abs(power / wanted - 1) < CLOSE:
            return case
        here = math.log(case.scaled), math.log(power)
        if before is not None and abs(here[0] - before[0]) > 1e-9:
            slope = min(max((here[1] - before[1]) / (here[0] - before[0]), 0.5), 4.0)
        before = here
        factor = min(max((wanted / power) ** (1 / slope), STEEPEST), 1 / STEEPEST) if not linear else (
            math.sqrt(wanted / power)
        )
        case = case.with_currents(factor)
        if linear:
            return case
    log.info("the wanted power was not met in %d solves", MOST)
    return case


def _answer(solved: SolvedCase, solution: Solution, names: tuple[str, ...]) -> PiecesAnswer:
    case, point = solved.case, solved.at(solution.frequency)
    index = {name: k for k, name in enumerate(solution.problem.names)}
    heated = case.heated
    pieces = tuple(
        PieceAnswer(
            name,
            name in heated,
            point.conductors[name].loss,
            point.conductors[name].loss * point.conductors[name].loss_error,
            piece_power(solution.fine, index[name]),
            point.conductors[name].skin_depth,
        )
        for name in names
    )
    rest = sum(c.loss * c.loss_error for c in point.conductors.values() if c.name not in heated)
    power, limits = case.data.power, case.data.limits
    return PiecesAnswer(
        solution.frequency,
        pieces,
        tuple(_supplies(solved, solution)),
        point.total_loss,
        rest,
        power.wanted if power else None,
        case.scaled,
        limits.current if limits else None,
        power is not None,
    )


def _supplies(solved: SolvedCase, solution: Solution) -> Iterator[TerminalPower]:
    for c in solved.at(solution.frequency).circuits.values():
        if c.resistance is None or c.reactance is None:
            continue
        factor = power_factor(c.resistance, c.reactance, c.resistance_error or 0.0, c.inductance_error or 0.0)
        yield TerminalPower(c.name, abs(c.current), abs(c.voltage), c.loss, *factor)
