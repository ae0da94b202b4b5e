"""Loops sorted by what lies in what: outer outlines with their holes; a loop in a hole is a part of its own."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import DrawingError
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.shapes import Shape

MOST_LOOPS = 2000
_PROBES = 5  # places of a loop that are looked up in another


def nest(loops: Sequence[Outline]) -> tuple[Shape, ...]:
    """Shapes from left to right, then from the bottom up.

    Parameters
    ----------
    loops : sequence of Outline
        Counter-clockwise, none crossing another.

    Raises
    ------
    DrawingError
        More loops than a section can hold.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import circle
    >>> [len(shape.holes) for shape in nest([circle(1.0), circle(4.0), circle(3.0)])]
    [1, 0]
    """
    if len(loops) > MOST_LOOPS:
        hint = "put the outlines of the section in a layer of their own"
        raise DrawingError(f"at most {MOST_LOOPS} closed outlines in a layer", f"{len(loops)}", hint)
    order = sorted(range(len(loops)), key=lambda k: -loops[k].area)
    ranked = [loops[k] for k in order]
    inside = _inside(ranked)
    depth = inside.sum(axis=0)
    holes: dict[int, list[Outline]] = {k: [] for k in range(len(ranked)) if depth[k] % 2 == 0}
    for k in np.flatnonzero(depth % 2).tolist():
        parent = int(np.flatnonzero(inside[:, k])[-1])  # the smallest one around it
        if parent not in holes:
            place = ", ".join(f"{x:.6g}" for x in ranked[k].points[0])
            raise DrawingError("outlines that do not cross", f"a crossing near ({place})", "mend it in the drawing")
        holes[parent].append(ranked[k])
    shapes = [Shape(ranked[k], tuple(found)) for k, found in holes.items()]
    digits = 1e-6 * max((loop.size for loop in loops), default=1.0)
    return tuple(sorted(shapes, key=lambda shape: tuple(np.round(shape.outer.bounds[0] / digits))))


def _inside(ranked: Sequence[Outline]) -> np.ndarray[tuple[int, int], np.dtype[np.bool_]]:
    """inside[i, k]: loop k lies in loop i; the loops come with falling area."""
    boxes = np.array([loop.bounds for loop in ranked]).reshape(-1, 2, 2)
    probes = np.array([_spread(loop) for loop in ranked]).reshape(len(ranked), _PROBES, 2)
    found = np.zeros((len(ranked), len(ranked)), dtype=bool)
    for i, loop in enumerate(ranked):
        within = (boxes[i, 0] <= boxes[i + 1 :, 0]).all(axis=1) & (boxes[i + 1 :, 1] <= boxes[i, 1]).all(axis=1)
        held = i + 1 + np.flatnonzero(within)
        if len(held):
            # most of the places decide: single ones may lie on the outline
            votes = loop.contains(probes[held].reshape(-1, 2)).reshape(-1, _PROBES).sum(axis=1)
            found[i, held] = votes > _PROBES // 2
    return found


def _spread(loop: Outline) -> FloatArray:
    """Middles of sides all around a loop, (_PROBES, 2)."""
    k = np.arange(_PROBES) * len(loop.points) // _PROBES
    return loop.at(k, 0.37 + 0.05 * np.arange(_PROBES))[0]
