"""A file of a meter or network analyser, whatever its kind -> the impedance it holds."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.ordinary_file import FileFault, ordinary_bytes

from .columns import StatedColumns, from_columns
from .meter_file import MeterFile, MeterFileError
from .scattering_columns import from_scattering_columns, has_scattering
from .text_table import text_of, text_table
from .touchstone import is_touchstone, read_touchstone

MOST_BYTES = 5_000_000


def read_meter_file(path: Path, stated: StatedColumns | None = None) -> MeterFile:
    """Read a CSV file of any layout, or a Touchstone file.

    Parameters
    ----------
    path : Path
    stated : StatedColumns, optional
        What the user says of it.

    Raises
    ------
    MeterFileError
        It cannot be read, or in two ways.
    MissingExtra
        It is a Touchstone file, and scikit-rf is not installed.
    """
    data, said = _bytes(path), stated or StatedColumns()
    if is_touchstone(path):
        return read_touchstone(path, said.connection)
    table = text_table(text_of(data), path.name, said.decimal)
    return from_table(table.titles, table.values, path.name, f"{path.name}, line {table.line}", said, table.words)


def from_table(
    titles: Sequence[str], values: FloatArray, name: str, where: str, stated: StatedColumns, words: str = ""
) -> MeterFile:
    """The impedance that columns of numbers hold, or the scattering parameters in them.

    Parameters
    ----------
    titles : sequence of str
        Empty where there are none.
    values : (rows, columns) float
    name, where : str
        The file, and with its line, for messages.
    stated : StatedColumns
    words : str
        How the text was read.

    Raises
    ------
    MeterFileError
        A column that is needed is missing, or can be read in two ways.
    """
    made = from_scattering_columns if has_scattering(titles, stated) else from_columns
    return made(titles, values, name, where, stated, words)


def meter_text(path: Path) -> str:
    """The text of such a file, to be kept beside results.

    Raises
    ------
    MeterFileError
        It cannot be read.
    """
    return text_of(_bytes(path))


def _bytes(path: Path) -> bytes:
    try:
        data = ordinary_bytes(path, MOST_BYTES, "a few hundred frequencies will do")
    except FileFault as fault:
        raise MeterFileError(path.name, fault.expected, fault.found, fault.hint) from None
    except (OSError, ValueError) as error:
        missing = isinstance(error, FileNotFoundError)
        found = "no such file" if missing else f"one that cannot be read ({error})"
        raise MeterFileError(path.name, "a file of a meter", found, "check its name and folder") from None
    if b"\x00" in data and data[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        hint = "export it as CSV or Touchstone (.s1p, .s2p)"
        raise MeterFileError(path.name, "a table of text", "a file of another kind", hint)
    return data
