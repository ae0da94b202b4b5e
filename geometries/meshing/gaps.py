"""Mapped elements across thin metal and narrow gaps: layer edges that face each other are joined by quadrilaterals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray
from crosscurrent.geometries.plane.sides import cross, dot

from .assembly import Assembly, LayerEdge
from .facing import Facing
from .mesh import AIR
from .nodes import Nodes

OpenEdges = set[tuple[int, int]]


def open_edges(layer_edges: Sequence[LayerEdge], *, backward: bool) -> OpenEdges:
    """Directed edges that bound what is left to mesh, with that on their left.

    Parameters
    ----------
    layer_edges : sequence of LayerEdge
    backward : bool
        Whether what is left lies on the right of the chains.
    """
    chains = [(e.points, np.roll(e.points, -1)) for e in layer_edges]
    pairs = [np.column_stack((b, a) if backward else (a, b)) for a, b in chains]
    edges = {(int(a), int(b)) for a, b in np.concatenate(pairs)}
    # an edge that two pieces share bounds nothing
    return {(a, b) for a, b in edges if (b, a) not in edges}


def map_gaps(
    assembly: Assembly,
    layer_edges: Mapping[int, LayerEdge],
    nodes: Sequence[Nodes],
    facing: Facing,
    corners: FloatArray,
    left: OpenEdges,
    region: int,
) -> None:
    """Join facing edges of two layer edges where the space between is narrower than they are long.

    Parameters
    ----------
    assembly : Assembly
        Gets the elements.
    layer_edges : mapping of int to LayerEdge
        By the number of their boundary.
    nodes, facing
        Those of all boundaries.
    corners : (k, 2) float
        Of all outlines [m]: no element may hold one.
    left : set of (int, int)
        Edges of what is left to mesh; changed to what is left then.
    region : int
    """
    place = assembly.places
    owner = {k: w for w in layer_edges for k in np.unique(nodes[w].segment)}
    solid = np.concatenate((corners, *(place[layer_edge.points] for layer_edge in layer_edges.values())))
    quads, centres = [], []
    for s, t in facing.pairs:
        if s not in owner or t not in owner:
            continue
        one, other = layer_edges[owner[s]], layer_edges[owner[t]]
        p, q = _edges_on(nodes[owner[s]], one, s), _edges_on(nodes[owner[t]], other, t)[::-1]
        if len(p) != len(q):
            continue
        a, b = one.points[p], np.roll(one.points, -1)[p]
        c, d = other.points[q], np.roll(other.points, -1)[q]
        quad = np.column_stack((b, a, d, c) if region == AIR else (a, b, c, d))
        centre = np.where(np.isfinite(one.curve_centres[p]), one.curve_centres[p], other.curve_centres[q])
        long = np.minimum(np.hypot(*(place[b] - place[a]).T), np.hypot(*(place[d] - place[c]).T))
        wide = np.maximum(np.hypot(*(place[d] - place[a]).T), np.hypot(*(place[c] - place[b]).T))
        good = (wide < long) & _convex(place[quad])
        good[good] = ~_occupied(place[quad[good]], solid)
        quads.append(quad[good])
        centres.append(centre[good])
    if not quads:
        return
    every = np.concatenate(quads)
    taken = _taken(every, left)
    if taken:
        a, b, c, d = every[taken].T
        assembly.add_columns(a, b, d, c, np.concatenate(centres)[taken], region)


def _taken(quads: IntArray, left: OpenEdges) -> list[int]:
    """Those quadrilaterals (m, 4) that find both of their facing edges still open; `left` is changed."""
    taken = []
    for k, quad in enumerate(quads):
        directed = [(int(quad[i]), int(quad[(i + 1) % 4])) for i in range(4)]
        if directed[0] not in left or directed[2] not in left:
            continue
        taken.append(k)
        for start, end in directed:
            if (start, end) in left:
                left.remove((start, end))
            else:
                left.add((end, start))
    return taken


def _edges_on(nodes: Nodes, layer_edge: LayerEdge, segment: int) -> IntArray:
    on_boundary = nodes.segment == segment
    return np.flatnonzero((layer_edge.base_edge >= 0) & on_boundary[layer_edge.base_edge])


def _occupied(quad: FloatArray, places: FloatArray) -> BoolArray:
    """Which convex quadrilaterals (m, 4, 2) hold one of the places (k, 2) well inside."""
    edge = np.roll(quad, -1, axis=1) - quad
    low, high = quad.min(axis=1), quad.max(axis=1)
    q, p = np.nonzero(((places > low[:, None]) & (places < high[:, None])).all(axis=2))
    left = cross(edge[q], places[p, None] - quad[q]) > 1e-6 * dot(edge[q], edge[q])
    held = np.zeros(len(quad), bool)
    held[q[left.all(axis=1)]] = True
    return held


def _convex(quad: FloatArray) -> BoolArray:
    edge = np.roll(quad, -1, axis=1) - quad
    return np.asarray((cross(edge, np.roll(edge, -1, axis=1)) > 0).all(axis=1))
