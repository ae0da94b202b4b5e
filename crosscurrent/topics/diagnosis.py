"""What the difference of a measurement says: its causes, asked of the section as the case writes it."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.geometries.arrays import IntArray
from crosscurrent.geometries.errors import MeshError
from crosscurrent.postprocess.topics.measured import MeasuredAnswer
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.field.solve import Progress
from crosscurrent.solver.meter.diagnose import diagnose
from crosscurrent.solver.meter.diagnosis import Diagnosis
from crosscurrent.solver.meter.reading import MeterReading
from crosscurrent.solver.meter.swept_causes import calculated

from .measured_causes import run_of

FEWEST = 6  # frequencies from which causes are told apart
MOST = 120  # rows that are weighed; of more every so many


def diagnosed(case: Case, answer: MeasuredAnswer, progress: Progress | None = None) -> Diagnosis | str:
    """What explains the difference, or why that cannot be asked.

    Parameters
    ----------
    case : Case
    answer : MeasuredAnswer
        The measurement, with what is calculated for it.
    progress : callable, optional
    """
    reading = weighed(_with_leads(answer))  # less the joints of the case, which no figure of the section moves
    if len(reading.frequencies) < FEWEST:
        return f"causes of the difference: expected {FEWEST} frequencies or more, found {len(reading.frequencies)}"
    run = run_of(case, reading, answer.circuit, answer.allowed)
    try:
        return diagnose(reading, calculated(run, reading, progress, known=answer.known.sweep))
    except (SweepError, MeshError) as error:
        return f"causes of the difference are not looked for: {error}"


def _with_leads(answer: MeasuredAnswer) -> MeterReading:
    """As the meter showed it, less joints that the case allows for: leads that were found are a cause like others."""
    reading, ((r, _), (h, _)) = answer.overlay.reading, answer.leads
    shown = reading.resistance + r - answer.allowed
    return replace(reading, resistance=shown, reactance=reading.reactance + reading.omega * h)


def weighed(reading: MeterReading) -> MeterReading:
    """A reading with no more rows than are needed."""
    count = len(reading.frequencies)
    if count <= MOST:
        return reading
    part = partial(np.take, indices=_even(count))
    return replace(
        reading, frequencies=part(reading.frequencies), resistance=part(reading.resistance),
        reactance=part(reading.reactance), gain=part(reading.gain), angle=part(reading.angle),
        floor=part(reading.floor), noise_resistance=part(reading.noise_resistance),
        noise_reactance=part(reading.noise_reactance), ranges=part(reading.ranges),
    )  # fmt: skip


def _even(count: int) -> IntArray:
    return np.asarray(np.linspace(0, count - 1, MOST).round().astype(int))
