"""Checks of the plating: it has to fit on the part, into its slots and into the gaps to the neighbours."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.errors import GeometryFault

from .contacts import Look, across, ahead_of, least_text, length, place_text
from .inscribed import inscribed_radius, largest_inscribed_circle, sure_radius
from .outline import Outline


def coats_on_parts(look: Look) -> list[GeometryFault]:
    """Layers without thickness, and plating too thick for the part, its hollow arcs or its slots."""
    faults = []
    for k in np.flatnonzero(look.hole_of == 0).tolist():
        part = look.parts[look.part_of[k]]
        if any(not coat > 0 or not np.isfinite(coat) for coat in part.layers):
            thickness = ", ".join(length(coat) for coat in part.layers)
            faults.append(look.fault(k, f"has a layer of plating without thickness ({thickness})", "make it positive"))
            continue
        if part.coats:
            faults += _coat_on_part(look, k, float(look.coat[k]))
        if part.bore_coats:
            faults += _coat_in_bores(look, k, sum(part.bore_coats))
    return faults


def _coat_in_bores(look: Look, k: int, coat: float) -> list[GeometryFault]:
    part, culprits = look.parts[look.part_of[k]], look.culprits(int(look.part_of[k]))
    plating = f"the plating in the bore of {look.name(k)}, {length(coat)},"
    wall = _room(part.shape.outer, part.shape.holes, coat)
    faults = []
    if not part.shape.holes:
        faults.append(look.fault(k, "has no bore for its plating inside", "leave it out"))
    if coat > wall * (1 + 1e-9):
        found = f"{plating} is thicker than half of the wall of {length(2 * wall)}"
        faults.append(GeometryFault(found, "make it thinner", culprits))
    for hole in part.shape.holes:
        rounded = np.where(hole.bulges > 0, hole.radii, np.inf).min()
        if coat >= 0.999 * min(_room(hole, (), coat / 0.99), rounded):
            found = f"{plating} does not fit into a bore {length(2 * inscribed_radius(hole))} wide"
            faults.append(GeometryFault(found, "make it thinner", culprits))
    return faults


def _room(outline: Outline, holes: Sequence[Outline], coat: float) -> float:
    """Radius of the largest circle inside [m], or of one that is larger than a coat: that is found much sooner."""
    sure = sure_radius(outline, holes)
    return sure if sure > coat else largest_inscribed_circle(outline, holes)[1]


def _coat_on_part(look: Look, k: int, coat: float) -> list[GeometryFault]:
    number = int(look.part_of[k])
    part, outline, culprits = look.parts[number], look.outlines[k], look.culprits(number)
    plating = f"the plating of {look.name(k)}, {length(coat)},"
    radius = _room(outline, part.shape.holes, coat)
    if coat > radius * (1 + 1e-9):
        found = f"{plating} is thicker than half of the part's thickness of {length(2 * radius)}"
        return [GeometryFault(found, "make it thinner", culprits)]
    tight = outline.curved & (outline.bulges < 0) & (outline.radii <= coat * (1 + 1e-9))
    if tight.any():
        side = int(np.flatnonzero(tight)[0])
        found = (
            f"{plating} does not fit into its hollow side {outline.number(side)} of radius "
            f"{length(outline.radii[side])} near {place_text(look.sides.middle[look.first[k] + side])}"
        )
        return [GeometryFault(found, "make it thinner", culprits)]
    pairs = look.pairs.take((look.owner[look.pairs.i] == k) & (look.owner[look.pairs.j] == k))
    gap, slot = across(look, pairs)
    gap = np.where(slot, gap, np.inf)
    if not len(gap) or gap.min() >= 2 * coat + look.least(number, number):
        return []
    worst = int(gap.argmin())
    sides = look.numbers(int(pairs.i[worst]), int(pairs.j[worst]))
    found = (
        f"{plating} is thicker than half of the {length(gap[worst])} between its own {sides} near "
        f"{place_text(pairs.on_i[worst])}"
    )
    return [GeometryFault(found, "make it thinner or the slot wider", culprits)]


def coats_in_gaps(look: Look) -> list[GeometryFault]:
    """Plating thicker than half of the gap to another part, and platings that meet in it."""
    faults: dict[tuple[int, int], GeometryFault] = {}
    pairs = look.pairs.take(look.part_of[look.owner[look.pairs.i]] != look.part_of[look.owner[look.pairs.j]])
    coated = look.coat[look.owner[np.stack((pairs.i, pairs.j))]] > 0
    outward = np.asarray((~coated | (ahead_of(look, pairs) > 0)).all(axis=0))  # the way plating grows
    pairs = pairs.take(outward)
    for i, j, gap, place in look.closest(pairs, np.arange(len(look.outlines))):
        one, other = int(look.owner[i]), int(look.owner[j])
        where = f"the gap of {length(gap)} between {look.name(one)} and {look.name(other)} near {place_text(place)}"
        key = (int(look.part_of[one]), int(look.part_of[other]))
        for plated in (one, other):
            if look.coat[plated] > gap / 2 * (1 + 1e-9):
                thickness = length(float(look.coat[plated]))
                found = f"the plating of {look.name(plated)}, {thickness}, is thicker than half of {where}"
                faults.setdefault(key, GeometryFault(found, "make it thinner or the gap wider", look.culprits(*key)))
        left, least = gap - look.coat[one] - look.coat[other], look.least(*key)
        if look.coat[one] + look.coat[other] > 0 and left < least:
            found = f"their plating leaves {length(max(left, 0.0))} of {where}"
            faults.setdefault(key, GeometryFault(found, least_text(least), look.culprits(*key)))
    return list(faults.values())
