"""Checks of sections round an axis: no current into what has no ends, no question not known there."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane.axial import axial_parts, on_axis

from .draft import Draft
from .faults import Fault
from .lines import Path
from .model import CaseData
from .names import Roster, UnknownName, value
from .quantities import as_frequency, nearest

AXIAL = ("coil", "power", "tank", "heating")  # tables that speak of sections round an axis only
# tables that say nothing of a section round an axis yet, and why
NOT_ROUND = {
    "joint": "joints of a straight run",
    "prices": "the mass of a straight run",
}
# keys of tables that it has otherwise, and what holds in their place
NOT_ROUND_KEYS = {"supports": ("spacing", "fixing"), "voltage": ("quality", "supply", "relative_permittivity")}
INSTEAD = {
    "supports": "turns are no beams between supports",
    "voltage": "round an axis [voltage] speaks of the turns in air, [tank] of resonance",
}
SYMMETRIES = ("plane", "axial")
STRAIGHT = ("voltage_drop", "mass")  # limits on figures of a straight run
ROUND = (
    "current", "voltage", "waste", "leakage", "piece_power", "piece_temperature", "tank_voltage", "reactive_power",
    "hoop_stress",
)  # fmt: skip


def round_the_axis(draft: Draft) -> Iterator[Fault]:
    """What only a plane section, or only one round an axis, can be asked."""
    if not draft.axial and any(nearest(key, ("symmetry",)) for key in draft.data if key not in CaseData.model_fields):
        return  # a misspelt symmetry has its own fault
    if "symmetry" in draft.data and draft.data["symmetry"] not in SYMMETRIES:
        return  # and so has a misspelt word for it
    yield from _limits(draft)
    if not draft.axial:
        for k, row in enumerate(draft.rows("conductor")):
            if value(row, "closed") is True:
                hint = 'write symmetry = "axial" at the top of the file, or leave it out'
                yield draft.fault(("conductor", k, "closed"), "a section round an axis", "a plane one", hint)
        for k, row in enumerate(draft.rows("circuit")):
            if value(row, "sharing") == "series":
                hint = 'write "free" or "equal"; conductors of a plane section in series are circuits of their own'
                yield draft.fault(("circuit", k, "sharing"), '"free" or "equal" in a plane section', '"series"', hint)
        if value(draft.data.get("cooling"), "axis") is not None:
            hint = "write orientation instead: how the run lies"
            yield draft.fault(("cooling", "axis"), "a section round an axis", "a plane one", hint)
        for table in AXIAL:
            if draft.data.get(table, ()) not in ((), [], None):
                path: Path = (table, 0) if isinstance(draft.data[table], (list, tuple)) else (table,)
                hint = 'write symmetry = "axial" at the top of the file, or leave the table out'
                yield draft.fault(path, "a section round an axis", "a plane one", hint)
        return
    if "length" in draft.data:
        hint = "leave it out: figures are per turn, and of all turns of a circuit in total"
        yield draft.fault(("length",), "a plane section, which has a length", "one round an axis", hint)
    if value(draft.data.get("cooling"), "orientation") is not None:
        hint = 'write axis = "upright" or "lying" instead'
        found = "orientation in a section round an axis"
        yield draft.fault(("cooling", "orientation"), "a plane section, whose run lies somehow", found, hint)
    for table, keys in NOT_ROUND_KEYS.items():
        for key in keys:
            if table in draft.data and value(draft.data[table], key) is not None:
                found, hint = f"{key} in a section round an axis", f"leave it out: {INSTEAD[table]}"
                yield draft.fault((table, key), "a plane section", found, hint)
    for table, why in NOT_ROUND.items():
        if draft.data.get(table, ()) not in ((), [], None):
            path = (table, 0) if isinstance(draft.data[table], (list, tuple)) else (table,)
            found = f"a section round an axis: [{table}] speaks of {why}"
            yield draft.fault(path, "a plane section", found, "leave the table out")


def _limits(draft: Draft) -> Iterator[Fault]:
    """Which limits are set on figures that such a section has."""
    limits = draft.data.get("limits")
    for key in STRAIGHT if draft.axial else ROUND:
        if value(limits, key) is not None:
            expected, found = "a section round an axis", "a plane one"
            hint = "leave it out, or limit voltage_drop, inductance or temperatures"
            if draft.axial:
                expected, found = "a plane section", "one round an axis"
                hint = "leave it out, or limit voltage, loss or force"
            yield draft.fault(("limits", key), expected, found, hint)


def ends(draft: Draft) -> Iterator[Fault]:
    """Circuits carry their currents through conductors with ends."""
    uncut = (uncut_parts(draft) if draft.axial else {}) | _insulators(draft)
    roster = Roster(draft.rows("conductor"), draft.conductors)
    for k, row in enumerate(draft.rows("circuit")):
        for side in ("out", "back"):
            words = value(row, side)
            for n, word in enumerate(words if isinstance(words, (list, tuple)) else ()):
                yield from without_ends(draft, roster, uncut, word, ("circuit", k, side, n))


def _insulators(draft: Draft) -> dict[str, str]:
    """Conductors that do not conduct, each with what is wrong with a current through them."""
    return {
        name: "does not conduct"
        for row in draft.conductors.values()
        if (metal := draft.materials.get(row.material)) and not metal.conductivity
        for name in row.copies
    }


def uncut_parts(draft: Draft) -> dict[str, str]:
    """Conductors that are closed on themselves, each with the reason."""
    found = {name: "is a closed ring: it has no ends" for row in draft.conductors.values() if row.closed
             for name in row.copies}  # fmt: skip
    for part in draft.parts():
        try:
            (whole,) = axial_parts((part,))
        except GeometryError:  # told of the section
            continue
        if any(map(on_axis, (whole.shape, *whole.pieces))):
            found[part.name] = "goes round the axis uncut: it has no ends"
    return found


def without_ends(
    draft: Draft, roster: Roster, uncut: dict[str, str], word: object, path: Path
) -> Iterator[Fault]:
    """The first conductor that a word names and no current can be led into."""
    try:
        members = roster.members(word) if isinstance(word, str) else ()
    except UnknownName:  # told with the circuits
        return
    name = next((name for name in members if name in uncut), None)
    if name is not None:
        hint = "leave it out here: a current is induced in it, which the results tell"
        yield draft.fault(path, "conductors with two ends", f'"{name}", which {uncut[name]}', hint)


def coils(draft: Draft) -> Iterator[Fault]:
    """Coils have known turns with two ends, each in one coil and in no circuit, and names of their own."""
    if not draft.axial:
        return
    uncut, roster = uncut_parts(draft), Roster(draft.rows("conductor"), draft.conductors)
    used = _in_circuits(draft, roster)
    circuits = [value(row, "name") for row in draft.rows("circuit")]
    for k, row in enumerate(draft.rows("coil")):
        name, words = value(row, "name"), value(row, "turns")
        if isinstance(name, str) and name in circuits:
            expected = "a name of its own for every coil and circuit"
            yield draft.fault(("coil", k, "name"), expected, f'"{name}", a circuit', "give one of them another name")
        turns: list[str] = []
        for n, word in enumerate(words if isinstance(words, (list, tuple)) else ()):
            path: Path = ("coil", k, "turns", n)
            try:
                members = roster.members(word) if isinstance(word, str) else ()
            except UnknownName as unknown:
                yield draft.fault(path, unknown.expected, f'"{word}"', unknown.hint)
                continue
            yield from without_ends(draft, roster, uncut, word, path)
            for member in members:
                if member in used:
                    hint = "leave it out of one of them"
                    yield draft.fault(path, "each turn once", f'"{member}", which is in "{used[member]}" already', hint)
                    break
            turns += members
            used |= dict.fromkeys(members, str(name))
        yield from _of_turns(draft, roster, k, row, turns)


def _in_circuits(draft: Draft, roster: Roster) -> dict[str, str]:
    """Conductors of circuits, each with the name of one."""
    found: dict[str, str] = {}
    for row in draft.rows("circuit"):
        for side in ("out", "back"):
            words = value(row, side)
            for word in words if isinstance(words, (list, tuple)) else ():
                with contextlib.suppress(UnknownName):
                    members = roster.members(word) if isinstance(word, str) else ()
                    found |= dict.fromkeys(members, str(value(row, "name")))
    return found


def _of_turns(draft: Draft, roster: Roster, k: int, row: object, turns: list[str]) -> Iterator[Fault]:
    """What is wound the other way is a turn; a tap is between two of them."""
    words = value(row, "reversed")
    for n, word in enumerate(words if isinstance(words, (list, tuple)) else ()):
        path: Path = ("coil", k, "reversed", n)
        try:
            members = roster.members(word) if isinstance(word, str) else ()
        except UnknownName as unknown:
            yield draft.fault(path, unknown.expected, f'"{word}"', unknown.hint)
            continue
        strange = next((name for name in members if name not in turns), None)
        if strange is not None:
            yield draft.fault(path, "a turn of this coil", f'"{strange}"', "name it in turns as well")
    taps = value(row, "taps")
    for n, tap in enumerate(taps if isinstance(taps, (list, tuple)) else ()):
        if turns and isinstance(tap, int) and tap >= len(turns):
            hint = f"the coil has {len(turns)} turns: count from 1 to {len(turns) - 1}" if len(turns) > 1 else (
                "a coil of one turn has no taps: leave them out"
            )
            yield draft.fault(("coil", k, "taps", n), "a tap between two turns", str(tap), hint)


def powers(draft: Draft) -> Iterator[Fault]:
    """[power] and [tank] speak of pieces, coils and a frequency that the case has."""
    if not draft.axial:
        return
    power, tank = draft.data.get("power"), draft.data.get("tank")
    roster = Roster(draft.rows("conductor"), draft.conductors)
    uncut = uncut_parts(draft)
    led = _in_circuits(draft, roster) | {
        name: str(value(row, "name")) for row in draft.rows("coil") for name in _members(roster, value(row, "turns"))
    }
    led = {name: fed for name, fed in led.items() if name not in uncut}  # told where it is fed
    words = value(power, "into")
    for n, word in enumerate(words if isinstance(words, (list, tuple)) else ()):
        try:
            members = roster.members(word) if isinstance(word, str) else ()
        except UnknownName as unknown:
            yield draft.fault(("power", "into", n), unknown.expected, f'"{word}"', unknown.hint)
            continue
        name = next((name for name in members if name in led), None)
        if name is not None:
            found = f'"{name}", which is in "{led[name]}"'
            yield draft.fault(("power", "into", n), "a piece in no circuit or coil", found, "name what is heated")
    if value(power, "wanted") is not None:
        yield from _one_frequency(draft)
        pieces = [name for row in draft.conductors.values() for name in row.copies if name not in led]
        sound = len(draft.conductors) == len(draft.rows("conductor"))  # what is faulty may be the piece
        if not pieces and not words and sound:
            hint = "add the piece that is heated as a [[conductor]]"
            yield draft.fault(("power", "wanted"), "a piece in no circuit or coil that takes it", "none", hint)
        yield from _losing(draft, _members(roster, words) or tuple(pieces))
    if tank is not None:
        yield from _coil_of_tank(draft, tank)
        at, sweep = (value(draft.data.get("frequency"), key) for key in ("at", "sweep"))
        if sweep is None and isinstance(at, (list, tuple)) and at and all(map(_at_rest, at)):
            hint = "direct current resonates with nothing: state a frequency, or leave the table out"
            yield draft.fault(("tank",), "a frequency above 0 Hz", f'"{at[0]}"', hint)


def _losing(draft: Draft, pieces: tuple[str, ...]) -> Iterator[Fault]:
    """Some piece takes power: it conducts, or its permeability has a loss."""
    lossless = [
        name
        for row in draft.conductors.values()
        if (metal := draft.materials.get(row.material)) and not (row.plating or row.plating_inside or row.clad)
        if not metal.conductivity and not metal.permeability_loss
        for name in row.copies
        if name in pieces
    ]
    if pieces and len(lossless) == len(set(pieces)):
        found = f'"{lossless[0]}", which neither conducts nor has a permeability_loss'
        yield draft.fault(("power", "wanted"), "a piece that loses power", found, "name what is heated in into")


def _at_rest(written: object) -> bool:
    """Whether a frequency of the file is 0 Hz, however written."""
    try:
        return isinstance(written, str) and not as_frequency(written)
    except ValueError:  # told of the frequency
        return False


def _members(roster: Roster, words: object) -> tuple[str, ...]:
    found: tuple[str, ...] = ()
    for word in words if isinstance(words, (list, tuple)) else ():
        with contextlib.suppress(UnknownName):
            found += roster.members(word) if isinstance(word, str) else ()
    return found


def _one_frequency(draft: Draft) -> Iterator[Fault]:
    """Currents are scaled for one frequency, at which something is induced."""
    frequency = draft.data.get("frequency")
    at = value(frequency, "at")
    if value(frequency, "sweep") is not None or (isinstance(at, (list, tuple)) and len(at) != 1):
        found = "a sweep" if value(frequency, "sweep") is not None else f"{len(at)} of them"  # type: ignore[arg-type]
        hint = "leave one and vary it in a [[vary]], or leave wanted out and state the current"
        yield draft.fault(("power", "wanted"), "one frequency, at which the power is wanted", found, hint)
    elif isinstance(at, (list, tuple)) and _at_rest(at[0]):
        hint = "direct current induces nothing: state a frequency"
        yield draft.fault(("power", "wanted"), "a frequency above 0 Hz", f'"{at[0]}"', hint)


def _coil_of_tank(draft: Draft, tank: object) -> Iterator[Fault]:
    name, known = value(tank, "coil"), draft.circuit_names
    if isinstance(name, str) and name not in known:
        near = nearest(name, known)
        hint = f'did you mean "{near}"?' if near else f"there are {', '.join(known) or 'none'}"
        yield draft.fault(("tank", "coil"), "the name of a coil or circuit", f'"{name}"', hint)
    elif name is None and len(known) > 1:
        yield draft.fault(("tank",), "the coil that it belongs to", "none", f'write coil = "{known[0]}"')
