"""The gap between two parts as it was typed: how far one of them goes, by the distance of their finished faces."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from crosscurrent.casefile.amount import amount_faults
from crosscurrent.casefile.draft import Draft
from crosscurrent.casefile.drawings import beside
from crosscurrent.casefile.quantities import QuantityError, parse
from crosscurrent.casefile.tables.place import RELATIONS
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane.neighbours import finished_gap, nearest_points
from crosscurrent.geometries.plane.part import Part

from .carry import carried, gap_of_place, row_of
from .edits import EditError

RIGHT = 2e-10  # of a gap that is solved for [m]
DECIMALS = 7  # of a millimetre, of the places that it takes
TRIES = 30
SQUARE = 1e-6  # of a direction that is meant to lie along an axis [rad]


@dataclass(frozen=True)
class Between:
    """Where a row stands to another part.

    Attributes
    ----------
    gap : float
        Shortest distance of finished faces [m]; negative, by their boxes, where they overlap.
    away : (2,) float
        Direction in which the row leaves the other along the nearest line.
    """

    gap: float
    away: FloatArray


def with_gap(text: str, folder: Path, row: int, other: str, typed: str) -> str:
    """The text with a row so far from another part that the gap of their finished faces is as typed.

    It goes along the nearest line, so along an axis where they face along one; one that is placed beside that other
    part changes its written gap alone.

    Parameters
    ----------
    text : str
        TOML.
    folder : Path
        Of its drawings.
    row : int
        Of the conductors.
    other : str
        Name of the part.
    typed : str
        A length with its unit.

    Raises
    ------
    EditError
        It is no length, there is no such part, or no way leads to that gap.
    """
    try:
        wanted = parse(typed.strip(), "length")
    except QuantityError as error:
        raise EditError(f"gap to {other}: {error}") from None
    if "+-" in typed or "\u00b1" in typed:
        raise EditError(f"gap to {other}: a gap follows from two places; type it without a tolerance")
    now = between(text, folder, row, other)
    along = _written_gap(text, row, other)
    by, found, slope = np.zeros(2), text, 1.0
    for _ in range(TRIES):
        if abs(wanted - now.gap) <= RIGHT:
            return found
        step = now.away * (wanted - now.gap) if along is None else along * ((wanted - now.gap) / slope)
        by = by + step
        found = carried(text, row, (float(by[0]), float(by[1])), DECIMALS)
        before, now = now, between(found, folder, row, other)
        if abs(now.gap - before.gap) < RIGHT and now.away @ before.away > 1 - SQUARE:
            raise EditError(f"gap to {other}: it goes along with this part; type the gap where it is placed")
        if along is not None:
            slope = (now.gap - before.gap) / float(step @ along)
    raise EditError(f"gap to {other}: what stands around leaves no room for {typed.strip()}; move or resize it first")


def _written_gap(text: str, row: int, other: str) -> FloatArray | None:
    """The direction in which the written gap of a row grows, where it is the one to that other part."""
    place = row_of(text, row).get("place")
    if not isinstance(place, dict):
        return None
    axis, sign = gap_of_place(place)
    named = next((str(place[key]) for key in RELATIONS if key in place), "").removesuffix(".*")
    return sign * np.eye(2)[axis] if named in (other, other.rpartition(".")[0]) else None


def between(text: str, folder: Path, row: int, other: str) -> Between:
    """Where a row stands to another part, the nearest of its copies.

    Raises
    ------
    EditError
        The conductors are at fault, or there is no such part.
    """
    draft = Draft(beside(tomllib.loads(text), folder), None)
    if amount_faults(draft) or row not in draft.conductors:
        raise EditError("this part is at fault: mend it before its gap is typed")
    try:
        parts = {k: table.envelope() for k, table in draft.conductors.items()}
    except GeometryError:
        raise EditError("a part is at fault: mend it before a gap is typed") from None
    far = next((p for k, of in parts.items() if k != row for p in of if p.name == other), None)
    if far is None:
        raise EditError(f"{other}: no such part on the board")
    near = min(parts[row], key=lambda part: finished_gap(part, far))
    found = _between(near, far)
    if draft.axial and near.bounds[0, 0] <= 0 and found.away[0]:
        raise EditError(f"gap to {other}: this part stands on the axis; change its size, or move {other}")
    return found


def _between(one: Part, far: Part) -> Between:
    distance, _, _, on_one, on_far = nearest_points(one, far)
    within = any(a.contains(b.shape.outer.points[:1]).any() for a, b in ((one, far), (far, one)))
    if distance and not within:
        away = (on_one - on_far) / distance
        away[np.abs(away) < SQUARE] = 0.0
        return Between(finished_gap(one, far), away / np.linalg.norm(away))
    (low, high), (their_low, their_high) = (
        p.bounds + sum(p.coats) * np.array([[-1.0, -1.0], [1.0, 1.0]]) for p in (one, far)
    )
    apart = np.maximum(their_low - high, low - their_high)
    axis = int(apart[1] >= apart[0])
    ahead = 1.0 if low[axis] + high[axis] > their_low[axis] + their_high[axis] else -1.0
    return Between(min(0.0, float(apart[axis])), ahead * np.eye(2)[axis])
