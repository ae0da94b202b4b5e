"""Closed loops of a case file: points and arcs around a part."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, BeforeValidator, Discriminator, Tag

from crosscurrent.geometries.plane.outline import Outline

from .entries import Bulge, Kind, Pair, fault
from .tables.base import Table

MOST_POINTS = 5000  # of one loop


class ArcTable(Table):
    """An arc to a point [m]; bulge is the tangent of a quarter of its angle, positive counter-clockwise."""

    arc_to: Pair
    bulge: Bulge


def _entry(value: object) -> str:
    return "an arc" if isinstance(value, (dict, ArcTable)) else "a point"


Entry = Annotated[Annotated[Pair, Tag("a point")] | Annotated[ArcTable, Tag("an arc")], Discriminator(_entry)]


def _few(entries: object) -> object:
    """Asked before any of them is read."""
    if isinstance(entries, (list, tuple)) and len(entries) > MOST_POINTS:
        hint = 'draw arcs as arcs, or take them from a drawing: shape = "drawing"'
        raise fault(f"at most {MOST_POINTS} points", f"{len(entries)}", hint)
    return entries


def _enough(entries: tuple[Pair | ArcTable, ...]) -> tuple[Pair | ArcTable, ...]:
    least = 2 if any(isinstance(entry, ArcTable) for entry in entries) else 3
    if len(entries) < least:
        hint = "add points in order around the part"
        raise fault("at least 3 points, or 2 with an arc between them", f"{len(entries)}", hint)
    return entries


Loop = Annotated[
    tuple[Entry, ...],
    BeforeValidator(_few),
    AfterValidator(_enough),
    Kind('a list of points ["x", "y"] and arcs { arc_to = ["x", "y"], bulge = 1 }', "position"),
]


def outline_of(entries: tuple[Pair | ArcTable, ...]) -> Outline:
    """An arc belongs to the side that ends at it; on the first entry that is the side closing the loop."""
    corners = [entry.arc_to if isinstance(entry, ArcTable) else entry for entry in entries]
    bulges = [entry.bulge if isinstance(entry, ArcTable) else 0.0 for entry in entries]
    if len(corners) > 2 and corners[0] == corners[-1] and not bulges[0]:  # closed by its first point once more
        corners.pop()
        bulges[0] = bulges.pop()
    return Outline.of(corners, bulges[1:] + bulges[:1])
