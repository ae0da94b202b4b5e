"""Currents that no conductor of the section brings back, told before anything is solved."""

from __future__ import annotations

import cmath
import contextlib
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.solver.field.problem import Circuit
from crosscurrent.solver.time.sample_table import WaveformError

from .model import CaseData
from .samples import samples_of

NONE = 1e-9  # share of the currents that counts as none
LISTED = 3  # harmonics that are named


def unreturned(data: CaseData, circuits: Sequence[Circuit], folder: Path) -> Iterator[str]:
    """One sentence for the circuits as stated, one for [waveform] and one for [fault], where currents have no way back.

    Parameters
    ----------
    data : CaseData
    circuits : sequence of Circuit
        All of the case.
    folder : Path
        From which its files are counted.
    """
    # a circuit with a back brings its own current back
    ends = [circuit for circuit in circuits if not circuit.back and circuit.current]
    total = abs(sum(circuit.current for circuit in ends))
    if ends and total > NONE * max(abs(circuit.current) for circuit in ends):
        yield (
            f"the currents do not sum to zero: {total:.6g} A of {_quoted(ends)} return outside the section; "
            "resistances hold, inductances are those of a return on a circle around it, of the radius given with them"
        )
    with contextlib.suppress(WaveformError):  # a file that went since the case was checked is told by the solve
        yield from _harmonics(data, [c for c in circuits if not c.back], folder)
    yield from _fault(data, [c for c in circuits if not c.back])


def _harmonics(data: CaseData, ends: Sequence[Circuit], folder: Path) -> Iterator[str]:
    table = data.waveform
    ends = [c for c in ends if table and (c.name in table.circuit or not table.circuit)]
    if table is None or not ends:
        return
    read = samples_of(table, folder)
    spectrum = read[1].spectrum(data.accuracy.resistance) if read else table.given
    total = np.abs(sum(spectrum.delayed(cmath.phase(c.current)) for c in ends))
    lost = [int(k) for k in np.argsort(-total) if total[k] > 1e3 * NONE * spectrum.rms]
    if lost:
        amounts = [f"{_at(float(spectrum.frequency[k]))}: {engineering(float(total[k]), 'A')}" for k in lost[:LISTED]]
        more = f" and {len(lost) - LISTED} more harmonics" if len(lost) > LISTED else ""
        yield (
            f"[waveform] {', '.join(amounts)}{more} have no way back: {_quoted(ends)} without a conductor in back "
            "do not sum to zero there; the rest is taken to return far outside the section"
        )


def _fault(data: CaseData, ends: Sequence[Circuit]) -> Iterator[str]:
    table = data.fault
    ends = [c for c in ends if table and (c.name in table.circuit or not table.circuit)]
    total = abs(sum(cmath.exp(1j * cmath.phase(c.current)) for c in ends))
    if table is not None and ends and total > 1e3 * NONE:
        yield (
            f"[fault] {engineering(total * table.rms, 'A')} of {_quoted(ends)} have no way back: they are taken to "
            "return far outside the section, and the forces leave out what that return does; name all circuits that "
            "carry the fault"
        )


def _at(frequency: float) -> str:
    return concise(frequency, "Hz") if frequency else "direct current"


def _quoted(circuits: Sequence[Circuit]) -> str:
    return ", ".join(f'"{circuit.name}"' for circuit in circuits)
