"""Names on the drawing: in the metal where they fit, else in the air beside it with a line that leads to it."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.sides import Sides
from crosscurrent.postprocess.answers.few_names import short_name

from .room import TALL, Room
from .sheet import LETTER, NOTES, Label, Polyline, Sheet

LONGEST = 24  # letters of a name
FEW, ENDS = 8, 3  # members of a row that are all led to, and where mirror images stand; of more the first and the last
FAR = 18.0  # length of a leader to one of a row that may go without a name [heights]
LED = 2  # members of a row that tell where the others stand
FEET = 12  # sides of a part on which a leader may end, the longest
NEAREST = 60  # places of a name that are compared, and about as many of all others
METAL, TEXT, LINE = 4.0, 40.0, 3.0  # what a leader would rather go round than cross [heights of the text]
DOT = 0.22  # at the end of a leader [heights]


def add_names(sheet: Sheet, parts: Sequence[Part]) -> None:
    """Write the name of every part that has one; none on another part, another name or a dimension.

    Of long rows of repeated parts that are too small for their names, the first and the last are led to; of shorter
    ones those that a leader reaches without crossing parts or texts, if they are two: the numbers of the rest follow.
    """
    names = [short_name(part.name, LONGEST, "...") for part in parts]
    room = Room.of(sheet, parts, (LETTER * max(map(len, names)) + 4, 2 * TALL + TALL * min(len(parts), 4 * FEW)))
    beside = [k for k in range(len(parts)) if names[k] and not _inside(sheet, room, k, names[k])]
    for row in _led_to(parts, beside, FEW if all(names) else ENDS):
        across = [k for k in row if not _beside(sheet, room, k, names[k], parts[k], free=len(row) > LED)]
        for k in across if len(row) - len(across) < LED else ():
            _beside(sheet, room, k, names[k], parts[k])


def _led_to(parts: Sequence[Part], numbers: Sequence[int], few: int) -> list[list[int]]:
    """Row by row in the order of their first."""
    rows: dict[str, list[int]] = {}
    for k in numbers:
        head, _, tail = parts[k].name.rpartition(".")
        rows.setdefault(head if tail.isdigit() else parts[k].name, []).append(k)
    return [row if len(row) <= few else [row[0], row[-1]] for row in rows.values()]


def _inside(sheet: Sheet, room: Room, number: int, name: str) -> bool:
    """Write a name in the metal, as near to its middle as it goes; upright where it does not fit across."""
    own = room.owner == number
    if not own.any():
        return False
    middle = room.middles(*np.nonzero(own)).mean(axis=0)
    for upright in (False, True):
        places = room.middles(*room.centres(own, name, upright=upright))
        if len(places):
            away = np.hypot(*(places - middle).T)
            best = int(away.argmin())
            _write(sheet, room, middle if away[best] < room.cell else places[best], name, upright=upright)
            return True
    return False


def _beside(sheet: Sheet, room: Room, number: int, name: str, part: Part, *, free: bool = False) -> bool:
    """Write a name in the air, where the leader to its part is short and crosses little; `free`: or not at all.

    Returns
    -------
    bool
        Whether it stands there.
    """
    feet = _feet(part)
    places = room.middles(*room.centres(room.owner < 0, name))
    half = np.array([LETTER * len(name) + 0.4, TALL - 0.5]) / 2 * sheet.height
    near = np.argsort(_apart(places, feet, half).min(axis=1), kind="stable")
    places = places[np.concatenate((near[:NEAREST], near[NEAREST :: 1 + len(near) // NEAREST]))]
    lines = _leaders(places, feet, half)
    metal, texts, drawn = room.crossings(lines.reshape(-1, 2, 2), number)
    length = np.hypot(*(lines[..., 1, :] - lines[..., 0, :]).reshape(-1, 2).T) / sheet.height
    cost = length + METAL * metal + TEXT * texts + LINE * drawn + 2.0 * (length < 0.6)
    if free:
        cost = np.where((metal > 0) | (texts > 0) | (length > FAR), np.inf, cost)
        if not np.isfinite(cost).any():
            return False
    place, foot = np.unravel_index(int(cost.argmin()), lines.shape[:2])
    start, end = lines[place, foot]
    room.add_line(lines[place, foot][None])
    sheet.line(NOTES, (float(start[0]), float(start[1])), (float(end[0]), float(end[1])))
    corners = end + DOT * sheet.height * np.array([[1, 0], [0, 1], [-1, 0], [0, -1]])
    sheet.lines.append(Polyline(NOTES, tuple((float(x), float(y)) for x, y in corners), filled=True))
    _write(sheet, room, places[place], name)
    return True


def _feet(part: Part) -> FloatArray:
    """Middles of the longest sides of a part, (n, 2) [mm]."""
    sides = Sides.of(*part.all_outlines)
    return np.asarray(1e3 * sides.middle[np.argsort(-sides.length, kind="stable")[:FEET]])


def _leaders(places: FloatArray, feet: FloatArray, half: FloatArray) -> FloatArray:
    """From the edge of a text at every place to every foot, (n, m, 2, 2) [mm]."""
    start = places[:, None] + np.clip(feet - places[:, None], -half, half)
    return np.stack((start, np.broadcast_to(feet, start.shape)), axis=2)


def _apart(places: FloatArray, feet: FloatArray, half: FloatArray) -> FloatArray:
    """Distance from the text at every place to every foot, (n, m) [mm]."""
    lines = _leaders(places, feet, half)
    return np.asarray(np.hypot(*np.moveaxis(lines[:, :, 1] - lines[:, :, 0], 2, 0)))


def _write(sheet: Sheet, room: Room, place: FloatArray, name: str, *, upright: bool = False) -> None:
    """Write a name around a place."""
    x, y = float(place[0]), float(place[1])
    at = (x + 0.5 * sheet.height, y) if upright else (x, y - 0.5 * sheet.height)
    label = Label(NOTES, at, name, sheet.height, "middle", upright)
    sheet.labels.append(label)
    room.add_label(label)
