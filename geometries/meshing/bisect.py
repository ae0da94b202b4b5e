"""Local refinement: halve chosen triangles across their longest side, and as many neighbours as it takes.

Curved sides are halved along their own path, so the outline stays exact; triangles in polar coordinates stay so.
Source of the scheme: M. C. Rivara, Int. J. Numer. Meth. Eng. 20, 745-756, 1984 (from memory).
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, IntArray

from .mesh import Mesh

HALF = np.array([0.5])


def bisect(mesh: Mesh, chosen: BoolArray) -> Mesh:
    """A conforming mesh in which every chosen triangle is halved at least once.

    Parameters
    ----------
    mesh : Mesh
    chosen : (t,) bool

    Examples
    --------
    >>> from crosscurrent.geometries.meshing.mesher import mesh_section
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.section import Section
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> mesh = mesh_section(Section((Part("rod", round_bar(0.01)),)), [[1e-3]])
    >>> finer = bisect(mesh, np.ones(len(mesh.triangles), bool))
    >>> bool(np.isclose(finer.areas().sum(), mesh.areas().sum(), rtol=1e-12))
    True
    """
    return bisected(mesh, chosen)[0]


def bisected(mesh: Mesh, chosen: BoolArray) -> tuple[Mesh, IntArray]:
    """The same as `bisect`, and for every new triangle the number of the old one it is of.

    Returns
    -------
    mesh : Mesh
    parent : (new triangles,) int
    """
    longest = _longest(mesh)
    split = _to_split(mesh, longest, chosen)
    middle = np.full(len(mesh.edges), -1)
    middle[split] = len(mesh.points) + np.arange(len(split))
    places = mesh.along_edge(mesh.edges[split], HALF)[:, 0]
    triangles, parent, inner = _children(mesh, longest, middle)
    centre = np.full((len(mesh.triangles), 2), np.nan)
    centre[mesh.polar] = mesh.polar_centres
    polar = np.flatnonzero(np.isfinite(centre[parent, 0]))
    new_edges, owner = inner
    on = np.isfinite(centre[owner, 0])
    curved_edges, kept = _halved(mesh, mesh.curved_edges, middle)
    finer = replace(
        mesh,
        points=np.concatenate((mesh.points, places)),
        triangles=triangles,
        region=mesh.region[parent],
        field_free=mesh.field_free[parent],
        curved_edges=np.concatenate((curved_edges, new_edges[on])),
        curved_edge_centres=np.concatenate((mesh.curved_edge_centres[kept], centre[owner[on]])),
        polar=polar,
        polar_centres=centre[parent[polar]],
        faces=_halved_faces(mesh, middle),
        truncation_edges=_halved(mesh, mesh.truncation_edges, middle)[0],
    )
    return finer, parent


def _longest(mesh: Mesh) -> IntArray:
    """Side 0, 1 or 2 of every triangle that is longest; ties go to the higher edge number."""
    length = np.hypot(*(mesh.points[mesh.edges[:, 1]] - mesh.points[mesh.edges[:, 0]]).T)
    rank = np.empty(len(length), dtype=np.int64)
    rank[np.lexsort((np.arange(len(length)), length.round(15)))] = np.arange(len(length))
    return np.asarray(rank[mesh.triangle_edges].argmax(axis=1))


def _to_split(mesh: Mesh, longest: IntArray, chosen: BoolArray) -> IntArray:
    """Edges to halve: the longest side of every triangle that is chosen or has any side halved."""
    own = mesh.triangle_edges[np.arange(len(longest)), longest]
    marked = np.zeros(len(mesh.edges), bool)
    marked[own[chosen]] = True
    while True:
        touched = marked[mesh.triangle_edges].any(axis=1) & ~marked[own]
        if not touched.any():
            return np.flatnonzero(marked)
        marked[own[touched]] = True


def _children(mesh: Mesh, longest: IntArray, middle: IntArray) -> tuple[IntArray, IntArray, tuple[IntArray, IntArray]]:
    """New triangles, the old triangle of each, and the new inner edges with the old triangle of each."""
    rows = np.arange(len(longest))
    # a-b is the longest side
    a, b, c = (mesh.triangles[rows, (longest + k) % 3] for k in range(3))
    m, n, k = (middle[mesh.triangle_edges[rows, (longest + j) % 3]] for j in range(3))
    whole, halved = m < 0, m >= 0
    left, right = halved & (k >= 0), halved & (n >= 0)
    pieces = [
        (whole, (a, b, c)),
        (halved & ~left, (a, m, c)),
        (left, (a, m, k)),
        (left, (k, m, c)),
        (halved & ~right, (m, b, c)),
        (right, (m, b, n)),
        (right, (m, n, c)),
    ]
    triangles = np.concatenate([np.column_stack([v[on] for v in corners]) for on, corners in pieces])
    parent = np.concatenate([rows[on] for on, _ in pieces])
    inner = [(halved, m, c), (left, m, k), (right, m, n)]
    edges = np.concatenate([np.column_stack((p[on], q[on])) for on, p, q in inner])
    return triangles, parent, (edges, np.concatenate([rows[on] for on, _, _ in inner]))


def _halved(mesh: Mesh, pairs: IntArray, middle: IntArray) -> tuple[IntArray, IntArray]:
    """Edges (m, 2) with those halved replaced by their halves, in order; and the old row of each."""
    if not len(pairs):
        return pairs, np.zeros(0, dtype=np.int64)
    between = middle[mesh.edge_numbers(pairs)]
    count = np.where(between >= 0, 2, 1)
    old = np.repeat(np.arange(len(pairs)), count)
    second = np.zeros(len(old), bool)
    second[np.cumsum(count)[between >= 0] - 1] = True
    first = (between[old] >= 0) & ~second
    start = np.where(second, between[old], pairs[old, 0])
    end = np.where(first, between[old], pairs[old, 1])
    return np.column_stack((start, end)), old


def _halved_faces(mesh: Mesh, middle: IntArray) -> IntArray:
    pairs, old = _halved(mesh, mesh.faces[:, :2], middle)
    return np.column_stack((pairs, mesh.faces[old, 2:]))


def largest_first(weights: FloatArray, share: float) -> BoolArray:
    """The fewest triangles that hold a share of the sum of weights, (t,) bool (W. Doerfler 1996, from memory).

    Examples
    --------
    >>> largest_first(np.array([1.0, 6.0, 3.0]), 0.6).tolist()
    [False, True, False]
    """
    order = np.argsort(-weights)
    total = np.cumsum(weights[order])
    count = int(np.searchsorted(total, share * total[-1] * (1 - 1e-12))) + 1
    chosen = np.zeros(len(weights), bool)
    chosen[order[:count]] = True
    return chosen
