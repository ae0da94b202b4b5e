"""Which temperature limits hold for which conductor, and which temperatures are those in service."""

from __future__ import annotations

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.entries import Names
from crosscurrent.casefile.names import Roster
from crosscurrent.casefile.tables.limits import LimitsTable

from .temperatures import held_in

KINDS = ("bare", "plated", "insulated", "touchable")


def kinds_of(case: Case, asked: LimitsTable) -> dict[str, tuple[str, ...]]:
    """The kinds of temperature limit that hold for each conductor: as it is named, else bare or plated."""
    named = {"insulated": _members(case, asked.insulated), "touchable": _members(case, asked.touchable)}
    return {
        c.name: tuple(kind for kind, names in named.items() if c.name in names)
        or ("plated" if c.part.coats else "bare",)
        for c in case.problem().conductors
    }


def held_kinds(case: Case, asked: LimitsTable) -> frozenset[str]:
    """The kinds of temperature limit of which every conductor keeps a temperature that the case states."""
    kinds, held = kinds_of(case, asked), held_in(case)
    free = {kind for name, own in kinds.items() if name not in held for kind in own}
    return frozenset(kind for name in held for kind in kinds.get(name, ())) - free


def _members(case: Case, words: Names) -> set[str]:
    """The conductors that words such as "bar.*" stand for."""
    roster = Roster(case.data.conductor, dict(enumerate(case.data.conductor)))
    return {name for word in words for name in roster.members(word)}
