"""The chapter "measured": what a meter showed of the run, laid over what is calculated for it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError, Fault
from crosscurrent.casefile.measured import HOW_LONG, MeasuredRun, measured_run, which_circuit
from crosscurrent.casefile.tables.measured import MeasuredTable
from crosscurrent.casefile.variables import Variable
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.meter_files.read import from_table, read_meter_file
from crosscurrent.postprocess.answers.cautions import BENCH
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.topics import diagnosis
from crosscurrent.postprocess.topics.measured import (
    FILE,
    MeasuredAnswer,
    measured_csv,
    record,
    sentences,
    table,
    warnings,
)
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.forecast import SolveError
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import Progress
from crosscurrent.solver.meter.diagnosis import Diagnosis
from crosscurrent.solver.meter.overlay import Overlay, leads_found, with_scatter
from crosscurrent.solver.meter.run_impedance import TolerancedFigure, on_the_meter, run_impedance

from .diagnosis import diagnosed
from .slopes_asked import TABLES, apart
from .tolerance_trials import causes_of

if TYPE_CHECKING:
    from matplotlib.figure import Figure

TITLE = "Measured against calculated"
OWN_FILES = ("table.csv", "sweep.csv")  # names of a run's own files
ROUNDING = 1e-6  # by which frequencies may differ and count as one
NO_RETURN = (
    "{} has no way back in the section: its L counts to a circle, not to the way back it had on the bench; compare R "
    "only, or draw the way back"
)
GIVEN = ("temperature", "current", "angle")  # what the measurement states itself, or what a meter does not see


def run_of(case: Case) -> MeasuredRun | None:
    """What [measured] of a case says, from its files; None where it names none."""
    asked = case.data.measured
    if asked is None:
        return None
    return measured_run(asked, case.folder, _length(case), case.data.ambient)


def _length(case: Case) -> float:
    """Of the run, where [measured] states none [m]; round an axis figures are those of a whole coil."""
    return 1.0 if case.axial or case.length is None else case.length


def chapter(solved: SolvedCase, progress: Progress | None = None) -> Chapter | None:
    """Where the table [measured] of a case names a file."""
    found = run_of(solved.case)
    if found is None:
        return None
    try:
        return chapter_of(solved.case, found, progress)
    except SolveError as error:
        return Chapter("measured", TITLE, {"points": None}, warnings=(f"nothing to compare the meter with: {error}",))


def asked_of(case: Case) -> MeasuredTable:
    """The table [measured] of a case, or an empty one where that says enough.

    Raises
    ------
    CaseError
        It does not say which circuit was measured, or how long the run was.
    """
    asked = case.data.measured or MeasuredTable()
    faults = []
    names = [c.name for c in case.problem().circuits]
    if asked.circuit is None and len(names) > 1:
        faults.append(Fault(None, "circuit", *which_circuit(names), "measured"))
    if not case.axial and case.length is None and asked.length is None:
        faults.append(Fault(None, "length", *HOW_LONG, "measured"))
    if faults:
        raise CaseError(faults, case.path.name if case.path else "")
    return asked


def from_file(case: Case, file: Path) -> MeasuredRun:
    """What [measured] of a case says of another file than its own.

    Raises
    ------
    CaseError
        The case does not say enough.
    MeterFileError
        The file is at fault, or can be read in two ways.
    MissingExtra
    """
    asked = asked_of(case)
    read = read_meter_file(file, asked.stated)
    found = measured_run(asked, case.folder, _length(case), case.data.ambient, read)
    assert found is not None
    return found


def from_frame(case: Case, titles: Sequence[str], values: FloatArray) -> MeasuredRun:
    """The same of columns with titles as files have them.

    Raises
    ------
    CaseError
        The case does not say enough.
    MeterFileError
        The columns can be read in two ways.
    """
    asked = asked_of(case)
    read = from_table(titles, values, "frame", "the frame", asked.stated)
    found = measured_run(asked, case.folder, _length(case), case.data.ambient, read)
    assert found is not None
    return found


def chapter_of(case: Case, found: MeasuredRun, progress: Progress | None = None) -> Chapter:
    """The overlay of a measurement.

    Raises
    ------
    SolveError
        A frequency cannot be solved.
    """
    answer = answered(case, found, progress)
    causes = diagnosed(case, answer, progress)
    told = causes if isinstance(causes, Diagnosis) else None
    verdict, *rest = sentences(answer, None if told is None else told.verdict)
    files = {name: text for name, text in found.texts.items() if name not in OWN_FILES}
    return Chapter(
        "measured",
        TITLE,
        record(answer) | {"diagnosis": None if told is None else diagnosis.record(told)},
        (table(answer), *(() if told is None else (diagnosis.table(told),))),
        (verdict, *((str(causes),) if told is None else diagnosis.sentences(told, found.reading.joints)), *rest),
        tuple(warnings(answer)),
        BENCH,
        pictures={"measured": partial(_drawn, answer, case.title)}
        | ({} if told is None else {"measured-causes": partial(_causes_drawn, told, case.title)}),
        files=files | {FILE: measured_csv(answer)},
    )


def answered(case: Case, found: MeasuredRun, progress: Progress | None = None) -> MeasuredAnswer:
    """A measurement beside what is calculated at its frequencies, its temperature and a meter's small current."""
    asked, reading = case.data.measured or MeasuredTable(), found.reading
    circuit = asked.circuit or case.problem().circuits[0].name
    hung = partial(on_the_meter, circuit=circuit, temperature=reading.temperature)
    low, high = reading.frequencies[[0, -1]]
    wanted = tuple(_snapped(f, reading.frequencies) for f in case.data.frequency.at if f)
    every = np.union1d(reading.frequencies, [f for f in wanted if low <= f <= high])
    figures, left_out = _toleranced(case, hung)
    joints = sum(row.resistance * row.number for row in case.data.joint if row.circuit == circuit)
    whole = case.axial or case.length is None or abs(reading.length / case.length - 1) < ROUNDING
    known = run_impedance(
        hung(case.problem()),
        every,
        1.0 if case.axial else reading.length,
        accuracy=case.accuracy,
        toleranced=[one for _, one in figures],
        bound=case.data.tolerance is None or case.data.tolerance.read_as == "bound",
        progress=progress,
    )
    known = replace(known, impedance=known.impedance + joints * whole)
    there = known.at(reading.frequencies)
    reading = with_scatter(reading, there)
    reading, leads = leads_found(
        reading, there, resistance="resistance" in asked.find_leads, inductance="inductance" in asked.find_leads
    )
    names = tuple(key for key, _ in figures) if not known.solved else ()
    if known.solved and figures:
        left_out = (*left_out, "all of them, since no reduced model holds this section over the band")
    doubts = found.warnings if _returns(case, circuit) else (*found.warnings, NO_RETURN.format(circuit))
    return MeasuredAnswer(
        found.file, circuit, Overlay(reading, there), known, wanted, found.recognised, doubts, leads, names,
        left_out, case.axial, joints * whole, joints * (not whole),
    )  # fmt: skip


