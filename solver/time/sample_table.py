"""One period of a current as an oscilloscope writes it: a table of times and currents."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import CrosscurrentError

from .spectrum import Samples

TIMES = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9}
CURRENTS = {"A": 1.0, "kA": 1e3, "mA": 1e-3}
_SIGNS = {";": "a semicolon", "\t": "a tab", ",": "a comma"}
TITLES = '"time [us], current [A]"'
CLOSE = 1e-6  # share of the period that counts as none
WHOLE = 0.75  # share of the period that samples must span
_ROW = re.compile(r"[-+0-9.eE]+ ?[,;\t] ?[-+0-9.eE]+")
_QUOTED = 60  # letters of a line that a message repeats
MOST_ROWS = 100_000
ALIKE = 0.02  # share of the range by which the first sample may differ one period later


class WaveformError(CrosscurrentError, ValueError):
    """Samples that are no period of a current.

    Parameters
    ----------
    where, expected, found, hint : str
        File and line; what was expected, what was found, what to do.
    """

    def __init__(self, where: str, expected: str, found: str, hint: str = "") -> None:
        self.where, self.expected, self.found, self.hint = where, expected, found, hint
        super().__init__(f"{where}: expected {expected}, found {found}{'; ' if hint else ''}{hint}")


def read_samples(text: str, frequency: float, name: str = "the file") -> Samples:
    """One period of a current from a table of text.

    Parameters
    ----------
    text : str
        A line "time [us], current [A]" and rows of two numbers, separated by commas, semicolons or tabs; lines that
        begin with # are skipped. Units: s, ms, us, ns; A, kA, mA.
    frequency : float
        With which it repeats [Hz].
    name : str
        Of the file, for messages.

    Raises
    ------
    WaveformError
        Says in which line, what was expected and found, and what to do.

    Examples
    --------
    >>> found = read_samples("time [us], current [A]\\n0, 0\\n3, 10\\n6, 0\\n9, -10", 1 / 12e-6)
    >>> round(found.rms, 4)
    5.7735
    """
    lines = [(n, line.strip()) for n, line in enumerate(text.lstrip("\ufeff").splitlines(), 1)]
    lines = [(n, line) for n, line in lines if line and not line.startswith("#")]
    if not lines:
        raise WaveformError(name, f"a line {TITLES} and rows of numbers", "nothing", "save the samples again")
    if len(lines) > MOST_ROWS + 1:
        hint = "a period of some thousand samples will do: take every tenth"
        raise WaveformError(name, f"at most {MOST_ROWS} rows", str(len(lines) - 1), hint)
    head, sign = lines[0][1], next((s for s in (";", "\t", ",") if s in lines[0][1]), ",")
    unit = _units(head, sign, f"{name}, line {lines[0][0]}")
    rows = np.array([_row(line, sign, f"{name}, line {n}") for n, line in lines[1:]]).reshape(-1, 2) * unit
    return _period(rows, [n for n, _ in lines[1:]], 1 / frequency, name)


def _units(head: str, sign: str, where: str) -> FloatArray:
    words = [cell.strip() for cell in head.split(sign)]
    found = []
    for word, wanted, known in zip([*words, "", ""][:2], ("time", "current"), (TIMES, CURRENTS), strict=True):
        title, _, unit = word.partition("[")
        if title.strip().lower() != wanted or unit.rstrip("] ") not in known:
            hint = f"units are {', '.join(TIMES)} and {', '.join(CURRENTS)}"
            # another file than was meant: nothing of it is repeated
            meant = head.lower().startswith("time") or bool(_ROW.fullmatch(head))
            quoted = f'"{head[:_QUOTED]}"' if meant else "something else"
            raise WaveformError(where, f"the titles {TITLES}", quoted, hint)
        found.append(known[unit.rstrip("] ")])
    return np.array(found)


def _row(line: str, sign: str, where: str) -> tuple[float, float]:
    cells = [cell.strip() for cell in line.split(sign)]
    try:
        time, current = (float(cell) for cell in cells)
    except ValueError:
        comma = sign != "," and any("," in cell for cell in cells)
        hint = "write a decimal point" if comma else f"write two numbers with {_SIGNS[sign]} between them"
        raise WaveformError(where, "two numbers, time and current", f'"{line[:_QUOTED]}"', hint) from None
    if not (math.isfinite(time) and math.isfinite(current)):
        raise WaveformError(where, "two finite numbers", f'"{line[:_QUOTED]}"', "leave the row out")
    return time, current


def _period(rows: FloatArray, lines: Sequence[int], period: float, name: str) -> Samples:
    if len(rows) < 3:
        raise WaveformError(name, "at least 3 samples of one period", str(len(rows)), "save more of them")
    times, currents = rows.T
    back = np.flatnonzero(np.diff(times) <= 0)
    if len(back):
        k = int(back[0]) + 1
        hint = "give a sudden edge the time it takes to rise"
        raise WaveformError(f"{name}, line {lines[k]}", f"a time after {times[k - 1]:.9g} s", f"{times[k]:.9g} s", hint)
    span = float(times[-1] - times[0])
    stated, found = f"period of {period:.6g} s (the stated frequency)", f"samples over {span:.6g} s"
    if span > period * (1 + CLOSE):
        hint = "leave out what is beyond one period or correct the frequency"
        raise WaveformError(name, f"one {stated}", found, hint)
    if span < WHOLE * period:
        raise WaveformError(name, f"a whole {stated}", found, "add the rest or correct the frequency")
    if span > period * (1 - CLOSE):  # the last sample is the first of the next period
        if abs(currents[-1] - currents[0]) > ALIKE * float(np.ptp(currents)):
            expected = f"the current of the first sample again, {currents[0]:.6g} A, one period later"
            hint = "a sudden edge needs the time it takes to rise"
            raise WaveformError(f"{name}, line {lines[-1]}", expected, f"{currents[-1]:.6g} A", hint)
        times, currents = times[:-1], currents[:-1]
    if not currents.any():
        raise WaveformError(name, "a current", "only zeros", "save the samples of a period that carries current")
    return Samples(times, currents, period)
