"""The chapter "fault": a short-circuit current in time, its forces and its heat."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from crosscurrent.casefile.tables.fault import FaultTable
from crosscurrent.postprocess.answers.bundles import heat_as_laid
from crosscurrent.postprocess.answers.cautions import FAULT
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.answers.metal_limits import burning
from crosscurrent.postprocess.topics.duty import Service
from crosscurrent.postprocess.topics.fault import FaultAnswer, measured, record, sentences, table, warnings
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.field.forecast import SolveError
from crosscurrent.solver.heat.fault import temperatures_after
from crosscurrent.solver.time.fault import FaultCourse, follow

from .band import band, named_circuits, past_bound

if TYPE_CHECKING:
    from matplotlib.figure import Figure


def chapter(solved: SolvedCase) -> Chapter | None:
    """Where the case file has a table [fault]."""
    case, asked = solved.case, solved.case.data.fault
    if asked is None or solved.service is None:
        return None
    try:
        found = _answered(solved, asked, solved.service)
    except (SweepError, SolveError) as error:
        return Chapter("fault", "Fault current", {"peak_current_a": None}, warnings=(f"no fault: {error}",))
    return Chapter(
        "fault",
        "Fault current",
        record(found),
        (table(found),),
        tuple(sentences(found)),
        tuple(warnings(found)),
        (*FAULT, *burning(found.temperatures)),
        pictures={
            "fault": partial(_course_drawn, found.fault, case.title),
            "fault-density": partial(_maps_drawn, found.fault, case.title),
        },
        measured=measured(found),
    )


def _answered(solved: SolvedCase, asked: FaultTable, before: Service) -> FaultAnswer:
    model, circuits = band(solved, asked.low, asked.high), named_circuits(solved.case, asked.circuit)
    fault = follow(model, circuits, asked.excitation, asked.rms, asked.frequency or 0.0)
    steady, problem = fault.steady.fine, solved.case.problem()
    heat = heat_as_laid(fault.steady.problem, fault.frequency, steady.currents[0], steady.losses[0])
    return FaultAnswer(
        problem,
        fault,
        before,
        temperatures_after(fault, before.temperature),
        temperatures_after(fault, before.temperature, heat),
        asked.form,
        asked.rms,
        asked.frequency or 0.0,
        asked.decay,
        asked.duration,
        past_bound(model),
    )


def _course_drawn(fault: FaultCourse, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.fault import course_plot

    return course_plot(fault, title)


def _maps_drawn(fault: FaultCourse, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.fault import density_row

    return density_row(fault, title)
