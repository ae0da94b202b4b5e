"""What a meter showed of a case: the files that [measured] names, read, converted and corrected."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

import numpy as np

from crosscurrent.extras import MissingExtra
from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.meter_files.meter_file import MeterFile, MeterFileError
from crosscurrent.meter_files.read import meter_text, read_meter_file
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.solver.meter.accuracy import errors_at
from crosscurrent.solver.meter.fixture import at_frequencies, without_fixture
from crosscurrent.solver.meter.reading import MeterReading

from .draft import Draft
from .faults import Fault
from .names import value
from .quantities import nearest
from .tables.measured import ASSUMED, MeasuredTable

HOW_LONG = ("the length of the run that was measured", "none", 'write length = "2.4 m"')  # expected, found, hint
NOTHING = 1e-9  # of what was measured: less is no part
ROUNDING = 1e-6  # share by which a band may end before another that it is to hold


@dataclass(frozen=True, eq=False)
class MeasuredRun:
    """A reading, and what was made of the files.

    Attributes
    ----------
    reading : MeterReading
    recognised : tuple of str
        What was taken for what, file by file.
    warnings : tuple of str
    file : str
        Its name.
    texts : mapping of str to str
        The files by their names, as they are kept beside results.
    """

    reading: MeterReading
    recognised: tuple[str, ...]
    warnings: tuple[str, ...]
    file: str
    texts: Mapping[str, str] = field(default_factory=dict)


def measured_run(
    table: MeasuredTable, folder: Path, length: float, ambient: float, read: MeterFile | None = None
) -> MeasuredRun | None:
    """What [measured] says, from its files counted from a folder; None where it names none.

    Parameters
    ----------
    table : MeasuredTable
    folder : Path
    length : float
        Of the run [m], where the table states none.
    ambient : float
        [degC], likewise.
    read : MeterFile, optional
        In the place of its file.

    Raises
    ------
    MeterFileError
        A file is at fault, or can be read in two ways.
    MissingExtra
        What reads Touchstone files is not installed.
    """
    if read is not None:
        table = table.model_copy(update={"file": None})
    elif table.file is None:
        return None
    else:
        read = read_meter_file(folder / table.file, table.stated)
    opened, shorted = (_fixture(table, key, folder, read.frequencies) for key in ("open", "short"))
    with np.errstate(divide="ignore", invalid="ignore"):  # told by _left
        own = without_fixture(read.impedance, *(one and one[0] for one in (opened, shorted)))
    own = own - (table.lead_resistance or 0.0) - 2j * np.pi * read.frequencies * (table.lead_inductance or 0.0)
    _left(read, own)
    said = [f"{read.name}: {line}" for line in read.recognised]
    said += [line for one in (opened, shorted) if one for line in one[1]]
    said += _corrections(table)
    taken = table.length or length
    reading = _reading(table, read, own, taken, ambient)
    named = [folder / file for file in (table.file, table.open, table.short) if file]
    texts = {path.name: meter_text(path) for path in named}
    return MeasuredRun(reading, tuple(said), tuple(_doubts(table, read, own)), read.name, texts)


def _left(read: MeterFile, own: ComplexArray) -> None:
    """A fault where nothing, or no bound, is left of what was measured."""
    share = np.abs(own) / np.abs(read.impedance)
    lost = ~((share > NOTHING) & (share < 1 / NOTHING))
    if lost.any():
        where = concise(float(read.frequencies[lost][0]), "Hz")
        hint = "name other files: open and short are of the fixture without the part"
        raise MeterFileError(read.name, "an impedance left of the part", f"none at {where}, fixture off", hint)


def _reading(
    table: MeasuredTable, read: MeterFile, own: ComplexArray, length: float, ambient: float
) -> MeterReading:
    """With the accuracy that the meter had where it measured, fixture included."""
    ranges = table.ranges
    if ranges[-1].to * (1 + ROUNDING) < read.frequencies[-1]:
        end, highest = (concise(float(f), "Hz") for f in (ranges[-1].to, read.frequencies[-1]))
        hint = "leave to out in the last range"
        raise MeterFileError(read.name, f"frequencies up to {end}, where accuracy ends", highest, hint, "accuracy")
    errors = errors_at(read.frequencies, (*ranges[:-1], replace(ranges[-1], to=math.inf)))
    shown = errors.gain * np.abs(read.impedance) / np.abs(own)
    zero = np.zeros(len(own))
    return MeterReading(
        frequencies=read.frequencies,
        resistance=own.real,
        reactance=own.imag,
        gain=shown,
        angle=shown,
        floor=errors.floor,
        noise_resistance=zero,
        noise_reactance=zero,
        ranges=errors.ranges,
        length=length,
        temperature=ambient if table.temperature is None else table.temperature,
        joints=table.joints,
        floor_stated=_floor_stated(table),
    )


def _fixture(
    table: MeasuredTable, key: str, folder: Path, frequencies: FloatArray
) -> tuple[ComplexArray, Sequence[str]] | None:
    """The open or the short at the frequencies of the reading [ohm], and what was recognised."""
    file = getattr(table, key)
    if file is None:
        return None
    try:
        found = read_meter_file(folder / file, table.stated)
    except MeterFileError as error:
        raise MeterFileError(error.where, error.expected, error.found, error.hint, error.key or key) from None
    low, high = found.frequencies[[0, -1]]
    if low > frequencies[0] * (1 + ROUNDING) or high < frequencies[-1] * (1 - ROUNDING):
        wanted = " to ".join(concise(float(f), "Hz") for f in frequencies[[0, -1]])
        ends, hint = f"{concise(float(low), 'Hz')} to {concise(float(high), 'Hz')}", "measure it over the same sweep"
        raise MeterFileError(found.name, f"the band of the measurement, {wanted}", ends, hint, key)
    values = at_frequencies(frequencies, found.frequencies, found.impedance, opened=key == "open")
    return values, [f"{found.name} ({key}): {line}" for line in found.recognised]


def _corrections(table: MeasuredTable) -> Iterator[str]:
    """What was taken off."""
    if table.open and table.short:
        yield "open and short taken off in two steps: the admittance of the open, then what is left of the short"
    elif table.open or table.short:
        yield "open taken off as an admittance" if table.open else "short taken off as a series impedance"
    stated = [
        concise(amount, unit)
        for amount, unit in ((table.lead_resistance, "ohm"), (table.lead_inductance, "H"))
        if amount
    ]
    if stated:
        yield f"leads taken off as stated: {' and '.join(stated)}"


def _floor_stated(table: MeasuredTable) -> bool:
    """Whether the offset of the meter is known: taken off with a short, or bounded."""
    return bool(table.short) or any(one.floor for one in table.accuracy)


def _doubts(table: MeasuredTable, read: MeterFile, own: ComplexArray) -> Iterator[str]:
    if not table.accuracy:
        yield (
            f"the accuracy of the meter is not stated: {100 * ASSUMED:g} % of the impedance is taken; say it in "
            "[measured], since bars and causes rest on it"
        )
    elif not _floor_stated(table):
        yield (
            "no floor of the meter is stated: an offset of its own looks like a series resistance or inductance; state "
            "it by the data sheet, or measure a short"
        )
    if (below := own.real <= 0).any():
        at = concise(float(read.frequencies[below][0]), "Hz")
        yield (
            f"the measured resistance is not above 0 at {int(below.sum())} of {len(own)} frequencies, the first {at}: "
            "below what the meter or its fixture can tell"
        )
    if (turned := own.imag < 0).any():
        at, count = concise(float(read.frequencies[turned][0]), "Hz"), int(turned.sum())
        where = f"from {at} on" if turned[-count:].all() else f"at {count} of {len(own)} frequencies, the first {at}"
        yield f"the measured reactance is negative {where}: past a resonance, or leads the wrong way round"


def measured_faults(draft: Draft, folder: Path) -> Iterator[Fault]:
    """A circuit that is none, a length that is missing, files that cannot be used, counted from a folder."""
    written, known = draft.data.get("measured"), draft.circuit_names
    if written is None:
        return
    circuit = value(written, "circuit")
    if isinstance(circuit, str) and known and circuit not in known:
        near = nearest(circuit, known)
        hint = f'did you mean "{near}"?' if near else f"the circuits are {', '.join(known)}"
        yield draft.fault(("measured", "circuit"), "the name of a circuit", f'"{circuit}"', hint)
    elif circuit is None and len(known) > 1:
        yield draft.fault(("measured",), *which_circuit(known))
    if draft.axial and value(written, "length") is not None:
        hint = "leave it out: R and L are those of the whole coil"
        yield draft.fault(("measured", "length"), "no length round an axis", "one", hint)
    if not draft.axial and "length" not in draft.data and value(written, "length") is None:
        yield draft.fault(("measured",), *HOW_LONG)
    try:
        if draft.measured is not None:
            measured_run(draft.measured, folder, 1.0, 20.0)
    except MeterFileError as error:
        path = ("measured", error.key or "file")
        yield draft.fault(path, f"in {error.where}: {error.expected}", error.found, error.hint)
    except MissingExtra as error:
        hint = "or export the sweep as CSV"
        yield draft.fault(("measured", "file"), "a library that reads Touchstone files", str(error), hint)


def which_circuit(known: Sequence[str]) -> tuple[str, str, str]:
    """What is expected, found and to be done where nobody says which of several circuits hung on the meter."""
    return "the circuit that hung on the meter", "none", f'write circuit = "{known[0]}"'
