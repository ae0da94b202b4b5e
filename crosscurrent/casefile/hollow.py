"""Sizes of hollow shapes: two of outer size, wall and inner size."""

from __future__ import annotations

from collections.abc import Sequence

from crosscurrent.geometries.errors import GeometryError, GeometryFault

from .entries import fault
from .tables.base import Table

DIMENSIONS = ("width", "height", "thickness", "diameter", "wall", "bore", "inner_width", "inner_thickness")


def two_of(row: Table, keys: Sequence[str], hint: str, wanted: int = 2, *, from_gap: str = "") -> None:
    """So many of some dimensions, no more and no fewer; one fewer where a gap gives one of them.

    Raises
    ------
    PydanticCustomError
        While reading, where there are others.
    """
    if from_gap:
        keys, wanted = [key for key in keys if key != from_gap], wanted - 1
    given = [key for key in keys if getattr(row, key) is not None]
    if len(given) != wanted:
        number, few = {1: "one", 2: "two"}[wanted], len(given) < wanted
        found = ", ".join(given) or "none of them"
        raise fault(f"{number} of {', '.join(keys)}", found, hint if few else f"leave {given[-1]} out")


def outer_and_wall(outer: float | None, wall: float | None, inner: float | None) -> tuple[float, float]:
    """Outer size and wall of a hollow shape from two of outer size, wall and inner size [m].

    Raises
    ------
    GeometryError
        Only one of them is known.

    Examples
    --------
    >>> outer_and_wall(None, 1.0, 10.0), outer_and_wall(12.0, None, 10.0)
    ((12.0, 1.0), (12.0, 1.0))
    """
    if outer is not None and wall is not None:
        return outer, wall
    if wall is not None and inner is not None:
        return round(inner + 2 * wall, 12), wall
    if outer is not None and inner is not None:
        return outer, round((outer - inner) / 2, 12)
    found = "two of outer size, wall and inner size are needed"
    raise GeometryError(GeometryFault(found, "add one of them"))
