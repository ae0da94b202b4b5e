"""The chapter "waveform": a current of many harmonics, given one by one or as a period."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.samples import samples_of
from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.topics.waveform import (
    WaveformAnswer,
    by_conductor,
    by_harmonic,
    record,
    sentences,
    warnings,
)
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.field.forecast import SolveError
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.time.harmonics import harmonic_loss

from .band import named_circuits

if TYPE_CHECKING:
    from matplotlib.figure import Figure

OWN_FILES = ("table.csv", "sweep.csv")  # names of a run's own files


def answered(case: Case, problem: Problem) -> WaveformAnswer | str | None:
    """The losses of the waveform, or why they could not be found; None where the case has no table [waveform].

    `problem` holds the conductors as they are in service.
    """
    table = case.data.waveform
    if table is None:
        return None
    read, circuits = samples_of(table, case.folder), named_circuits(case, table.circuit)
    spectrum = read[1].spectrum(case.accuracy) if read else table.given
    try:
        loss = harmonic_loss(problem, circuits, spectrum, accuracy=case.accuracy)
    except (SweepError, SolveError) as error:
        return str(error)
    samples, text = (read[1], read[0]) if read else (None, "")
    return WaveformAnswer(problem, circuits, case.length, loss, samples, text, case.accuracy)


def chapter(solved: SolvedCase) -> Chapter | None:
    """Where the case file has a table [waveform]."""
    found, table = solved.waveform, solved.case.data.waveform
    if isinstance(found, str):
        return Chapter("waveform", "Waveform", {"loss_w_per_m": None}, warnings=(f"no waveform: {found}",))
    if found is None or table is None:
        return None
    loss, name = found.loss, Path(table.file).name if table.file else ""
    return Chapter(
        "waveform",
        "Waveform",
        record(found),
        (by_harmonic(found), by_conductor(found)),
        tuple(sentences(found)),
        tuple(warnings(found)),
        pictures={"waveform": partial(_drawn, found, solved.case.title)},
        files={name: found.text} if found.text and name not in OWN_FILES else {},
        measured={"waveform_loss": (Measured(loss.total, loss.error, "W/m", ", ".join(found.circuits)),)},
    )


def _drawn(found: WaveformAnswer, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.waveform import waveform_plot

    return waveform_plot(found.loss, found.samples, found.circuits, title)