def _returns(case: Case, circuit: str) -> bool:
    """Whether the current of a circuit comes back in the section, or goes round an axis."""
    return case.axial or any(c.name == circuit and c.back for c in case.problem().circuits)


def _snapped(frequency: float, measured: FloatArray) -> float:
    """The measured frequency that is meant by one of the case, where they differ by rounding only [Hz]."""
    nearest = float(measured[np.abs(measured - frequency).argmin()])
    return nearest if abs(nearest - frequency) < ROUNDING * frequency else frequency


def _toleranced(
    case: Case, hung: partial[Problem]
) -> tuple[Sequence[tuple[str, TolerancedFigure]], tuple[str, ...]]:
    """The figures with a tolerance that the impedance depends on, and those without a slope."""
    found, left_out = [], []
    for one in causes_of(case):
        if one.path[0] not in TABLES or one.dimension in GIVEN:
            continue
        beside = apart(case, one)
        if beside.problem is None:
            left_out.append(f"{one.key}: {beside.why}")
            continue
        change = partial(_change, one, hung(beside.problem), beside.step)
        found.append((one.key, TolerancedFigure(change, one.tolerance)))
    return found, tuple(left_out)


def _change(one: Variable, problem: Problem, step: float, solution: Solution) -> Change:
    return Change(one.key, problem, step)


def _causes_drawn(told: Diagnosis, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.diagnosis import diagnosis_figure

    return diagnosis_figure(told, title)


def _drawn(answer: MeasuredAnswer, title: str) -> Figure:
    from crosscurrent.postprocess.pictures.measured import measured_figure

    return measured_figure(answer, title)
