"""The table of a study: a row a design, as CSV and, where pyarrow is installed, as Parquet."""

from __future__ import annotations

import csv
import os
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from importlib.util import find_spec
from itertools import chain, islice
from pathlib import Path

from crosscurrent.leftovers import NEW, clear_leftovers, working_folder
from crosscurrent.postprocess.answers.axial_names import axial_name

from .design import Design, Value

_BATCH = 2000  # rows written at a time to Parquet
_CLOSING = ("verdict", "fault")


@dataclass(frozen=True)
class _Columns:
    """What stands in the table: varied names and figures in the order in which designs first had them."""

    headings: Mapping[str, str]  # by varied name
    kinds: Mapping[str, type[Value]]  # by varied name: what holds all of its values
    figures: tuple[str, ...]
    errors: tuple[str, ...]
    axial: bool = False

    def names(self) -> tuple[str, ...]:
        figures, errors = (
            tuple(axial_name(one, whole=True) for one in of) if self.axial else of for of in (self.figures, self.errors)
        )
        return (*self.headings.values(), *figures, *(f"{figure}_error" for figure in errors), *_CLOSING)

    def row(self, design: Design) -> tuple[Value | None, ...]:
        found = (design.values.get(name) for name in self.headings)
        kinds = self.kinds.values()
        values = (None if value is None else kind(value) for value, kind in zip(found, kinds, strict=True))
        figures = map(design.figures.get, self.figures)
        return (*values, *figures, *map(design.errors.get, self.errors), design.verdict, design.fault)


def write_tables(
    folder: Path, designs: Iterable[Design], units: Mapping[str, str], *, axial: bool = False
) -> list[Path]:
    """Write `designs.csv`, and `designs.parquet` where pyarrow is installed: each whole or not at all.

    Parameters
    ----------
    folder : Path
        Is there.
    designs : iterable of Design
        Gone through once for the headings and once for each file, a few in memory: a `Store` or a list, no iterator.
    units : mapping of str to str
        SI units of varied names as they end the heading: {"gap": "m"} gives "gap_m"; none for counts and names.

    axial : bool
        Round an axis: figures have the names of such sections.

    Returns
    -------
    list of Path
        What was written. An empty cell is a figure that the design does not have.

    Raises
    ------
    OSError
        A file cannot be written; an earlier one is left as it was.

    Examples
    --------
    >>> import tempfile
    >>> design = Design("a1", {"gap": 0.001}, {"loss_w_per_m": 90.5}, {"loss_w_per_m": 0.01}, {}, {}, "pass")
    >>> with tempfile.TemporaryDirectory() as name:
    ...     print(write_tables(Path(name), [design], {"gap": "m"})[0].read_text(), end="")
    gap_m,loss_w_per_m,loss_w_per_m_error,verdict,fault
    0.001,90.5,0.01,pass,
    """
    columns = replace(_columns(designs, units), axial=axial)
    writers = {"designs.csv": _write_csv} | ({"designs.parquet": _write_parquet} if find_spec("pyarrow") else {})
    written = []
    for name, write in writers.items():
        place = Path(os.path.realpath(folder / name))
        clear_leftovers(place)
        with working_folder(place) as hidden:
            write(hidden / NEW / name, columns, designs)
            os.replace(hidden / NEW / name, place)
        written.append(folder / name)
    return written


def _columns(designs: Iterable[Design], units: Mapping[str, str]) -> _Columns:
    kinds: dict[str, type[Value]] = {}
    figures: dict[str, None] = {}
    errors: dict[str, None] = {}
    for design in designs:
        for name, value in design.values.items():
            kinds[name] = _wider(kinds.get(name, int), value)
        figures |= dict.fromkeys(design.figures)
        errors |= dict.fromkeys(design.errors)
    taken = {*figures, *(f"{figure}_error" for figure in errors), *_CLOSING}
    headings = {}
    for name in kinds:
        heading = f"{name}_{units[name]}" if units.get(name) else name
        headings[name] = f"{heading}_varied" if heading in taken else heading
    return _Columns(headings, kinds, tuple(figures), tuple(errors))


def _wider(kind: type[Value], value: Value) -> type[Value]:
    """The first of int, float and str that holds both."""
    order: tuple[type[Value], ...] = (int, float, str)
    return max(kind, next(k for k in order if isinstance(value, k)), key=order.index)


def _write_csv(path: Path, columns: _Columns, designs: Iterable[Design]) -> None:
    with path.open("x", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(columns.names())
        writer.writerows(map(columns.row, designs))


def _write_parquet(path: Path, columns: _Columns, designs: Iterable[Design]) -> None:
    import pyarrow
    from pyarrow.parquet import ParquetWriter

    types = {int: pyarrow.int64(), float: pyarrow.float64(), str: pyarrow.string()}
    numbers = len(columns.figures) + len(columns.errors)
    kinds = chain(columns.kinds.values(), [float] * numbers, [str] * len(_CLOSING))
    schema = pyarrow.schema(list(zip(columns.names(), (types[kind] for kind in kinds), strict=True)))
    with ParquetWriter(path, schema) as writer:
        for rows in _batches(map(columns.row, designs)):
            by_column = [list(column) for column in zip(*rows, strict=True)]
            writer.write_table(pyarrow.table(by_column, schema=schema))


def _batches(rows: Iterator[tuple[Value | None, ...]]) -> Iterator[list[tuple[Value | None, ...]]]:
    while batch := list(islice(rows, _BATCH)):
        yield batch
