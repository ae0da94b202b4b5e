"""Mapped elements across thin metal and narrow gaps: layer edges that face each other are joined by quadrilaterals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray, rolled
from crosscurrent.geometries.plane.sides import cross, dot

from .assembly import Assembly, LayerEdge
from .facing import Facing
from .mesh import AIR
from .nodes import Nodes

OpenEdges = set[tuple[int, int]]
COMPARED = 1_000_000  # quadrilaterals times places at once
AHEAD = [1, 2, 3, 0]  # the corner after each of a quadrilateral


def open_edges(layer_edges: Sequence[LayerEdge], *, backward: bool) -> OpenEdges:
    """Directed edges that bound what is left to mesh, with that on their left.

    Parameters
    ----------
    layer_edges : sequence of LayerEdge
    backward : bool
        Whether what is left lies on the right of the chains.
    """
    chains = [(e.points.tolist(), rolled(e.points, -1).tolist()) for e in layer_edges]
    edges = {pair for a, b in chains for pair in (zip(b, a, strict=True) if backward else zip(a, b, strict=True))}
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
    on = {s: (layer_edges[w], rows) for w in layer_edges for s, rows in _edges_of(nodes[w], layer_edges[w]).items()}
    quads, centres = [], []
    for s, t in facing.pairs:
        if s not in on or t not in on:
            continue
        (one, p), (other, q) = on[s], on[t]
        if len(p) != len(q):
            continue
        q = q[::-1]
        a, b = one.points[p], one.points[(p + 1) % len(one.points)]
        c, d = other.points[q], other.points[(q + 1) % len(other.points)]
        quads.append((b, a, d, c) if region == AIR else (a, b, c, d))
        centres.append(np.where(np.isfinite(one.curve_centres[p]), one.curve_centres[p], other.curve_centres[q]))
    if not quads:
        return
    every, centre = np.concatenate(quads, axis=1).T, np.concatenate(centres)
    x, y = (places.take(every.T) for places in place.T)
    along_x, along_y = (p.take(AHEAD, axis=0) - p for p in (x, y))
    length = np.hypot(along_x, along_y)
    narrow = np.maximum(length[1], length[3]) < np.minimum(length[0], length[2])
    turn = along_x * along_y.take(AHEAD, axis=0) - along_y * along_x.take(AHEAD, axis=0)
    good = (narrow & (turn > 0).all(axis=0)).nonzero()[0]
    if not len(good):
        return
    corner = np.stack((x.T, y.T), axis=2)
    solid = np.concatenate((corners, *(place[layer_edge.points] for layer_edge in layer_edges.values())))
    block = max(1, COMPARED // len(solid))
    parts = [good[k : k + block] for k in range(0, len(good), block)]
    good = np.concatenate([good[:0], *(some[~_occupied(corner[some], solid)] for some in parts)])
    taken = good[_taken(every[good], left)]
    if len(taken):
        a, b, c, d = every[taken].T[:, None]
        assembly.add_columns(a, b, d, c, centre[taken], np.array([region]))


def _taken(quads: IntArray, left: OpenEdges) -> list[int]:
    """Those quadrilaterals (m, 4) that find both of their facing edges still open; `left` is changed."""
    taken = []
    for k, (a, b, c, d) in enumerate(quads.tolist()):
        directed = [(a, b), (b, c), (c, d), (d, a)]
        if directed[0] not in left or directed[2] not in left:
            continue
        taken.append(k)
        for start, end in directed:
            if (start, end) in left:
                left.remove((start, end))
            else:
                left.add((end, start))
    return taken


def _edges_of(nodes: Nodes, layer_edge: LayerEdge) -> dict[int, IntArray]:
    """Edges of a layer edge by the segment that they follow."""
    rows = (layer_edge.base_edge >= 0).nonzero()[0]
    segment = nodes.segment[layer_edge.base_edge[rows]]
    first = [0, *((segment[1:] != segment[:-1]).nonzero()[0] + 1).tolist(), len(rows)]
    return {int(segment[a]): rows[a:b] for a, b in pairwise(first)}


def _occupied(quad: FloatArray, places: FloatArray) -> BoolArray:
    """Which convex quadrilaterals (m, 4, 2) hold one of the places (k, 2) well inside."""
    edge = quad[:, AHEAD] - quad
    low, high = quad.min(axis=1), quad.max(axis=1)
    q, p = np.nonzero(((places > low[:, None]) & (places < high[:, None])).all(axis=2))
    left = cross(edge[q], places[p, None] - quad[q]) > 1e-6 * dot(edge[q], edge[q])
    held = np.zeros(len(quad), bool)
    held[q[left.all(axis=1)]] = True
    return held
