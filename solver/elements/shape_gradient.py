"""How integrals of fields over a section change as the nodes of its mesh move, the fields carried along.

With a velocity V of the mesh and fields that keep their values at every node,

    d integral (s e f + n grad a . grad b)  =  integral  S : grad V,
    S = (s e f + n grad a . grad b) 1 - n (grad a x grad b + grad b x grad a).

S has no divergence where the fields solve their equations: the inside may move as it likes (`following`). This form in
the volume is as accurate as the integrals themselves, also at corners where permeability jumps; that on the walls is
not (R. Hiptmair, A. Paganini, S. Sargheini, BIT 55, 459-485, 2015, from memory).

In the half plane r, z all of it carries the weight W = 1 / (2 pi r), and the motion away from the axis changes that
too: S : grad V loses (s e f + n grad a . grad b) V_r / r. Beside the axis fields are carried along as they are, r^2
included, which differs from what the functions there would do by products of two errors.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.curved import edge_lift
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature, values

from . import weighted
from .condensed import summed
from .factor import Numbers
from .half_plane import Weight
from .local_functions import GEOMETRY
from .operators import CENTRE, EDGES, Elements, reference_mass, reference_stiffness

BLOCK = 256  # curved elements whose fields are held at once
HAT = np.array([[-1.0, -1.0], [1.0, 0.0], [0.0, 1.0]])  # gradients of the functions of the corners


@dataclass(frozen=True, eq=False)
class LocalFields:
    """Fields by the unknowns of every triangle.

    Attributes
    ----------
    electric : (t, n, k) complex
        e, 0 outside the metal.
    potential : (t, n, k) complex
        a, but for a constant in every triangle.
    """

    electric: ComplexArray
    potential: ComplexArray

    def together(self, factors: ComplexArray) -> LocalFields:
        """Their sum with some factors (k,), as one field."""
        return LocalFields((self.electric @ factors)[..., None], (self.potential @ factors)[..., None])


@dataclass(frozen=True, eq=False)
class Weights:
    """s and n of every triangle, (t, k), or (t, 1) for all fields alike."""

    mass: Numbers
    stiffness: Numbers


def node_gradient(elements: Elements, fields: LocalFields, other: LocalFields, weights: Weights) -> ComplexArray:
    """What the integral gains per motion of every node of the mesh, (points, 2, k).

    Of every field with one other, (t, n, 1).
    """
    count = fields.potential.shape[-1]
    corners = np.empty((len(elements.dofs), 3, 2, count), dtype=complex)
    if elements.weight is Weight.PLANE:
        straight, curved = elements.straight, elements.mesh.curved
        corners[straight] = _straight(elements, straight, fields, other, weights)
        for first in range(0, len(curved), BLOCK):
            rows = curved[first : first + BLOCK]
            corners[rows] = curved_to_corners(elements, rows, _curved(elements, rows, fields, other, weights))
    else:
        for degree, rows in weighted.alike(elements):
            corners[rows] = _weighted(elements, rows, degree, fields, other, weights)
    flat = corners.reshape(len(corners), 3, 2 * count)
    return np.asarray(summed(elements.mesh.triangles, flat, len(elements.mesh.points)).reshape(-1, 2, count))


def _straight(
    elements: Elements, rows: IntArray, fields: LocalFields, other: LocalFields, weights: Weights
) -> ComplexArray:
    determinant, inverse = (m[:, 0] for m in elements.maps(rows, CENTRE))
    a, e = fields.potential[rows], fields.electric[rows]
    count = a.shape[-1]
    stiffness, mass = reference_stiffness(elements.order), reference_mass(elements.order)
    moved = _at(stiffness.reshape(-1, a.shape[1]), other.potential[rows]).reshape(len(rows), 4, -1)
    tensor = (moved @ a).reshape(len(rows), 2, 2, count)
    tensor = np.einsum("tda,teb,tabk->tdek", inverse, inverse, tensor, optimize=True)
    tensor *= (weights.stiffness[rows] * determinant[:, None])[:, None, None]
    product = _at(mass, other.electric[rows]).swapaxes(1, 2) @ e
    density = weights.mass[rows] * determinant[:, None] * product[:, 0] + tensor[:, 0, 0] + tensor[:, 1, 1]
    found = -tensor - tensor.swapaxes(1, 2)
    found[:, 0, 0] += density
    found[:, 1, 1] += density
    hats = HAT @ inverse.swapaxes(1, 2)
    return np.asarray((found.transpose(0, 3, 1, 2) @ hats.swapaxes(1, 2)[:, None]).transpose(0, 3, 2, 1))


def _curved(
    elements: Elements, rows: IntArray, fields: LocalFields, other: LocalFields, weights: Weights
) -> Numbers:
    """Per motion of the nodes of the geometry of curved triangles, (t, nodes, 2, k)."""
    places, measure = quadrature(2 * elements.order)  # 2e-4 of the bars off what 2 p + 6 gives
    determinant, inverse = elements.maps(rows, places)
    measure = determinant * measure
    slope = gradients(elements.order, places).transpose(2, 0, 1)
    along = [_at(functions, fields.potential[rows]) for functions in slope]
    to = [[inverse[..., d, r, None] for r in range(2)] for d in range(2)]
    left = [to[d][0] * along[0] + to[d][1] * along[1] for d in range(2)]
    n, s = ((w[rows][:, None] * measure[..., None]) for w in (weights.stiffness, weights.mass))
    beside = [_at(functions, other.potential[rows]) for functions in slope]
    right = [n * (to[d][0] * beside[0] + to[d][1] * beside[1]) for d in range(2)]
    at = values(elements.order, places)
    e, f = (_at(at, one.electric[rows]) for one in (fields, other))
    density = s * e * f + left[0] * right[0] + left[1] * right[1]
    back = np.empty((*inverse.shape[:3], 2, fields.potential.shape[-1]), dtype=complex)
    for r in range(2):  # S grad V = density V_d,d - a_d b_e V_d,e - b_d a_e V_d,e
        a, b = (field[0] * to[0][r] + field[1] * to[1][r] for field in (left, right))
        for d in range(2):
            back[:, :, r, d] = density * to[d][r] - left[d] * b - right[d] * a
    count, points = back.shape[:2]
    flat = gradients(GEOMETRY, places).transpose(1, 0, 2).reshape(-1, 2 * points)
    return _at(flat, back.reshape(count, 2 * points, -1)).reshape(count, len(flat), 2, -1)


def _weighted(
    elements: Elements, rows: IntArray, degree: int, fields: LocalFields, other: LocalFields, weights: Weights
) -> ComplexArray:
    """Per motion of the corners of triangles of a half plane, all straight or all curved, (t, 3, 2, k)."""
    places, measure = quadrature(degree)
    bent = bool(np.isin(rows[0], elements.mesh.curved))
    nodes = GEOMETRY if bent else 1
    at, rise = values(nodes, places), gradients(nodes, places)
    inverse = elements.maps(rows, places)[1]
    value, slope, measure = weighted.functions(elements, rows, places, measure)
    n, s = (w[rows][:, None] * measure[..., None] for w in (weights.stiffness, weights.mass))
    (left, e), (right, f) = (
        (slope @ one.potential[rows][:, None], value @ one.electric[rows]) for one in (fields, other)
    )
    right = n[:, :, None] * right
    density = s * e * f + (left * right).sum(axis=2)
    a, b = (np.einsum("tpdr,tpdk->tprk", inverse, one) for one in (left, right))
    back = density[:, :, None, None] * inverse.swapaxes(2, 3)[..., None]
    back -= left[:, :, None] * b[:, :, :, None] + right[:, :, None] * a[:, :, :, None]
    flat = rise.transpose(1, 0, 2).reshape(at.shape[1], -1)
    found = _at(flat, back.reshape(len(rows), 2 * len(places), -1)).reshape(len(rows), at.shape[1], 2, -1)
    found[:, :, 0] -= _at(at.T, density / elements.positions(rows, places)[..., :1])
    return curved_to_corners(elements, rows, found) if bent else found


def _at(functions: FloatArray, field: ComplexArray) -> ComplexArray:
    """Sums of functions (q, n) times fields (t, n, k), (t, q, k): real and imaginary part in one product of reals."""
    return np.asarray((functions @ np.ascontiguousarray(field).view(float)).view(complex))


def curved_to_corners(elements: Elements, rows: IntArray, at_nodes: Numbers) -> Numbers:
    """What is gained per motion of corners of curved triangles, (t, 3, 2, k), from that of their nodes, (t, n, 2, k).

    A curved side turns and stretches as its ends do: V = alpha + beta z along it, with z = x + i y. What lies off its
    chord is carried inside as the geometry itself is.
    """
    mesh, inner = elements.mesh, GEOMETRY - 1
    nodes = mesh.checked_geometry[np.searchsorted(mesh.curved, rows)]
    t = np.arange(1, GEOMETRY) / GEOMETRY
    found = np.asarray(np.einsum("nc,tndk->tcdk", lattice(GEOMETRY) / GEOMETRY, at_nodes, optimize=True))
    for side, (i, j) in enumerate(EDGES):
        pairs = mesh.triangles[rows][:, [i, j]]
        a, chord = mesh.points[pairs[:, 0]], mesh.points[pairs[:, 1]] - mesh.points[pairs[:, 0]]
        beside = nodes[:, 3 + side * inner : 3 + (side + 1) * inner]
        off = beside - a[:, None] - t[:, None] * chord[:, None]
        inside = np.einsum("ns,tndk->tsdk", edge_lift(GEOMETRY, side), at_nodes, optimize=True)
        along = np.einsum("tsd,tsdk->tk", off, inside)
        across = np.einsum("ts,tsk->tk", off[..., 0], inside[:, :, 1]) - np.einsum(
            "ts,tsk->tk", off[..., 1], inside[:, :, 0]
        )
        x, y = (chord / (chord**2).sum(axis=1, keepdims=True)).T[..., None]
        share = np.stack((along * x - across * y, along * y + across * x), axis=1)
        found[:, j] += share
        found[:, i] -= share
    return found
