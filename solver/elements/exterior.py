"""The space outside the outer circle, exactly: one spring per harmonic of the potential on the circle.

Outside, A = sum A_n(R) (R / r)^n, so harmonic n leaves the circle with dA/dr = -(n / R) A_n. The net current
returns at e times the circle's radius, which gives harmonic 0 the slope -(1 / R) A_0 and keeps the matrix
positive definite.

In the half plane r, z the circle is half a one about a point of the axis, t the angle from the axis, and outside

    2 pi r A = sum c_n (R / rho)^n sin t P_n^1(cos t),

with P_n^1 the associated Legendre functions, positive at small t: slope -n / R, and no return is needed, as the field
of a ring falls off by itself. A potential in the volume is there sum c_n (R / rho)^(n + 1) P_n(cos t), n = 0 too:
charges need not sum to zero.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .half_plane import Weight, reach_of_points
from .operators import Elements

EVEN = 1e-9  # how far the edges of the circle may differ and are still taken as equal
RETURN = math.e  # radius of the common return over that of the outer circle


def exterior(elements: Elements) -> sparse.csc_array:
    """Matrix of the outer space for a relative permeability of 1, (unknowns, unknowns)."""
    unknowns, block = outer_block(elements)
    i, j = np.meshgrid(unknowns, unknowns, indexing="ij")
    return sparse.csc_array((block.ravel(), (i.ravel(), j.ravel())), shape=(elements.count, elements.count))


def outer_block(elements: Elements) -> tuple[IntArray, FloatArray]:
    """Unknowns on the outer circle, (m,), and the part of that matrix which is not zero, (m, m)."""
    mesh, p = elements.mesh, elements.order
    edges = mesh.edge_numbers(mesh.truncation_edges)
    steps = np.arange(p - 1)
    backward = mesh.truncation_edges[:, 0] > mesh.truncation_edges[:, 1]
    inner = len(mesh.points) + edges[:, None] * (p - 1) + np.where(backward[:, None], p - 2 - steps, steps)
    dofs = np.column_stack((mesh.truncation_edges, inner))
    begin, end = (np.arctan2(*(mesh.points[mesh.truncation_edges[:, k]] - mesh.centre).T[::-1]) for k in range(2))
    span = (end - begin) % (2 * np.pi)

    unknowns, local = np.unique(dofs, return_inverse=True)
    local = local.reshape(dofs.shape)
    count = len(span)
    if elements.weight is Weight.PLANE and np.abs(span * count / (2 * np.pi) - 1).max() < EVEN:
        # every edge with its first end, in the order around the circle
        number = np.empty(len(unknowns), dtype=np.int64)
        number[np.delete(local[np.argsort(begin)], 1, axis=1)] = np.arange(len(unknowns)).reshape(count, p)
        return unknowns, _even_block(count, p)[np.ix_(number, number)]
    t, w = _gauss(p)
    shape = _edge_values(p, t) * w[:, None]
    angle = begin[:, None] + span[:, None] * t
    if elements.weight is Weight.PLANE:
        waves, spring = _waves(angle, p)
        by_edge = np.einsum("e,ti,eth->eih", span, shape, waves, optimize=True)
    elif elements.weight is Weight.VOLUME:
        harmonics = np.arange(2 * count * p // 3 + 1)
        # cos t, with t from the lower half of the axis on
        waves = np.asarray(np.polynomial.legendre.legvander(-np.sin(angle), len(harmonics) - 1), dtype=float)
        spring = np.asarray(math.pi * mesh.radius * (harmonics + 1.0) * (2 * harmonics + 1.0), dtype=float)
        by_edge = np.einsum("et,ti,eth->eih", span[:, None] * np.cos(angle), shape, waves, optimize=True)
    else:
        harmonics = np.arange(1, 2 * count * p // 3 + 1)
        waves = associated(angle + 0.5 * np.pi, len(harmonics))
        spring = (2 * harmonics + 1) / (4 * np.pi * mesh.radius * (harmonics + 1))
        by_edge = np.einsum("et,ti,eth->eih", span[:, None] * _falling(elements, angle, t), shape, waves, optimize=True)
    load = np.zeros((len(unknowns), len(spring)))
    np.add.at(load, local, by_edge)
    return unknowns, (load * spring) @ load.T


def _gauss(order: int) -> tuple[FloatArray, FloatArray]:
    """Places on an edge, 0 .. 1, and their weights."""
    t, w = np.polynomial.legendre.leggauss(order + 10)
    return 0.5 * (t + 1), 0.5 * w


def _waves(angle: FloatArray, order: int) -> tuple[FloatArray, FloatArray]:
    """Cosines and sines of the harmonics at angles (edges, places), along a new last axis, and their springs."""
    harmonics = np.arange(0, len(angle) * order // 3 + 1)
    waves = angle[..., None] * harmonics
    spring = np.where(harmonics == 0, 1 / (2 * np.pi), harmonics / np.pi)
    return np.concatenate((np.cos(waves), np.sin(waves)), axis=-1), np.tile(spring, 2)


@lru_cache(maxsize=16)
def _even_block(count: int, order: int) -> FloatArray:
    """The matrix of a circle of so many equal edges: for each its first end and its inner nodes, (m, m)."""
    t, w = _gauss(order)
    angle = 2 * np.pi * (np.arange(count)[:, None] + t) / count
    waves, spring = _waves(angle, order)
    by_edge = 2 * np.pi / count * np.einsum("ti,eth->eih", _edge_values(order, t) * w[:, None], waves, optimize=True)
    load = np.delete(by_edge, 1, axis=1)
    load[:, 0] += np.roll(by_edge[:, 1], 1, axis=0)
    flat = load.reshape(-1, load.shape[-1])
    return np.asarray((flat * spring) @ flat.T)


def associated(angle: FloatArray, count: int) -> FloatArray:
    """P_n^1(cos t) at angles t, n from 1 to count, (..., count), by the recurrence in n.

    Examples
    --------
    >>> associated(np.array([np.pi / 3]), 2).round(6).tolist()  # sin t and 3 cos t sin t
    [[0.866025, 1.299038]]
    """
    cos, before, found = np.cos(angle), np.zeros_like(angle), [np.sin(angle)]
    for n in range(1, count):
        found.append(((2 * n + 1) * cos * found[-1] - (n + 1) * before) / n)
        before = found[-2]
    return np.stack(found, axis=-1)


def _falling(elements: Elements, angle: FloatArray, t: FloatArray) -> FloatArray:
    """What the functions on the edges of the half circle have from their fall to the axis, (edges, places)."""
    mesh = elements.mesh
    ends = mesh.points[mesh.truncation_edges, 0] == 0
    factor = np.ones(angle.shape)
    for side, share in enumerate((1 - t, t)):
        on = np.flatnonzero(ends[:, side])
        reach = reach_of_points(mesh)[mesh.truncation_edges[on, side]]
        radius = mesh.radius * np.cos(angle[on])
        factor[on] = (radius / (radius + share * reach[:, None])) ** 2
    return factor


def _edge_values(order: int, t: FloatArray) -> FloatArray:
    """Lagrange functions on an edge at t (k,), (k, order + 1): its two ends, then the inner nodes."""
    nodes = np.concatenate(([0.0, 1.0], np.arange(1, order) / order))
    basis = np.polynomial.legendre.legvander(2 * nodes - 1, order)
    return np.asarray(np.polynomial.legendre.legvander(2 * t - 1, order) @ np.linalg.inv(basis))
