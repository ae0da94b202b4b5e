"""The axis of an axial section in its mesh: what lies left of it is dropped, what is open there is closed on it.

Bodies on the axis come whole, their own mirror image, so that boundary layers meet the axis squarely; the axis itself
is no wall. It is at x = 0 to the last digit.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray

from .assembly import Assembly
from .collision import LayerCollision
from .facing import PARALLEL
from .gaps import OpenEdges
from .nodes import even_places

FROM_WALL = 1 / 3  # longest edge on the axis over its distance from the nearest wall
SLOPE = 0.6  # growth of edges on the axis with the distance from the ends of what they close
FADING = 0.5  # how fast the length of the edge that ends there is given up for that third
LONG = 3.0  # length of an edge over its distance from the axis from which on it is joined to it
OUTWARD = 0.5  # most that the edges before and after it may lead towards the axis, of their length
STRAIGHT = 1e-9  # how far off the axis a ray that runs along it may end, of its length

Size = Callable[[FloatArray], FloatArray]


def on_right(places: FloatArray, pairs: IntArray) -> BoolArray:
    """Which edges (m, 2) lie right of the axis or begin or end on it from there, (m,).

    Examples
    --------
    >>> on_right(np.array([[-1.0, 0.0], [0.0, 0.0], [1.0, 0.0]]), np.array([[0, 1], [1, 2]])).tolist()
    [False, True]
    """
    return np.asarray((places[pairs, 0] >= 0).all(axis=1))


def kept(left: OpenEdges, places: FloatArray) -> OpenEdges:
    """Those open edges that lie right of the axis; edges on it lie between the plane and nothing."""
    if not left:
        return left
    edges = np.array(list(left))
    across = places[edges, 0]
    right = (across >= 0).all(axis=1) & (across > 0).any(axis=1)
    return left if right.all() else set(zip(*edges[right].T.tolist(), strict=True))


def snapped_rays(rows: FloatArray, start: FloatArray) -> FloatArray:
    """Rows of rays (n, r, 2) with those that run along the axis from their starts (r, 2) on it put there exactly.

    Raises
    ------
    LayerCollision
        A ray from the right reaches the axis.
    """
    way = rows[-1] - start
    along = (start[:, 0] == 0) & (np.abs(way[:, 0]) <= STRAIGHT * np.hypot(*way.T))
    rows = rows.copy()
    rows[:, along, 0] = 0.0
    across = (start[:, 0] > 0) & (rows[..., 0] <= 0).any(axis=0)
    if across.any():
        raise LayerCollision(start[across])
    return rows


def bridged(left: OpenEdges, assembly: Assembly, region: int) -> OpenEdges:
    """Join open edges along the axis, much longer than they are away from it, to the axis by quadrilaterals.

    Returns
    -------
    left : set of (int, int)
        What is open then; what lies between such walls and the axis would else take edges as short as its width.
    """
    edges, places = np.array(sorted(left)), assembly.places
    facing = _facing_the_axis(edges, assembly)
    if not len(facing):
        return left
    feet = np.unique(facing)
    first = assembly.add_points(np.column_stack((np.zeros(len(feet)), places[feet, 1])))
    a, b = facing.T
    d, c = (first + np.searchsorted(feet, n) for n in (a, b))
    assembly.add_columns(a[None], b[None], d[None], c[None], np.full((len(a), 2), np.nan), np.array([region]))
    across = {(int(p), int(q)) for p, q in np.concatenate((np.column_stack((a, d)), np.column_stack((c, b))))}
    rest = left - {(int(p), int(q)) for p, q in facing}
    return rest | {(p, q) for p, q in across if (q, p) not in across}


def _facing_the_axis(edges: IntArray, assembly: Assembly) -> IntArray:
    """Those directed edges, long beside their distance from the axis, with nothing between them and it, (k, 2)."""
    places = assembly.places
    begin, end = places[edges[:, 0]], places[edges[:, 1]]
    way, away = end - begin, np.maximum(begin[:, 0], end[:, 0])
    near = (begin[:, 0] > 0) & (end[:, 0] > 0) & (way[:, 1] > LONG * away)
    found = edges[near & (way[:, 1] > PARALLEL * np.hypot(*way.T))]
    found = found[assembly.edge_sweeps(found) == 0] if len(found) else found
    after, before = dict(edges.tolist()), dict(edges[:, ::-1].tolist())
    beside = np.array([(before.get(a, a), after.get(b, b)) for a, b in found.tolist()], dtype=np.int64).reshape(-1, 2)
    off = places[beside] - places[found]
    free = np.asarray((off[..., 0] >= -OUTWARD * np.hypot(off[..., 0], off[..., 1])).all(axis=1))
    for k in np.flatnonzero(free).tolist():
        a, b = found[k].tolist()
        closest, middle = min(places[a, 0], places[b, 0]), 0.5 * (places[a, 1] + places[b, 1])
        low, high = places[a, 1] - closest, places[b, 1] + closest
        inside = (begin[:, 0] < 0.9 * closest) & (begin[:, 1] > low) & (begin[:, 1] < high)
        inside |= (end[:, 0] < 0.9 * closest) & (end[:, 1] > low) & (end[:, 1] < high)
        spans = (begin[:, 1] - middle) * (end[:, 1] - middle) < 0
        with np.errstate(divide="ignore", invalid="ignore"):
            there = begin[:, 0] + (middle - begin[:, 1]) / way[:, 1] * way[:, 0]
        free[k] = not (inside | (spans & (there < 0.9 * closest))).any()
    return np.asarray(found[free])


def closed(left: OpenEdges, assembly: Assembly, wall: Size, limit: Size | None) -> OpenEdges:
    """Open edges and those on the axis that close them; the points these need are added.

    A chain that arrives at the axis is joined downwards to the next one that starts there: what is left to
    mesh lies right of the axis, on the left of its way down.

    Parameters
    ----------
    left : set of (int, int)
        Directed edges that bound what is left to mesh, on their left.
    assembly : Assembly
        Gets the points.
    wall : callable
        Distance of places (k, 2) from the nearest wall, (k,) [m].
    limit : callable, optional
        Longest wanted edge at places (k, 2), (k,) [m].

    Raises
    ------
    LayerCollision
        The chains do not come to the axis in turn.
    """
    edges, places = np.array(sorted(left)), assembly.places
    arriving = edges[(places[edges[:, 1], 0] == 0) & ~np.isin(edges[:, 1], edges[:, 0])]
    starting = edges[(places[edges[:, 0], 0] == 0) & ~np.isin(edges[:, 0], edges[:, 1])]
    arriving = arriving[np.argsort(-places[arriving[:, 1], 1])]
    starting = starting[np.argsort(-places[starting[:, 0], 1])]
    met = np.concatenate((arriving[:, 1], starting[:, 0]))
    if len(arriving) != len(starting) or (np.diff(places[met.reshape(2, -1).T.ravel(), 1]) >= 0).any():
        raise LayerCollision(places[met])
    every = set(left)
    if not len(arriving):
        return every
    ends = np.column_stack((arriving[:, 1], starting[:, 0]))
    beside = places[np.column_stack((arriving[:, 0], starting[:, 1]))] - places[ends]
    between = _heights(places[ends, 1], np.hypot(beside[..., 0], beside[..., 1]), wall, limit)
    for top, bottom, some in zip(arriving[:, 1].tolist(), starting[:, 0].tolist(), between, strict=True):
        first = assembly.add_points(np.column_stack((np.zeros(len(some)), some)))
        every |= set(pairwise([top, *range(first, first + len(some)), bottom]))
    return every


def _heights(ends: FloatArray, lengths: FloatArray, wall: Size, limit: Size | None) -> list[FloatArray]:
    """Where points between ends (k, 2) on the axis lie, from the first [m]; the edges there have `lengths` (k, 2)."""
    span = ends[:, 1] - ends[:, 0]

    def wanted(chain: IntArray, u: FloatArray) -> FloatArray:
        height = ends[chain, 0] + u * span[chain]
        places = np.column_stack((np.zeros(len(u)), height))
        off = np.abs(height[:, None] - ends[chain])
        size = np.maximum(FROM_WALL * wall(places), (lengths[chain] - FADING * off).max(axis=1))
        size = np.minimum(size, (lengths[chain] + SLOPE * off).min(axis=1))
        return np.asarray((np.minimum(size, limit(places)) if limit else size) / np.abs(span[chain]))

    chain, u = np.repeat(np.arange(len(ends)), 9), np.tile(np.linspace(0, 1, 9), len(ends))
    h = wanted(chain, u)
    samples, at = [(chain, u, h)], (chain[1:] == chain[:-1]).nonzero()[0]
    chain, cells = chain[at], np.array((u[at], u[at + 1], h[at], h[at + 1]))
    for _ in range(40):
        begin, end, before, after = cells
        here = wanted(chain, middle := 0.5 * (begin + end))
        coarse = (end - begin > 0.5 * np.minimum(here, np.minimum(before, after))).nonzero()[0]
        if not len(coarse):
            break
        samples.append((chain[coarse], middle[coarse], here[coarse]))
        (begin, end, before, after), half, size = cells[:, coarse], middle[coarse], here[coarse]
        cells = np.concatenate(((begin, half, before, size), (half, end, size, after)), axis=1)
        chain = np.tile(chain[coarse], 2)
    chain, u, h = map(np.concatenate, zip(*samples, strict=True))
    order = np.lexsort((u, chain))
    each = np.split(order, np.cumsum(np.bincount(chain))[:-1])
    return [ends[k, 0] + even_places(u[rows], h[rows])[1:-1] * span[k] for k, rows in enumerate(each)]
