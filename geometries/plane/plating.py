"""Checks of the plating: it has to fit on the part, into its slots and into the gaps to the neighbours."""

from __future__ import annotations

import numpy as np

from .contacts import Look, across, ahead_of, least_text, length, place_text
from .inscribed import largest_inscribed_circle


def coats_on_parts(look: Look) -> list[str]:
    """Layers without thickness, and plating too thick for the part, its hollow arcs or its slots."""
    faults = []
    for k in np.flatnonzero(look.hole_of == 0).tolist():
        part = look.parts[look.part_of[k]]
        if any(not coat > 0 or not np.isfinite(coat) for coat in part.layers):
            thickness = ", ".join(length(coat) for coat in part.layers)
            faults.append(f"{look.name(k)} has a layer of plating without thickness ({thickness}); make it positive")
            continue
        if part.coats:
            faults += _coat_on_part(look, k, float(look.coat[k]))
        if part.bore_coats:
            faults += _coat_in_bores(look, k, sum(part.bore_coats))
    return faults


def _coat_in_bores(look: Look, k: int, coat: float) -> list[str]:
    part, plating = look.parts[look.part_of[k]], f"the plating in the bore of {look.name(k)}, {length(coat)},"
    wall = largest_inscribed_circle(part.shape.outer, part.shape.holes)[1]
    faults = []
    if not part.shape.holes:
        faults.append(f"{look.name(k)} has no bore for its plating inside; leave it out")
    if coat > wall * (1 + 1e-9):
        faults.append(f"{plating} is thicker than half of the wall of {length(2 * wall)}; make it thinner")
    for hole in part.shape.holes:
        rounded = np.where(hole.bulges > 0, hole.radii, np.inf).min()
        if coat >= 0.999 * min(hole.inscribed_radius, rounded):
            faults.append(
                f"{plating} does not fit into a bore {length(2 * hole.inscribed_radius)} wide; make it thinner"
            )
    return faults


def _coat_on_part(look: Look, k: int, coat: float) -> list[str]:
    number = int(look.part_of[k])
    part, outline = look.parts[number], look.outlines[k]
    plating = f"the plating of {look.name(k)}, {length(coat)},"
    radius = largest_inscribed_circle(outline, part.shape.holes)[1]
    if coat > radius * (1 + 1e-9):
        return [f"{plating} is thicker than half of the part's thickness of {length(2 * radius)}; make it thinner"]
    tight = outline.curved & (outline.bulges < 0) & (outline.radii <= coat * (1 + 1e-9))
    if tight.any():
        side = int(np.flatnonzero(tight)[0])
        return [
            f"{plating} does not fit into its hollow side {outline.number(side)} of radius "
            f"{length(outline.radii[side])} near {place_text(look.sides.middle[look.first[k] + side])}; make it thinner"
        ]
    pairs = look.pairs.take((look.owner[look.pairs.i] == k) & (look.owner[look.pairs.j] == k))
    gap, slot = across(look, pairs)
    gap = np.where(slot, gap, np.inf)
    if not len(gap) or gap.min() >= 2 * coat + look.least(number, number):
        return []
    worst = int(gap.argmin())
    sides = look.numbers(int(pairs.i[worst]), int(pairs.j[worst]))
    return [
        f"{plating} is thicker than half of the {length(gap[worst])} between its own {sides} near "
        f"{place_text(pairs.on_i[worst])}; make it thinner or the slot wider"
    ]


def coats_in_gaps(look: Look) -> list[str]:
    """Plating thicker than half of the gap to another part, and platings that meet in it."""
    faults: dict[tuple[int, int], str] = {}
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
                faults.setdefault(
                    key,
                    f"the plating of {look.name(plated)}, {length(float(look.coat[plated]))}, is thicker than half of "
                    f"{where}; make it thinner or the gap wider",
                )
        left, least = gap - look.coat[one] - look.coat[other], look.least(*key)
        if look.coat[one] + look.coat[other] > 0 and left < least:
            faults.setdefault(key, f"their plating leaves {length(max(left, 0.0))} of {where}; {least_text(least)}")
    return list(faults.values())
