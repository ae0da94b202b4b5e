"""Checks that need more than one table of a case: names, metals, dimensions, circuits."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, TypeVar

from pydantic import TypeAdapter, ValidationError

from ..geometries.errors import GeometryError
from ..geometries.section import Part, Section
from ..solver.materials import MATERIALS, Material, similar
from .driven import drives
from .faults import Fault
from .fields import Temperature
from .lines import LineIndex, Path
from .model import Circuit, Common, Conductor, OwnMaterial
from .names import Roster, UnknownName, value
from .quantities import nearest
from .topics import joints, limited, prices, warmth, waters
from .wording import article, locate

K = TypeVar("K")
M = TypeVar("M")

CONDUCTOR: TypeAdapter[Common] = TypeAdapter(Conductor)
CIRCUIT = TypeAdapter(Circuit)
_MATERIAL = TypeAdapter(OwnMaterial)
_TEMPERATURE: TypeAdapter[float] = TypeAdapter(Temperature)


@dataclass(frozen=True)
class Draft:
    """A case as written, perhaps faulty: every check looks at the tables that are sound by themselves.

    Parameters
    ----------
    data : mapping
        The case file as tomllib gives it, or the same made in Python with models for tables.
    lines : LineIndex or None
    """

    data: Mapping[str, Any]
    lines: LineIndex | None

    @cached_property
    def conductors(self) -> dict[int, Common]:
        """Sound conductors by their place in the file."""
        return _sound(CONDUCTOR, enumerate(rows(self.data, "conductor")))

    @cached_property
    def circuits(self) -> dict[int, Circuit]:
        """Sound circuits by their place in the file."""
        return _sound(CIRCUIT, enumerate(rows(self.data, "circuit")))

    @cached_property
    def materials(self) -> dict[str, Material]:
        """Built-in metals and the sound ones of the file."""
        table = self.data.get("material")
        own = _sound(_MATERIAL, table.items()) if isinstance(table, Mapping) else {}
        return {**MATERIALS, **{name: model.material(name) for name, model in own.items()}}

    def rows(self, table: str) -> Sequence[Any]:
        """The tables of a list of tables as written."""
        return rows(self.data, table)

    def fault(self, path: Path, expected: str, found: str, hint: str = "") -> Fault:
        """A fault at a path of the file."""
        place, key = locate(path, self.data)
        return Fault(self.lines.line(path) if self.lines else None, key, expected, found, hint, place)

    def faults(self) -> list[Fault]:
        """Everything that needs more than one table to see."""
        own = (_twice, _unknown_metals, _misfits, _temperatures, _circuits, _currents)
        checks = (*own, waters, joints, warmth, prices, limited, drives)
        return [fault for check in checks for fault in check(self)]

    def shape_faults(self) -> list[Fault]:
        """Dimensions that do not fit together, each conductor by itself."""
        return list(_misfits(self))

    def section_faults(self, build: Callable[[], object] | None = None) -> list[Fault]:
        """What the geometry finds wrong with the section; by default with that of all sound conductors."""
        try:
            if build is not None:
                build()
            elif parts := self._parts():
                Section(parts)
        except GeometryError as error:
            return [self._section_fault(line) for line in str(error).splitlines()]
        return []

    def _parts(self) -> tuple[Part, ...]:
        parts: list[Part] = []
        for conductor in self.conductors.values():
            with contextlib.suppress(GeometryError):  # reported as a misfit already
                parts += conductor.parts()
        return tuple(parts)

    def _section_fault(self, message: str) -> Fault:
        """One fault of the section, at the line of the last conductor it names."""
        message, _, hint = message.partition("; ")
        words = re.findall('"([^"]*)"', message)
        copies = {name: k for k, row in self.conductors.items() for name in row.copies}
        paths: list[Path] = []
        for word in words:
            name, _, piece = word.partition(", piece ")
            if name in copies:
                inner = ("clad", int(piece) - 1) if piece.isdigit() else ()
                paths.append(("conductor", copies[name], *inner))
        line = self.lines.line(max(paths, key=str)) if self.lines and paths else None
        found = f"{message.removeprefix('and ')} like these" if message.startswith("and ") else f"that {message}"
        return Fault(line, "", "a section that can be built", found, hint)


def rows(data: Mapping[str, Any], table: str) -> Sequence[Any]:
    """The tables of a list of tables; none when something else stands there."""
    found = data.get(table, ())
    return found if isinstance(found, Sequence) and not isinstance(found, str) else ()


def _sound(adapter: TypeAdapter[M], items: Iterable[tuple[K, Any]]) -> dict[K, M]:
    sound: dict[K, M] = {}
    for key, item in items:
        try:
            sound[key] = adapter.validate_python(item)
        except ValidationError:
            continue
    return sound


def _twice(draft: Draft) -> Iterator[Fault]:
    for table in ("conductor", "circuit", "joint", "duty"):
        seen: dict[str, int] = {}
        for k, row in enumerate(rows(draft.data, table)):
            name = value(row, "name")
            if not isinstance(name, str):
                continue
            if name in seen:
                line = draft.lines.line((table, seen[name], "name")) if draft.lines else None
                found = f'"{name}" a second time' + (f" (first in line {line})" if line else "")
                expected = f"a name of its own for every {table}"
                yield draft.fault((table, k, "name"), expected, found, "give one of them another name")
            seen.setdefault(name, k)


def _unknown_metals(draft: Draft) -> Iterator[Fault]:
    own = draft.data.get("material")
    known = [*MATERIALS, *(own if isinstance(own, Mapping) else ())]
    for k, row in enumerate(rows(draft.data, "conductor")):
        metals: dict[Path, Any] = {("conductor", k, "material"): value(row, "material")}
        for key in ("plating", "plating_inside", "clad"):
            coats = value(row, key)
            for n, coat in enumerate(coats if isinstance(coats, (list, tuple)) else ()):
                metals["conductor", k, key, n, "material"] = value(coat, "material")
        for path, metal in metals.items():
            if isinstance(metal, str) and metal not in known:
                near = similar(metal, known)
                hint = f"did you mean {near}?" if near else f"built in are {', '.join(MATERIALS)}"
                yield draft.fault(path, "a built-in material or one of this file", f'"{metal}"', hint)


def _misfits(draft: Draft) -> Iterator[Fault]:
    """Dimensions that are lengths each, but no shape together."""
    for k, conductor in draft.conductors.items():
        row: Path = ("conductor", k)
        pieces = [
            found
            for n, piece in enumerate(conductor.clad)
            for found in _misfit(draft, (*row, "clad", n, *piece.strange[:1]), piece.shape, piece.draw)
        ]
        yield from pieces
        whole = conductor.model_copy(update={"clad": ()}) if pieces else conductor
        yield from _misfit(draft, row, value(conductor, "shape"), whole.parts)


def _misfit(draft: Draft, path: Path, shape: str, build: Callable[[], object]) -> Iterator[Fault]:
    """The fault of one outline that cannot be built."""
    try:
        build()
    except GeometryError as error:
        message, _, hint = str(error).partition("; ")
        yield draft.fault(path, f"dimensions that make {article(shape)} {shape}", f"that {message}", hint)


def _temperatures(draft: Draft) -> Iterator[Fault]:
    """No metal may be used where it melts, stops being magnetic, or would have no resistivity by its coefficient."""
    try:
        ambient = _TEMPERATURE.validate_python(draft.data.get("ambient", "20 degC"))
    except ValidationError:
        ambient = 20.0
    for k, conductor in draft.conductors.items():
        own = conductor.temperature
        temperature = ambient if own is None else own
        path: Path = ("conductor", k, "temperature") if own is not None else ("ambient",)
        coats = [coat.material for coat in (*conductor.plating, *conductor.plating_inside)]
        for name in dict.fromkeys((conductor.material, *coats, *(piece.material for piece in conductor.clad))):
            metal = draft.materials.get(name)
            if metal and (limit := _beyond(metal, f'the {name} of "{conductor.name}"', temperature)):
                yield draft.fault(path, f"a temperature {limit[0]}", f"{temperature:.6g} degC", limit[1])


def _beyond(metal: Material, what: str, temperature: float) -> tuple[str, str] | None:
    """The bound that a temperature breaks, and what to do; None where the metal is still what it was."""
    if metal.melting is not None and temperature >= metal.melting:
        return f"below {metal.melting:.6g} degC, where {what} begins to melt", "choose another metal, or cool it"
    if metal.curie is not None and temperature >= metal.curie:
        hint = 'give a [material.NAME] with "permeability = 1" and the conductivity it has when hot'
        return f"below {metal.curie:.6g} degC, where {what} stops being magnetic", hint
    if 1 + metal.temperature_coefficient * (temperature - metal.reference) <= 0:
        zero = metal.reference - 1 / metal.temperature_coefficient
        side = "above" if metal.temperature_coefficient > 0 else "below"
        return (
            f"{side} {zero:.6g} degC, where the resistivity of {what} would be zero",
            "its temperature_coefficient does not hold so far",
        )
    return None


def _circuits(draft: Draft) -> Iterator[Fault]:
    """Circuits name known conductors, and each conductor once."""
    if not rows(draft.data, "conductor"):
        return
    roster = Roster(rows(draft.data, "conductor"), draft.conductors)
    used: dict[str, tuple[Path, str]] = {}
    for k, row in enumerate(rows(draft.data, "circuit")):
        for side in ("out", "back"):
            references = value(row, side)
            for n, reference in enumerate(references if isinstance(references, (list, tuple)) else ()):
                if not isinstance(reference, str):
                    continue
                path: Path = ("circuit", k, side, n)
                try:
                    members = roster.members(reference)
                except UnknownName as unknown:
                    yield draft.fault(path, unknown.expected, f'"{reference}"', unknown.hint)
                    continue
                taken = next((name for name in members if name in used), None)
                if taken is not None:
                    yield _shared(draft, taken, path, *used[taken])
                used |= {name: (path, side) for name in members if name not in used}


def _shared(draft: Draft, name: str, path: Path, first: Path, side: str) -> Fault:
    place, key = locate(first[:3], draft.data)
    if first[:3] == path[:3]:
        return draft.fault(path, "each conductor once", f'"{name}" a second time', "leave one of them out")
    if first[1] == path[1]:
        expected = "a conductor that carries the current either out or back"
        return draft.fault(path, expected, f'"{name}", which is in {side} too', "leave it in one of the two")
    line = draft.lines.line(first) if draft.lines else None
    where = f" (line {line})" if line else ""
    expected = "a conductor that no other circuit feeds"
    return draft.fault(path, expected, f'"{name}", which {place} has in {key}{where}', "leave it in one circuit")


def _currents(draft: Draft) -> Iterator[Fault]:
    """A section without any current has no answer."""
    written = rows(draft.data, "circuit")
    if "circuit" not in draft.data and nearest("circuit", draft.data):
        return  # misspelt, and reported as such
    if isinstance(draft.data.get("circuit"), Mapping):
        return  # [circuit] for [[circuit]], and reported as such
    if "circuit" not in draft.data or written == [] or written == ():
        hint = "add a table [[circuit]] with name, current and out"
        yield draft.fault(("circuit",), "at least one circuit that feeds a current", "none", hint)
    elif len(draft.circuits) == len(written) and not any(circuit.current for circuit in draft.circuits.values()):
        names = ", ".join(f'"{circuit.name}"' for circuit in draft.circuits.values())
        hint = 'write a current such as "900 A"'
        expected = "a current above 0 A in at least one circuit"
        yield draft.fault(("circuit", 0, "current"), expected, f"0 A in {names}", hint)
