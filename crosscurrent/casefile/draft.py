"""A case as written, perhaps faulty: what of it is sound, and faults at its lines."""

from __future__ import annotations

import contextlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TypeVar

from pydantic import TypeAdapter, ValidationError

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane.axial import whole_part
from crosscurrent.geometries.plane.part import Part
from crosscurrent.solver.metals.materials import MATERIALS, Material

from .bundles import BundleConductor
from .conductors import ConductorTable
from .conductors_from_files import AnyConductor
from .faults import Fault
from .lines import LineIndex, Path
from .named import AXIAL, NamedValues, spelled_out
from .names import value
from .placing import Placed, placed, strangers
from .tables.circuit import CircuitTable
from .tables.coil import CoilTable
from .tables.material import MaterialTable
from .tables.measured import MeasuredTable
from .tables.waveform import WaveformTable
from .wording import locate

K = TypeVar("K")
M = TypeVar("M")

CONDUCTOR: TypeAdapter[ConductorTable] = TypeAdapter(AnyConductor)
CIRCUIT = TypeAdapter(CircuitTable)
COIL = TypeAdapter(CoilTable)
_MATERIAL = TypeAdapter(MaterialTable)
_WAVEFORM = TypeAdapter(WaveformTable)
_MEASURED = TypeAdapter(MeasuredTable)


@dataclass(frozen=True)
class Draft:
    """A case as written, perhaps faulty: every check looks at the tables that are sound by themselves.

    Parameters
    ----------
    data : mapping
        The case file as tomllib gives it, or the same made in Python with models for tables.
    lines : LineIndex or None
    """

    data: Mapping[str, object]
    lines: LineIndex | None

    @property
    def axial(self) -> bool:
        """Whether its section is the half plane r, z round an axis."""
        return self.data.get("symmetry") == "axial"

    @cached_property
    def named(self) -> NamedValues:
        """What [named] says, and which of its names were met."""
        table = self.data.get("named")
        values = dict(table) if isinstance(table, Mapping) else {}
        lines = {name: self.lines.line(("named", name)) for name in values} if self.lines else {}
        return NamedValues(values, {name: line for name, line in lines.items() if line is not None})

    @property
    def context(self) -> dict[str, object]:
        """For pydantic's validation."""
        return {**self.named.context, AXIAL: self.axial}

    @cached_property
    def placed(self) -> Placed:
        """Sound conductors where they stand, and those that have no place."""
        written = rows(self.data, "conductor")
        names = {name: k for k, row in enumerate(written) if isinstance(name := value(row, "name"), str)}
        sound = self._sound(CONDUCTOR, enumerate(written))
        faulty = {k: row for k, row in enumerate(written) if k not in sound}
        if "cooling" in self.data or "fault" in self.data:  # a bundle counts as a whole
            sound = {k: row.as_one_body() if isinstance(row, BundleConductor) else row for k, row in sound.items()}
        found = placed(sound, names)
        return replace(found, faults=(*found.faults, *strangers(faulty, names)))

    @property
    def conductors(self) -> Mapping[int, ConductorTable]:
        """Sound conductors by their place in the file."""
        return self.placed.conductors

    @cached_property
    def circuits(self) -> dict[int, CircuitTable]:
        """Sound circuits by their place in the file."""
        return self._sound(CIRCUIT, enumerate(rows(self.data, "circuit")))

    @cached_property
    def coils(self) -> dict[int, CoilTable]:
        """Sound coils by their place in the file."""
        return self._sound(COIL, enumerate(rows(self.data, "coil")))

    @property
    def circuit_names(self) -> list[str]:
        """Of all circuits and coils."""
        both = (*rows(self.data, "circuit"), *rows(self.data, "coil"))
        return [name for row in both if isinstance(name := value(row, "name"), str)]

    @cached_property
    def materials(self) -> dict[str, Material]:
        """Built-in metals and the sound ones of the file."""
        table = self.data.get("material")
        own = self._sound(_MATERIAL, table.items()) if isinstance(table, Mapping) else {}
        return {**MATERIALS, **{name: model.material(name) for name, model in own.items()}}

    @cached_property
    def waveform(self) -> WaveformTable | None:
        """The table [waveform], where there is a sound one."""
        return self._sound(_WAVEFORM, [(0, self.data["waveform"])]).get(0) if "waveform" in self.data else None

    @cached_property
    def measured(self) -> MeasuredTable | None:
        """The table [measured], where there is a sound one."""
        return self._sound(_MEASURED, [(0, self.data["measured"])]).get(0) if "measured" in self.data else None

    def meant(self, written: object) -> tuple[object, str]:
        """A value, or what its name stands for and where that stands."""
        return spelled_out(written, self.named.context)

    def _sound(self, adapter: TypeAdapter[M], items: Iterable[tuple[K, object]]) -> dict[K, M]:
        sound: dict[K, M] = {}
        for key, item in items:
            with contextlib.suppress(ValidationError):
                sound[key] = adapter.validate_python(item, context=self.context)
        return sound

    def rows(self, table: str) -> Sequence[object]:
        """The tables of a list of tables as written."""
        return rows(self.data, table)

    def fault(self, path: Path, expected: str, found: str, hint: str) -> Fault:
        """A fault at a path of the file."""
        place, key = locate(path, self.data)
        return Fault(self.lines.line(path) if self.lines else None, key, expected, found, hint, place)

    def parts(self) -> tuple[Part, ...]:
        """The sections of all sound conductors, those left out whose dimensions do not fit."""
        parts: list[Part] = []
        for conductor in self.conductors.values():
            with contextlib.suppress(GeometryError):  # reported as a misfit already
                parts += map(whole_part, conductor.parts()) if self.axial else conductor.parts()
        return tuple(parts)


def rows(data: Mapping[str, object], table: str) -> Sequence[object]:
    """The tables of a list of tables; none when something else stands there."""
    found = data.get(table, ())
    return found if isinstance(found, Sequence) and not isinstance(found, str) else ()
