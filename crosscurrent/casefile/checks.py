"""Checks that need more than one table of a case: names, metals, dimensions, circuits."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from pydantic import TypeAdapter, ValidationError

from crosscurrent.geometries.errors import GeometryError, GeometryFault
from crosscurrent.geometries.plane.distance import closest_sides
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.solver.field.circuits import clashes
from crosscurrent.solver.field.problem import Circuit, Sharing
from crosscurrent.solver.metals.materials import MATERIALS, Material, similar

from .axial_checks import coils, ends, powers, round_the_axis
from .bundle_sizes import SizeError
from .bundles import BundleConductor
from .draft import Draft, rows
from .entries import Temperature
from .faults import Fault
from .heating_checks import heatings
from .lines import Path
from .names import Roster, UnknownName, value
from .quantities import nearest
from .tables.circuit import CircuitTable
from .tables.coil import CoilTable
from .topic_checks import drives, joints, limited, prices, warmth, waters
from .wording import article

_CORRECT = "correct its dimensions"
_BUILT = "a section that can be built"
_TEMPERATURE: TypeAdapter[float] = TypeAdapter(Temperature)


def faults(draft: Draft) -> list[Fault]:
    """Everything that needs more than one table to see."""
    own = (_twice, _unknown_metals, _magnetic, _places, _misfits, _servings, _temperatures, _circuits, _currents)
    checks = (*own, round_the_axis, ends, coils, powers, heatings, waters, joints, warmth, prices, limited, drives)
    return [fault for check in checks for fault in check(draft)]


def shape_faults(draft: Draft) -> list[Fault]:
    """Dimensions that do not fit together, each conductor by itself."""
    return list(_misfits(draft))


def section_faults(draft: Draft, build: Callable[[], object] | None = None) -> list[Fault]:
    """What the geometry finds wrong with the section; by default with that of all sound conductors."""
    try:
        if build is not None:
            build()
        elif parts := draft.parts():
            Section(parts, draft.axial)
    except GeometryError as error:
        found = f"{error.more} more like these"
        more = [Fault(None, "", _BUILT, found, "mend the ones above first")] if error.more else []
        return [*_of_copies(draft, error.faults), *more]
    return []


def _of_copies(draft: Draft, faults: Sequence[GeometryFault]) -> Iterator[Fault]:
    """Faults of the section; of those alike between copies of the same conductors the first, and how many more."""
    rows_of = {name: k for k, row in draft.conductors.items() for name in row.copies}
    alike: dict[tuple[object, ...], list[GeometryFault]] = {}
    for number, fault in enumerate(faults):
        repeated = any(len(draft.conductors[rows_of[name]].copies) > 1 for name, _ in fault.parts if name in rows_of)
        pair = sorted({rows_of.get(name, -1) for name, _ in fault.parts})
        alike.setdefault((*pair, fault.hint) if repeated else (number, None, None), []).append(fault)
    for first, *others in alike.values():
        told = _section_fault(draft, first)
        yield replace(told, found=f"{told.found}, and {len(others)} more alike") if others else told


def _section_fault(draft: Draft, fault: GeometryFault) -> Fault:
    """One fault of the section, at the line of the last conductor it names."""
    copies = {name: k for k, row in draft.conductors.items() for name in row.copies}
    paths: list[Path] = [
        ("conductor", copies[name], *(("clad", piece - 1) if piece else ()))
        for name, piece in fault.parts
        if name in copies
    ]
    line = draft.lines.line(max(paths, key=str)) if draft.lines and paths else None
    return Fault(line, "", _BUILT, f"that {fault.found}", fault.hint or _CORRECT)


def _twice(draft: Draft) -> Iterator[Fault]:
    for table in ("conductor", "circuit", "coil", "joint", "duty"):
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
        metals: dict[Path, object] = {("conductor", k, "material"): value(row, "material")}
        for key in ("plating", "plating_inside", "clad"):
            coats = value(row, key)
            for n, coat in enumerate(coats if isinstance(coats, (list, tuple)) else ()):
                metals["conductor", k, key, n, "material"] = value(coat, "material")
        for path, written in metals.items():
            metal, where = draft.meant(written)
            if isinstance(metal, str) and metal not in known:
                near = similar(metal, known)
                hint = f"did you mean {near}?" if near else f"built in are {', '.join(MATERIALS)}"
                yield draft.fault(path, "a built-in material or one of this file", f'"{metal}"{where}', hint)


def _magnetic(draft: Draft) -> Iterator[Fault]:
    """Strands as a medium are known for metal that is not magnetic, roughness for constant permeability."""
    for k, conductor in draft.conductors.items():
        metal = draft.materials.get(conductor.material)
        if isinstance(conductor, BundleConductor) and metal and (metal.thins_the_skin or not metal.conductivity):
            hint = "take copper or aluminium; plating of strands is left out"
            yield draft.fault(("conductor", k, "material"), "strands that are not magnetic", f'"{metal.name}"', hint)
        if not conductor.roughness:
            continue
        coats = (coat.material for coat in (*conductor.plating, *conductor.plating_inside))
        used = (conductor.material, *coats, *(piece.material for piece in conductor.clad))
        metals = [own for name in used if (own := draft.materials.get(name))]
        curved = any(own.magnetisation for own in metals)
        if curved or any(own.permeability_loss or not own.conductivity for own in metals):
            why = "has a magnetisation curve" if curved else "has a permeability_loss or does not conduct"
            expected = f"a smooth surface where a metal {why}"
            hint = "leave roughness out: its models know one permeability"
            yield draft.fault(("conductor", k, "roughness"), expected, "a rough one", hint)


def _places(draft: Draft) -> Iterator[Fault]:
    """Conductors that have no place beside others."""
    for one in draft.placed.faults:
        yield draft.fault(("conductor", one.number, *one.path), one.expected, one.found, one.hint)


def unused(draft: Draft) -> Iterator[Fault]:
    """Names of [named] that stand nowhere; to be asked once all else is read."""
    for name in draft.named.values:
        if name not in draft.named.used:
            hint = f'write it as a value, such as thickness = "{name}", or leave it out'
            yield draft.fault(("named", name), "a name that the case uses", "one that stands nowhere", hint)


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
        yield from _misfit(draft, row, str(value(conductor, "shape")), whole.parts)


def _servings(draft: Draft) -> Iterator[Fault]:
    """What bundles are served with lies in no other conductor; metal that overlaps is told of the section."""
    if not any(value(row, "serving") for row in draft.conductors.values()):
        return
    room: list[tuple[int, Part]] = []
    for k, row in draft.conductors.items():
        with contextlib.suppress(GeometryError):  # told as dimensions that do not fit
            room += [(k, part) for part in row.envelope()]
    served = [(k, part) for k, part in room if value(draft.conductors[k], "serving")]
    told: set[str] = set()
    for k, part in served:
        for _, other in room:
            if other is part or other.name in told:
                continue
            apart = min(float(closest_sides(part.shape.outer, outline)[0]) for outline in other.all_outlines)
            wanted = sum(part.coats) + sum(other.coats)
            if 0 < apart < wanted * (1 - 1e-9):
                told.add(part.name)
                expected = f'at least {wanted * 1e3:.4g} mm to "{other.name}", for what is around both'
                hint = "move them apart, or place them by a gap, which counts from the serving"
                yield draft.fault(("conductor", k, "serving"), expected, f"{apart * 1e3:.4g} mm", hint)


def _misfit(draft: Draft, path: Path, shape: str, build: Callable[[], object]) -> Iterator[Fault]:
    """The fault of one outline that cannot be built."""
    try:
        build()
    except SizeError as error:
        yield draft.fault((*path, error.key), error.expected, error.faults[0].found, error.faults[0].hint)
    except GeometryError as error:
        fault = error.faults[0]
        expected = f"dimensions that make {article(shape)} {shape}"
        yield draft.fault(path, expected, f"that {fault.found}", fault.hint or _CORRECT)


def _temperatures(draft: Draft) -> Iterator[Fault]:
    """No metal may be used where it melts, stops being magnetic, or would have no resistivity by its coefficient."""
    try:
        ambient = _TEMPERATURE.validate_python(draft.data.get("ambient", "20 degC"), context=draft.context)
    except ValidationError:
        ambient = 20.0
    for k, conductor in draft.conductors.items():
        own = conductor.temperature
        temperature = ambient if own is None else own
        path: Path = ("conductor", k, "temperature") if own is not None else ("ambient",)
        coats = [coat.material for coat in (*conductor.plating, *conductor.plating_inside)]
        for name in dict.fromkeys((conductor.material, *coats, *(piece.material for piece in conductor.clad))):
            metal = draft.materials.get(name)
            if metal and (limit := beyond(metal, f'the {name} of "{conductor.name}"', temperature)):
                yield draft.fault(path, f"a temperature {limit[0]}", f"{temperature:.6g} degC", limit[1])


def beyond(metal: Material, what: str, temperature: float) -> tuple[str, str] | None:
    """The bound that a temperature breaks, and what to do; None where the metal is still what it was."""
    if metal.melting is not None and temperature >= metal.melting:
        return f"below {metal.melting:.6g} degC, where {what} begins to melt", "choose another metal, or cool it"
    if metal.curie is not None and metal.magnetisation is None and temperature >= metal.curie:  # a curve ends there
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
    """Circuits name known conductors, each of them once; what several circuits share is the same side of each."""
    if not rows(draft.data, "conductor"):
        return
    roster = Roster(rows(draft.data, "conductor"), draft.conductors)
    wired: list[Circuit] = []
    for k, row in enumerate(rows(draft.data, "circuit")):
        used: dict[str, str] = {}
        known = True
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
                    known = False
                    continue
                taken = next((name for name in members if name in used), None)
                if taken is not None:
                    yield _twice_in_one(draft, taken, path, used[taken])
                used |= {name: side for name in members if name not in used}
        out, back = (tuple(name for name, its in used.items() if its == side) for side in ("out", "back"))
        out, back = (out, back) if known else ((), ())  # a word that is not known may mean any
        sharing: Sharing = "equal" if value(row, "sharing") == "equal" else "free"
        wired.append(Circuit(str(value(row, "name")), 0.0, out, back, sharing))
    for clash in clashes(wired):
        yield draft.fault(("circuit", clash.number, clash.side), clash.expected, clash.found, clash.hint)


def _twice_in_one(draft: Draft, name: str, path: Path, side: str) -> Fault:
    if path[2] == side:
        return draft.fault(path, "each conductor once", f'"{name}" a second time', "leave one of them out")
    expected = "a conductor that carries the current either out or back"
    return draft.fault(path, expected, f'"{name}", which is in {side} too', "leave it in one of the two")


def _currents(draft: Draft) -> Iterator[Fault]:
    """A section without any current has no answer."""
    written = rows(draft.data, "circuit")
    if rows(draft.data, "coil") or isinstance(draft.data.get("coil"), Mapping):
        yield from _with_coils(draft)
        return
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


def _with_coils(draft: Draft) -> Iterator[Fault]:
    """The same where there are coils."""
    sound: list[CircuitTable | CoilTable] = [*draft.circuits.values(), *draft.coils.values()]
    written = len(rows(draft.data, "circuit")) + len(rows(draft.data, "coil"))
    if sound and len(sound) == written and not any(row.current for row in sound):
        names, hint = ", ".join(f'"{row.name}"' for row in sound), 'write a current such as "200 A" in one of them'
        expected = "a current above 0 A in at least one coil or circuit"
        yield draft.fault(("coil", 0, "current"), expected, f"none in {names}", hint)
