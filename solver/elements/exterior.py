"""The space outside the outer circle, exactly: one spring per harmonic of the potential on the circle.

Outside, A = sum A_n(R) (R / r)^n, so harmonic n leaves the circle with dA/dr = -(n / R) A_n. The net current
returns at e times the circle's radius, which gives harmonic 0 the slope -(1 / R) A_0 and keeps the matrix
positive definite.
"""

from __future__ import annotations

import math

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray, IntArray

from .operators import Elements

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

    t, w = np.polynomial.legendre.leggauss(p + 10)
    t = 0.5 * (t + 1)
    shape = _edge_values(p, t) * (0.5 * w)[:, None]
    harmonics = np.arange(0, len(mesh.truncation_edges) * p // 3 + 1)
    angle = (begin[:, None] + span[:, None] * t)[..., None] * harmonics
    unknowns, local = np.unique(dofs, return_inverse=True)
    load = np.zeros((len(unknowns), 2 * len(harmonics)))
    waves = np.concatenate((np.cos(angle), np.sin(angle)), axis=-1)
    np.add.at(load, local.reshape(dofs.shape), np.einsum("e,ti,eth->eih", span, shape, waves, optimize=True))
    spring = np.where(harmonics == 0, 1 / (2 * np.pi), harmonics / np.pi)
    return unknowns, (load * np.tile(spring, 2)) @ load.T


def _edge_values(order: int, t: FloatArray) -> FloatArray:
    """Lagrange functions on an edge at t (k,), (k, order + 1): its two ends, then the inner nodes."""
    nodes = np.concatenate(([0.0, 1.0], np.arange(1, order) / order))
    basis = np.polynomial.legendre.legvander(2 * nodes - 1, order)
    return np.asarray(np.polynomial.legendre.legvander(2 * t - 1, order) @ np.linalg.inv(basis))
