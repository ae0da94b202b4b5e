"""Where boundary layers run into one another, and which of them give way."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.errors import MeshError
from crosscurrent.geometries.plane.sides import cross

from .nodes import Nodes

GIVING_WAY = 0.5  # factor on the depth of a boundary layer that was too deep
BLOCK = 1_000_000


class LayerCollision(MeshError):
    """The boundaries of a region cross; holds where, (m, 2) [m]."""

    def __init__(self, places: FloatArray) -> None:
        super().__init__("the boundary layers of a mesh run into one another")
        self.places = places


def crossing_places(points: FloatArray, edges: IntArray) -> FloatArray:
    """Ends of all edges (m, 2) that cross another one, (k, 2); of all edges where none does."""
    a, b = points[edges[:, 0]], points[edges[:, 1]]
    hit = np.zeros(len(edges), bool)
    rows = max(1, BLOCK // len(edges))
    for first in range(0, len(edges), rows):
        s = slice(first, first + rows)
        along, chord = (b - a)[s, None], b - a
        apart = cross(along, a - a[s, None]) * cross(along, b - a[s, None]) < 0
        across = cross(chord, a[s, None] - a) * cross(chord, b[s, None] - a) < 0
        hit[s] = (apart & across).any(axis=1)
    return points[np.unique(edges[hit] if hit.any() else edges)]


def give_way(
    places: FloatArray, nodes: Sequence[Nodes], depths: Sequence[FloatArray], shrink: Sequence[FloatArray]
) -> list[int]:
    """Lower the factors on the layers' depths around places (m, 2) in `shrink`; returns the boundaries concerned."""
    concerned = []
    for w, (on, depth) in enumerate(zip(nodes, depths, strict=True)):
        if not depth.any():
            continue
        step = np.hypot(*(np.roll(on.position, -1, axis=0) - on.position).T)
        reach = 1.5 * depth + np.maximum(step, np.roll(step, 1))
        near = np.zeros(len(depth), bool)
        rows = max(1, BLOCK // len(depth))
        for first in range(0, len(places), rows):
            off = on.position - places[first : first + rows, None]
            near |= (np.hypot(off[..., 0], off[..., 1]) < reach).any(axis=0)
        if near.any():
            shrink[w][near] *= GIVING_WAY
            concerned.append(w)
    return concerned
