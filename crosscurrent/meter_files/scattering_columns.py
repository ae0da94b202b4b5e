"""Columns of scattering parameters, as network analysers export them -> the series impedance over frequency."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .columns import STEEPEST, StatedColumns, frequency_column, titles_of
from .connection import impedance_of, way
from .meter_file import MeterFile, MeterFileError, in_order
from .scattering_titles import Part, ScatteringTitle, scattering_title

USUAL = 50.0  # reference impedance of network analysers [ohm]
GREATEST = 1.1  # magnitude that a passive part, badly calibrated, may show
EXAMPLE = 'columns = ["f [Hz]", "S11 re", "S11 im"] or ["f [Hz]", "S11 [dB]", "S11 [deg]"]'
PAIRS: tuple[tuple[Part, Part], ...] = (("real", "imaginary"), ("magnitude", "angle"))


def has_scattering(titles: Sequence[str], stated: StatedColumns) -> bool:
    """Whether a column names a scattering parameter."""
    return any(scattering_title(text) for text in stated.columns or titles)


def from_scattering_columns(
    titles: Sequence[str], values: FloatArray, name: str, where: str, stated: StatedColumns, words: str = ""
) -> MeterFile:
    """The impedance of a part whose scattering parameters stand in columns: real and imaginary, or magnitude and angle.

    Parameters
    ----------
    titles : sequence of str
    values : (rows, columns) float
    name, where : str
        The file, and with its line, for messages.
    stated : StatedColumns
    words : str
        How the text was read.

    Raises
    ------
    MeterFileError
        A column that is needed is missing, or can be read in two ways, or nobody says how the part was connected.

    Examples
    --------
    >>> found = from_scattering_columns(["f [Hz]", "S11 re", "S11 im"], np.array([[1e3, 0.0, 1.0]]), "a", "a",
    ...     StatedColumns())
    >>> found.impedance.round(6).tolist(), found.recognised[1]
    ([50j], 'scattering parameters at 50 ohm, as nothing else is said, one-port')
    """
    known = titles_of(titles, values.shape[1], where, stated, also=lambda text: scattering_title(text) is not None)
    frequency = frequency_column(known, values, where)
    columns = {k: found for k, one in enumerate(known) if (found := scattering_title(one.text))}
    connected = way(where, 1 if {one.place for one in columns.values()} == {"S11"} else 2, stated.connection)
    first, second = _pair(columns, "S11" if connected == "one-port" else "S21", where)
    pair = {k: _told_apart(columns[k], values[:, k], where, stated) for k in (first, second)}
    scattering = _complex(*((one, values[:, k]) for k, one in pair.items()))
    reference = np.full(len(values), stated.reference or USUAL, dtype=complex)
    names = {frequency: known[frequency].words} | {k: one.words for k, one in pair.items()}
    said = ", ".join(f"column {k + 1} {what}" for k, what in names.items())
    taken = f"{reference[0].real:g} ohm" + ("" if stated.reference else ", as nothing else is said")
    recognised = (*filter(None, (words,)), said, f"scattering parameters at {taken}, {connected}")
    hertz = values[:, frequency] * known[frequency].worth()
    return in_order(name, hertz, impedance_of(scattering, reference, connected), recognised)


def _pair(columns: dict[int, ScatteringTitle], place: str, where: str) -> tuple[int, int]:
    """The two columns that fix one parameter."""
    titles = ", ".join(f'"{one.text}"' for one in columns.values())
    parts: dict[Part | None, list[int]] = {}
    for k, one in columns.items():
        if one.place == place:
            parts.setdefault(one.part, []).append(k)
    for both in PAIRS:
        if all(len(parts.get(part, ())) == 1 for part in both):
            return parts[both[0]][0], parts[both[1]][0]
    expected = f"one real and one imaginary part, or one magnitude and one angle, of {place}"
    raise MeterFileError(where, expected, titles, f"say what the columns are: {EXAMPLE}", "columns")


def _told_apart(one: ScatteringTitle, column: FloatArray, where: str, stated: StatedColumns) -> ScatteringTitle:
    """A column that is used, with its unit: a magnitude below 0 is in decibels, of a passive part above 0 is not."""
    if one.unit is not None or one.part in ("real", "imaginary"):
        return one
    if one.part == "angle":
        largest = float(np.nanmax(np.abs(column), initial=0.0))
        if stated.phase or largest > 2 * STEEPEST:
            return replace(one, unit=stated.phase or "deg")
        found = f'"{one.text}" with angles up to {largest:.3g}, which may be degrees or radians'
        raise MeterFileError(where, "a unit of the angle", found, 'write phase = "deg" or phase = "rad"', "phase")
    if np.nanmin(column, initial=np.inf) < 0:
        return replace(one, unit="dB")
    largest = float(np.nanmax(column, initial=0.0))
    if largest <= GREATEST:
        return replace(one, unit="1")
    found = f'"{one.text}" up to {largest:.3g}, which is neither that of a passive part nor one below 0 dB'
    raise MeterFileError(where, "a unit of the magnitude", found, f"say it: {EXAMPLE}", "columns")


def _complex(first: tuple[ScatteringTitle, FloatArray], second: tuple[ScatteringTitle, FloatArray]) -> ComplexArray:
    (title, one), (angle, other) = first, second
    if title.part == "real":
        return np.asarray(one + 1j * other)
    magnitude = 10 ** (one / 20) if title.unit == "dB" else one
    return np.asarray(magnitude * np.exp(1j * (np.radians(other) if angle.unit == "deg" else other)))
