"""From places beside one another to centres: conductors in the order in which they can be placed."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import CrosscurrentError, GeometryError
from crosscurrent.geometries.plane.part import Part

from .conductors import ConductorTable
from .hollow import DIMENSIONS
from .lines import Path
from .quantities import nearest, write_quantity
from .tables.place import RELATIONS, PlaceTable

EXACT = 15  # decimals of a centre [m]: all that is sure of one that was summed, so that it is the one that is written


@dataclass(frozen=True)
class Misplacement:
    """What keeps a conductor from its place; `path` is inside its table."""

    number: int
    path: Path
    expected: str
    found: str
    hint: str


@dataclass(frozen=True)
class Placed:
    """Conductors with centres, and what kept others from theirs.

    Attributes
    ----------
    conductors : mapping of int to ConductorTable
        By their place in the file, all with centre and step; without those that have no place.
    faults : tuple of Misplacement
    """

    conductors: Mapping[int, ConductorTable]
    faults: tuple[Misplacement, ...]


class _Misplaced(CrosscurrentError):
    """Path in the table, what was expected, found, and a hint; never leaves this module."""


def placed(rows: Mapping[int, ConductorTable], names: Mapping[str, int]) -> Placed:
    """Every conductor at its centre.

    Parameters
    ----------
    rows : mapping of int to ConductorTable
        The sound conductors by their place in the file.
    names : mapping of str to int
        All names of the file, those of faulty conductors too.
    """
    found: dict[int, ConductorTable] = {}
    known: dict[str, tuple[Part, ...]] = {}
    faults: list[Misplacement] = []
    unbuilt: set[str] = set()
    waiting = dict(rows)
    while waiting:
        ready = [k for k, row in waiting.items() if row.place is None or _key(row.place) in known]
        for k in ready:
            row = waiting.pop(k)
            try:
                made = _centred(row, known)
                parts = made.envelope()
            except _Misplaced as fault:
                faults.append(Misplacement(k, *fault.args))
            except GeometryError:  # reported as dimensions that do not fit
                found[k] = row
                unbuilt.add(row.name)
            else:
                found[k] = made
                known |= {part.name: (part,) for part in parts} | {row.name: parts}
        if not ready:
            faults += _stuck(waiting, names, {k: row for k, row in rows.items() if row.name not in unbuilt})
            break
    return Placed(dict(sorted(found.items())), tuple(faults))


def _key(place: PlaceTable) -> str:
    return place.other.removesuffix(".*")


def finished(parts: Sequence[Part]) -> FloatArray:
    """Box around parts with their coats on, lower left and upper right corner, (2, 2) [m]."""
    boxes = np.array([p.bounds + sum(p.coats) * np.array([[-1.0, -1.0], [1.0, 1.0]]) for p in parts])
    return np.array([boxes[:, 0].min(axis=0), boxes[:, 1].max(axis=0)])


def _centred(row: ConductorTable, known: Mapping[str, tuple[Part, ...]]) -> ConductorTable:
    """A row with its sizes, steps and centre in figures."""
    row = _stepped(_sized(row, known))
    centre = row.centre if row.place is None else _centre(row.place, row.envelope(), known[_key(row.place)])
    return row.model_copy(update={"place": None, "centre": tuple(round(float(c), EXACT) + 0.0 for c in centre)})


def _stepped(row: ConductorTable) -> ConductorTable:
    """Copies at a gap, and what they share, as copies at a step."""
    repeat = row.repeat
    if repeat is None or (repeat.gap is None and repeat.split is None):
        return row
    update: dict[str, object] = {}
    if repeat.split is not None:
        whole = getattr(row, repeat.split, None)
        if not isinstance(whole, float):
            lengths = [key for key, value in row if isinstance(value, float) and key in DIMENSIONS]
            hint = f"its dimensions are {', '.join(lengths)}"
            raise _Misplaced(("repeat", "split"), "a dimension that the conductor gives", f'"{repeat.split}"', hint)
        update[repeat.split] = whole / repeat.count
    one = row.model_copy(update={**update, "repeat": None, "place": None})
    if repeat.gap is not None:
        box = finished(one.envelope())
        size = float((box[1] - box[0])["xy".index(repeat.along)])
        step = round(size + repeat.gap, EXACT)
        update["repeat"] = repeat.model_copy(
            update={"gap": None, "split": None, "step": (step, 0.0) if repeat.along == "x" else (0.0, step)}
        )
    else:
        update["repeat"] = repeat.model_copy(update={"split": None})
    return row.model_copy(update=update)


def _sized(row: ConductorTable, known: Mapping[str, tuple[Part, ...]]) -> ConductorTable:
    """A tube or box around another conductor, its bore from the gap."""
    if row.place is None or row.place.around is None or row.place.gap is None:
        return row
    inner = finished(known[_key(row.place)])
    room = inner[1] - inner[0] + 2 * (row.place.gap + sum(coat.thickness for coat in row.plating_inside))
    bores = row.bores(float(room[0]), float(room[1]))
    if not bores:
        found, hint = f'the shape "{row.shape_name}"', "give a tube or box, or leave the gap out"
        raise _Misplaced(("place", "gap"), "a gap around only of a hollow conductor", found, hint)
    given = [key for key in bores if getattr(row, key) is not None]
    if given:
        hint = f"leave {given[0]} out, and the gap gives it, or leave the gap out"
        raise _Misplaced(("place", "gap"), f"either the gap or {given[0]}", "both", hint)
    return row.model_copy(update={key: round(value, EXACT) for key, value in bores.items()})


def _centre(place: PlaceTable, own: Sequence[Part], other: Sequence[Part]) -> FloatArray:
    """Where the centre comes to lie, [m]; `own` are drawn about the origin."""
    low, high = finished(own)
    their_low, their_high = finished(other) if place.inside is None else _bore(place, other)
    axis = 0 if place.is_sideways else 1
    centre = (their_low + their_high - low - high) / 2
    if place.around is not None:
        return np.asarray(centre + np.array([place.shift, 0.0]))
    across = 1 - axis
    if place.align in ("left", "bottom"):
        centre[across] = their_low[across] - low[across]
    elif place.align in ("right", "top"):
        centre[across] = their_high[across] - high[across]
    centre[across] += place.shift
    gap = place.gap or 0.0
    towards_low = place.relation in ("below", "left_of") or place.wall in ("right", "top")
    if place.inside is not None:
        centre[axis] = their_high[axis] - gap - high[axis] if towards_low else their_low[axis] + gap - low[axis]
        return np.asarray(centre)
    centre[axis] = their_low[axis] - gap - high[axis] if towards_low else their_high[axis] + gap - low[axis]
    radii = _radius(own), _radius(other)
    if radii[0] is not None and radii[1] is not None:  # rounds are nearest along the line of their centres
        apart, aside = radii[0] + radii[1] + gap, float(centre[across] - (their_low + their_high)[across] / 2)
        if abs(aside) >= apart:
            limit, found = write_quantity(float(f"{apart:.6g}"), "length"), write_quantity(place.shift, "position")
            hint = f"centres {limit} apart or further need no gap: choose a smaller shift"
            raise _Misplaced(("place", "shift"), f"a shift below {limit}", f'"{found}"', hint)
        along = math.sqrt(apart**2 - aside**2)
        centre[axis] = (their_low + their_high)[axis] / 2 + (-along if towards_low else along)
    return np.asarray(centre)


def _bore(place: PlaceTable, other: Sequence[Part]) -> FloatArray:
    """Box of the bore with its coats on, (2, 2) [m]."""
    if len(other) != 1 or len(other[0].shape.holes) != 1:
        hint = "name a box, a tube or an outline with one hole"
        raise _Misplaced(("place", "inside"), "a conductor with one bore", f'"{place.other}"', hint)
    coat = sum(other[0].bore_coats)
    return np.asarray(other[0].shape.holes[0].bounds + coat * np.array([[1.0, 1.0], [-1.0, -1.0]]))


def _radius(parts: Sequence[Part]) -> float | None:
    """Of a single round with its coats on [m]; None for all else."""
    if len(parts) != 1 or parts[0].pieces or not parts[0].shape.outer.curved.all():
        return None
    outline = parts[0].shape.outer
    if np.ptp(outline.radii) > 1e-9 * outline.size or np.ptp(outline.centres, axis=0).max() > 1e-9 * outline.size:
        return None
    return float(outline.radii[0]) + sum(parts[0].coats)


def _stuck(
    waiting: Mapping[int, ConductorTable], names: Mapping[str, int], rows: Mapping[int, ConductorTable]
) -> Iterator[Misplacement]:
    """Conductors whose other is not known or leads round in a circle; those that wait for a faulty one are left."""
    by_name = {row.name: k for k, row in waiting.items()}
    told: set[int] = set()
    for k, row in waiting.items():
        assert row.place is not None
        path, base = ("place", row.place.relation), _owner(row.place.other, names)
        if base is None:
            yield _stranger(k, row.place.relation, row.place.other, names)
            continue
        chain, at = [k], by_name.get(base)
        while at is not None and at not in chain:
            chain.append(at)
            place = waiting[at].place
            at = by_name.get(_owner(place.other, names) or "") if place is not None else None
        if at == k and not told & set(chain):
            told |= set(chain)
            circle = " beside ".join(f'"{waiting[n].name}"' for n in (*chain, k))
            hint = "give one of them a centre, or place it beside another one"
            yield Misplacement(k, path, "places that begin at a conductor with a centre", circle, hint)
        elif at is None and base in {r.name for r in rows.values()} - by_name.keys():
            hint = f'"{base}" has no such copy'
            yield Misplacement(k, path, "the name of another conductor or of one copy", f'"{row.place.other}"', hint)


def strangers(written: Mapping[int, object], names: Mapping[str, int]) -> Iterator[Misplacement]:
    """Names that no conductor has in places as written, of conductors that are faulty otherwise as well."""
    for k, row in written.items():
        place = row.get("place") if isinstance(row, Mapping) else None
        given = place if isinstance(place, Mapping) else {}
        for relation in RELATIONS:
            if isinstance(other := given.get(relation), str) and _owner(other, names) is None:
                yield _stranger(k, relation, other, names)


def _stranger(number: int, relation: str, other: str, names: Mapping[str, int]) -> Misplacement:
    near = nearest(other, names)
    hint = f'did you mean "{near}"?' if near else f"the conductors are {', '.join(names)}"
    expected = "the name of another conductor or of one copy"
    return Misplacement(number, ("place", relation), expected, f'"{other}"', hint)


def _owner(other: str, names: Mapping[str, int]) -> str | None:
    """The conductor of the file that is meant, be it by a copy."""
    word = other.removesuffix(".*")
    base = word.rpartition(".")[0]
    return word if word in names else base if base in names else None
