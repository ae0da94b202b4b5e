"""Checks of [[heating]]: a known conductor of a section round an axis, with what its metals take known."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping

from .draft import Draft
from .faults import Fault
from .lines import Path
from .names import Roster, UnknownName, value


def heatings(draft: Draft) -> Iterator[Fault]:
    """Work pieces are single solid conductors whose density and heat capacity are known."""
    written = draft.rows("heating")
    roster = Roster(draft.rows("conductor"), draft.conductors)
    taken: set[str] = set()
    for k, row in enumerate(written):
        word = value(row, "piece")
        path: Path = ("heating", k, "piece")
        if not isinstance(word, str):
            continue
        try:
            members = roster.members(word)
        except UnknownName as unknown:
            yield draft.fault(path, unknown.expected, f'"{word}"', unknown.hint)
            continue
        if len(members) != 1:
            yield draft.fault(path, "one conductor", f'"{word}", which are {len(members)}', "a table for each of them")
            continue
        if members[0] in taken:
            yield draft.fault(path, "each conductor once", f'"{word}" a second time', "leave one of them out")
        taken.add(members[0])
        stated = value(row, "over_temperature")
        rows = stated if isinstance(stated, (list, tuple)) else ()
        tabled = {key for one in rows if isinstance(one, Mapping) for key in one}
        yield from _of_known_metal(draft, members[0], path, tabled)


def _of_known_metal(draft: Draft, name: str, path: Path, tabled: Collection[str]) -> Iterator[Fault]:
    row = next((row for row in draft.conductors.values() if name in row.copies), None)
    if row is None:
        return
    if row.filling is not None:
        yield draft.fault(path, "a solid conductor", f'"{name}", a bundle of strands', "leave it out")
        return
    if tabled and (row.clad or row.plating):
        where: Path = (*path[:2], "over_temperature")
        hint = "leave it out, or take the piece without its layers"
        yield draft.fault(where, "a piece of one metal, plain", f'"{name}" with layers or pieces of others', hint)
    for metal in dict.fromkeys((row.material, *(piece.material for piece in row.clad))):
        known = draft.materials.get(metal)
        needed = [key for key in ("density", "heat_capacity") if key not in tabled]
        missing = [key for key in needed if known is not None and getattr(known, key) is None]
        if missing:
            found = f'"{name}" of {metal}, whose {" and ".join(missing)} nobody says'
            hint = f"write {' and '.join(missing)} under [material.{metal}], or take a metal of the list"
            yield draft.fault(path, "metals with density and heat capacity", found, hint)
