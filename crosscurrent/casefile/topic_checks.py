"""Checks of the further questions of a case against its conductors and circuits."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Iterator, Mapping

from pydantic import ValidationError

from crosscurrent.geometries.plane.axial import on_axis
from crosscurrent.solver.heat.balance import CEILING
from crosscurrent.solver.water.bores import bores

from .draft import Draft
from .faults import Fault
from .lines import Path
from .names import Roster, UnknownName, value
from .quantities import QuantityError, nearest, read_quantity
from .tables.cooling import CoolingTable
from .tables.prices import read_price


def waters(draft: Draft) -> Iterator[Fault]:
    """Water runs in known bores, each in one stream, over a stated length."""
    written = draft.rows("water")
    if written and "length" not in draft.data and not draft.axial:
        hint = 'write length = "2.4 m" at the top of the file'
        yield draft.fault(("water", 0), "the length of the run, which water needs", "none", hint)
    roster = Roster(draft.rows("conductor"), draft.conductors)
    parts = {part.name: part for part in draft.parts()}
    taken: dict[str, Path] = {}
    for k, row in enumerate(written):
        words = value(row, "conductors")
        for n, word in enumerate(words if isinstance(words, (list, tuple)) else ()):
            path: Path = ("water", k, "conductors", n)
            try:
                members = roster.members(word) if isinstance(word, str) else ()
            except UnknownName as unknown:
                yield draft.fault(path, unknown.expected, f'"{word}"', unknown.hint)
                continue
            for name in members:
                if name in taken:
                    yield draft.fault(path, "each conductor once", f'"{name}" a second time', "leave one of them out")
                elif name in parts and not bores(parts[name]):
                    hint = "take a tube or a box, an outline with holes, or clad it with a tube"
                    yield draft.fault(path, "a conductor with a bore", f'"{name}", which is solid', hint)
                elif draft.axial and name in parts and on_axis(parts[name].shape):
                    hint = "hollows on the axis have no ends: name turns"
                    found = f'"{name}", which lies on the axis'
                    yield draft.fault(path, "a turn, whose bore has two ends", found, hint)
                taken.setdefault(name, path)


def joints(draft: Draft) -> Iterator[Fault]:
    """Joints belong to known circuits."""
    known = draft.circuit_names
    for k, row in enumerate(draft.rows("joint")):
        circuit = value(row, "circuit")
        if isinstance(circuit, str) and circuit not in known:
            near = nearest(circuit, known)
            hint = f'did you mean "{near}"?' if near else f"the circuits are {', '.join(known) or 'none'}"
            yield draft.fault(("joint", k, "circuit"), "the name of a circuit", f'"{circuit}"', hint)


def warmth(draft: Draft) -> Iterator[Fault]:
    """A limit the air leaves room for; what a duty that is switched off cools in."""
    table = draft.data.get("cooling")
    with contextlib.suppress(ValidationError):
        written = None if table is None else CoolingTable.model_validate(table, context=draft.context)
        air = -math.inf if written is None else written.cooling(_ambient(draft), None).air
        if air >= CEILING:
            stated = next((key for key in ("enclosure_air", "ambient") if value(table, key) is not None), None)
            path: Path = ("cooling", stated) if stated else ("ambient",)
            expected = f"air below {CEILING:g} degC, up to which metal data are trusted"
            yield draft.fault(path, expected, f"{air:g} degC", "state the temperature of the air around the conductors")
        elif written is not None and written.temperature_limit is not None:
            limit = written.temperature_limit
            if not air < limit <= CEILING:
                expected = f"a limit above the air's {air:g} degC and up to {CEILING:g} degC"
                hint = "nothing gets colder than the air" if limit <= air else "metal data are trusted no further"
                yield draft.fault(("cooling", "temperature_limit"), expected, f"{limit:g} degC", hint)
    yield from _held(draft, table)
    for k, row in enumerate(draft.rows("duty")):
        if table is None and value(row, "off") is not None:
            hint = "add a table [cooling], or leave off out for one short time"
            yield draft.fault(("duty", k, "off"), "a table [cooling] that says what it cools in", "none", hint)


def _held(draft: Draft, table: object) -> Iterator[Fault]:
    """What keeps its temperature is known, and not in water, and something is left to be found."""
    roster = Roster(draft.rows("conductor"), draft.conductors)
    wet = _members(roster, [word for row in draft.rows("water") for word in _words(value(row, "conductors"))])
    held: set[str] = set()
    for n, word in enumerate(_words(value(table, "held"))):
        path: Path = ("cooling", "held", n)
        try:
            members = roster.members(word)
        except UnknownName as unknown:
            yield draft.fault(path, unknown.expected, f'"{word}"', unknown.hint)
            continue
        held.update(members)
        if both := next((name for name in members if name in wet), None):
            hint = "leave it out here: [[water]] finds its temperature"
            yield draft.fault(path, "a conductor without water", f'"{both}", which is in [[water]]', hint)
    every = {name for row in draft.conductors.values() for name in row.copies}
    if held and held == every:
        hint = "leave [cooling] out, or one of them"
        yield draft.fault(("cooling", "held"), "a conductor whose temperature is to be found", "all of them", hint)


def _words(words: object) -> list[str]:
    return [word for word in words if isinstance(word, str)] if isinstance(words, (list, tuple)) else []


def _members(roster: Roster, words: list[str]) -> set[str]:
    found: set[str] = set()
    for word in words:
        with contextlib.suppress(UnknownName):
            found.update(roster.members(word))
    return found


def _ambient(draft: Draft) -> float:
    try:
        return read_quantity(draft.data.get("ambient", "20 degC"), "temperature")
    except QuantityError:
        return 20.0


def prices(draft: Draft) -> Iterator[Fault]:
    """Prices are of known metals, all in one currency."""
    table = draft.data.get("prices")
    if not isinstance(table, Mapping):
        return
    known, currencies = [*draft.materials], {}
    for name, price in table.items():
        try:
            currency = read_price(price).currency
        except ValueError:  # said where it stands: one fault a mistake
            continue
        currencies[currency] = name
        if name not in known:
            near = nearest(name, known)
            hint = f'did you mean "{near}"?' if near else f"built in are {', '.join(known)}"
            yield draft.fault(("prices", name), "a built-in material or one of this file", f'"{name}"', hint)
    if len(currencies) > 1:
        found = " and ".join(currencies)
        yield draft.fault(("prices",), "all prices in one currency", found, "convert the others")


def limited(draft: Draft) -> Iterator[Fault]:
    """Limits, supports and pictures speak of known conductors and circuits."""
    roster = Roster(draft.rows("conductor"), draft.conductors)
    for table, key in (("limits", "insulated"), ("limits", "touchable"), ("pictures", "zoom")):
        words = value(draft.data.get(table), key)
        for n, word in enumerate(words if isinstance(words, (list, tuple)) else ()):
            try:
                if isinstance(word, str):
                    roster.members(word)
            except UnknownName as unknown:
                yield draft.fault((table, key, n), unknown.expected, f'"{word}"', unknown.hint)
    supports = draft.data.get("supports")
    circuit = supports.get("circuit") if isinstance(supports, Mapping) else None
    known = draft.circuit_names
    if isinstance(circuit, str) and circuit not in known:
        near = nearest(circuit, known)
        hint = f'did you mean "{near}"?' if near else f"the circuits are {', '.join(known) or 'none'}"
        yield draft.fault(("supports", "circuit"), "the name of a circuit", f'"{circuit}"', hint)


TABLES = ("fault", "waveform")


def drives(draft: Draft) -> Iterator[Fault]:
    """[fault] and [waveform] name circuits of the case, each once, and must where there are several."""
    shorted = [value(row, "name") for row in draft.rows("coil") if value(row, "shorted") is True]
    known = [name for name in draft.circuit_names if name not in shorted]
    for table in TABLES:
        written = draft.data.get(table)
        if written is None or not known:
            continue
        if (names := value(written, "circuit")) is None or names == ():
            if len(known) > 1:
                hint = f'write circuit = "{known[0]}", or a list of those that carry it together'
                yield draft.fault((table,), "the circuits that carry the current", "none", hint)
            continue
        alone = isinstance(names, str)
        listed = [names] if alone else list(names) if isinstance(names, (list, tuple)) else []
        for k, name in enumerate(listed):
            path: Path = (table, "circuit") if alone or not isinstance(written, Mapping) else (table, "circuit", k)
            if name in shorted:
                hint = f"name {' or '.join(known)}: what is shorted answers by itself"
                yield draft.fault(path, "a circuit with a current of its own", f'"{name}", which is shorted', hint)
            elif isinstance(name, str) and name not in known:
                near = nearest(name, known)
                hint = f'did you mean "{near}"?' if near else f"the circuits are {', '.join(known)}"
                yield draft.fault(path, "the name of a circuit", f'"{name}"', hint)
            elif not alone and name in listed[:k]:
                yield draft.fault(path, "each circuit once", f'"{name}" a second time', "leave one of them out")
