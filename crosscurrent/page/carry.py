"""A row of the case file carried elsewhere: by its centre, or by gap and shift where it is placed beside another."""

from __future__ import annotations

import math
from typing import cast

from . import edits
from .edits import EditError
from .words import Plain

WAYS = {"above": (1, 1), "below": (1, -1), "right_of": (0, 1), "left_of": (0, -1)}  # axis of the gap, and its sign
WALLS = {"bottom": (1, 1), "top": (1, -1), "left": (0, 1), "right": (0, -1)}
HAND = 4  # decimals of a millimetre that a hand sets: a tenth of a micrometre


def carried(text: str, row: int, by: tuple[float, float], decimals: int = HAND) -> str:
    """The text with a row elsewhere; what is repeated keeps its steps.

    Parameters
    ----------
    text : str
        TOML.
    row : int
        Of the conductors.
    by : (x, y) [m]
    decimals : int
        Of a millimetre, of what is written.

    Raises
    ------
    EditError

    Examples
    --------
    >>> carried('[[conductor]]\\ncentre = ["1 in", "2 mm +- 0.1 mm"]\\n', 0, (0.0, 1e-3))
    '[[conductor]]\\ncentre = ["1 in", "3 mm +- 0.1 mm"]\\n'
    """
    table = row_of(text, row)
    if "place" in table:
        return _placed(text, row, table["place"], by, decimals)
    centre = table.get("centre", ["0 mm", "0 mm"])  # one that is not written is at the origin
    return edits.with_value(
        text, ("conductor", row, "centre"), [_further(word, d, decimals) for word, d in zip(centre, by, strict=True)]
    )


def turned(text: str, row: int) -> str:
    """The text with a row turned by a quarter, counter-clockwise.

    Raises
    ------
    EditError

    Examples
    --------
    >>> turned('[[conductor]]\\nturn = "300 deg"\\n', 0)
    '[[conductor]]\\nturn = "30 deg"\\n'
    """
    from crosscurrent.casefile.quantities import QuantityError, parse

    word = row_of(text, row).get("turn", "0 deg")
    try:
        now = math.degrees(parse(str(word), "angle"))
    except QuantityError:
        raise EditError(f'"{word}" is a name of [named]: change it there, or type an angle here') from None
    return edits.with_value(text, ("conductor", row, "turn"), f"{round(now + 90, 9) % 360:.10g} deg")


def gap_of_place(place: Plain) -> tuple[int, int]:
    """Along which axis the written gap of a place lies, and which way it grows.

    Raises
    ------
    EditError
        It stands around another one.
    """
    found = next((WAYS[word] for word in WAYS if word in place), None) or WALLS.get(str(place.get("wall")))
    if found is None:
        raise EditError("this part stands around another: change its gap or its size")
    return found


def _placed(text: str, row: int, place: Plain, by: tuple[float, float], decimals: int) -> str:
    axis, sign = gap_of_place(place)
    found = text
    for key, further in (("gap", sign * by[axis]), ("shift", by[1 - axis])):
        if further:
            word = _further(place.get(key, "0 mm"), further, decimals)
            found = edits.with_value(found, ("conductor", row, "place", key), word)
    return found


def row_of(text: str, row: int) -> Plain:
    """A conductor's table as the text has it.

    Raises
    ------
    EditError
        There is no such conductor.
    """
    from .view import tables

    rows = tables(text).get("conductor", [])
    if row >= len(rows):
        raise EditError("no such part in the text")
    return cast(Plain, rows[row])


def _further(word: object, by: float, decimals: int) -> object:
    """A length written as text, by so much [m] more; what stands behind +- stays."""
    from crosscurrent.casefile.quantities import QuantityError, parse

    if not by:
        return word
    nominal, _, around = str(word).partition("+-")
    try:
        value = parse(nominal.strip(), "position")
    except QuantityError:
        raise EditError(f'"{word}" is a name of [named]: change it there, or type a length here') from None
    return written(value + by, decimals) + (f" +- {around.strip()}" if around else "")


def written(value: float, decimals: int = HAND) -> str:
    """A length [m] as a case file has it.

    Examples
    --------
    >>> written(0.0123456789), written(-1e-9), written(0.0123456789, 6)
    ('12.3457 mm', '0 mm', '12.345679 mm')
    """
    figure = round(value * 1e3, decimals)
    return f"{figure + 0.0:.12g} mm" if figure else "0 mm"
