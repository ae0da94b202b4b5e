"""What was read of a file, and what is wrong with one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.postprocess.answers.units import concise

MOST_ROWS = 2000


class MeterFileError(CrosscurrentError, ValueError):
    """A file that cannot be read, or can be read in two ways.

    Parameters
    ----------
    where, expected, found, hint : str
        File and line; what was expected, what was found, what to do.
    key : str
        That of [measured] which decides between two readings; empty where the file is at fault.
    """

    def __init__(self, where: str, expected: str, found: str, hint: str = "", key: str = "") -> None:
        self.where, self.expected, self.found, self.hint, self.key = where, expected, found, hint, key
        super().__init__(f"{where}: expected {expected}, found {found}{'; ' if hint else ''}{hint}")


@dataclass(frozen=True, eq=False)
class MeterFile:
    """The series impedance over frequency that a file holds.

    Attributes
    ----------
    name : str
        Of the file.
    frequencies : (n,) float
        [Hz], rising, above 0.
    impedance : (n,) complex
        [ohm]
    recognised : tuple of str
        What was taken for what.
    """

    name: str
    frequencies: FloatArray
    impedance: ComplexArray
    recognised: tuple[str, ...]


def in_order(
    name: str, frequencies: FloatArray, impedance: ComplexArray, recognised: Sequence[str]
) -> MeterFile:
    """Rows by rising frequency, those at one frequency as their mean, those of direct current left out.

    Raises
    ------
    MeterFileError
        No row is left, or there are too many.

    Examples
    --------
    >>> found = in_order("bench.csv", np.array([2e3, 1e3, 1e3]), np.array([3j, 1j, 2j]), ())
    >>> found.impedance.tolist(), found.recognised
    ([1.5j, 3j], ('1 kHz to 2 kHz; 1 row at a frequency given before: their mean',))
    """
    usable = np.isfinite(frequencies) & (frequencies > 0) & np.isfinite(impedance)
    said = [_rows(int((~usable).sum()), "without frequency or impedance above 0 left out")] if not usable.all() else []
    if not usable.any():
        raise MeterFileError(name, "rows with a frequency above 0 Hz", "none", "save the sweep again")
    if usable.sum() > MOST_ROWS:
        hint = f"take one row in {-(-int(usable.sum()) // MOST_ROWS)}: the curves are smooth"
        raise MeterFileError(name, f"at most {MOST_ROWS} rows", f"{usable.sum()}", hint)
    own, which = np.unique(frequencies[usable], return_inverse=True)
    mean = np.zeros(len(own), dtype=complex)
    np.add.at(mean, which, impedance[usable] / np.bincount(which)[which])
    if again := int(usable.sum()) - len(own):
        said.append(_rows(again, "at a frequency given before: their mean"))
    ends = " to ".join(dict.fromkeys(concise(float(f), "Hz") for f in own[[0, -1]]))
    return MeterFile(name, own, mean, (*recognised, "; ".join([ends, *said])))


def _rows(count: int, what: str) -> str:
    return f"{count} row{'s' if count > 1 else ''} {what}"
