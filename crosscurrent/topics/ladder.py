"""The chapter "ladder": the section as a small network for a circuit simulator."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.casefile.tables.ladder import LadderTable
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.files.netlist import subcircuit
from crosscurrent.postprocess.topics.ladder import FILE, LadderAnswer, heading, record, sentences, table, warnings
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.band.impedance_limits import impedance_limits
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.ladder import ladder
from crosscurrent.solver.band.regrouped import impedance_of
from crosscurrent.solver.band.shorted import BesideShorted
from crosscurrent.solver.band.sweep import Sweep
from crosscurrent.solver.elements.exterior import RETURN
from crosscurrent.solver.field.circuits import sides_apart
from crosscurrent.solver.field.forecast import SolveError

from .band import band, past_bound, problem_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure

MANY = 4  # circuits beyond which a network is made only where it is asked for
TITLE = "Ladder for a circuit simulator"


def chapter(solved: SolvedCase) -> Chapter | None:
    """Where the case asks for it, or sweeps."""
    case = solved.case
    asked, swept = case.data.ladder, case.data.frequency.sweep
    if asked is None and (swept is None or len(case.problem().circuits) > MANY):
        return None
    stated = asked or LadderTable()
    low, high = (stated.start, stated.to) if stated.start is not None else (swept and swept.start, swept and swept.to)
    if not low or not high:
        return _without("it needs a band: write from and to in [ladder], or sweep in [frequency]")
    try:
        found = _answered(solved, low, high, stated.bound)
    except (SweepError, SolveError) as error:
        return _without(str(error))
    return Chapter(
        "ladder",
        TITLE,
        record(found),
        (table(found),),
        tuple(sentences(found)),
        tuple(warnings(found)),
        pictures={"ladder": partial(_drawn, found)},
        files={FILE: subcircuit(found.ladder, found.names, length=case.length or 1.0, heading=list(heading(found)))},
    )


def _answered(solved: SolvedCase, low: float, high: float, wanted: float) -> LadderAnswer:
    circuits = problem_of(solved).circuits
    # a resistance that circuits have in common is no cell of either: their sides are wired as they are
    shared = any(len(names) > 1 for names in problem_of(solved).feeds.values())
    sweep = band(solved, low, high, matrix=shared)
    problem = replace(sweep.problem, circuits=sides_apart(circuits, sweep.problem.bundles)) if shared else sweep.problem
    long = impedance_of(replace(sweep, problem=problem))
    closed = np.array([c.shorted for c in problem.circuits])
    if closed.any():
        problem = replace(problem, circuits=tuple(c for c in problem.circuits if not c.shorted))
        long = BesideShorted(long, closed)
    return LadderAnswer(
        problem,
        long,
        ladder(long, low, high, bound=wanted),
        impedance_limits(long),
        wanted,
        _bound(sweep),
        sweep.fine.model.discretisation.mesh.radius * RETURN,
        solved.case.length,
        solved.case.title,
        shared,
        past_bound(sweep),
        tuple(c.name for c in circuits if c.shorted),
    )


def _bound(found: Sweep) -> float:
    """Largest relative bound of a sweep, with what bundles that count as one medium leave open of R."""
    bars = [found.bounds]
    if found.fine.model.foster.stranded:
        bars += [found.circuit_errors(c)[0] for c in found.problem.circuits if c.current]
    return float(np.max(bars))


def _without(why: str) -> Chapter:
    return Chapter("ladder", TITLE, {"cells": None}, warnings=(f"no {FILE}: {why}",))


def _drawn(found: LadderAnswer) -> Figure:
    from crosscurrent.postprocess.pictures.ladder import ladder_plot

    return ladder_plot(found.ladder, found.long, found.names, found.title)
