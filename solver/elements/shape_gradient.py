"""How integrals of fields over a section change as the nodes of its mesh move, the fields carried along.

With a velocity V of the mesh and fields that keep their values at every node,

    d integral (s e f + n grad a . grad b)  =  integral  S : grad V,
    S = (s e f + n grad a . grad b) 1 - n (grad a x grad b + grad b x grad a).

S has no divergence where the fields solve their equations: the inside may move as it likes (`following`). This form in
the volume is as accurate as the integrals themselves, also at corners where permeability jumps; that on the walls is
not (R. Hiptmair, A. Paganini, S. Sargheini, BIT 55, 459-485, 2015, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.curved import edge_lift
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature, values

from .condensed import summed
from .factor import Numbers
from .operators import CENTRE, EDGES, GEOMETRY, Elements, reference_mass, reference_stiffness

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


@dataclass(frozen=True, eq=False)
class Weights:
    """s and n of every triangle, (t,)."""

    mass: Numbers
    stiffness: Numbers


def node_gradient(elements: Elements, left: LocalFields, right: LocalFields, weights: Weights) -> ComplexArray:
    """What the integral gains per motion of every node of the mesh, (points, 2, k): for fields k with one other."""
    corners = np.zeros((len(elements.dofs), 3, 2, left.potential.shape[-1]), dtype=complex)
    straight = elements.straight
    corners[straight] = _straight(elements, straight, left, right, weights)
    curved, count = elements.mesh.curved, corners.shape[-1]
    for first in range(0, len(curved), BLOCK):
        rows = curved[first : first + BLOCK]
        corners[rows] = _to_corners(elements, first, rows, _curved(elements, rows, left, right, weights))
    flat = corners.reshape(len(corners), 3, 2 * count)
    return np.asarray(summed(elements.mesh.triangles, flat, len(elements.mesh.points)).reshape(-1, 2, count))


def _stress(mass: Numbers, tensor: Numbers) -> Numbers:
    """S from s e f (..., k) and n grad a x grad b (..., 2, 2, k)."""
    density = mass + tensor[..., 0, 0, :] + tensor[..., 1, 1, :]
    found = -tensor - tensor.swapaxes(-3, -2)
    found[..., 0, 0, :] += density
    found[..., 1, 1, :] += density
    return found


def _straight(
    elements: Elements, rows: IntArray, left: LocalFields, right: LocalFields, weights: Weights
) -> ComplexArray:
    determinant, inverse = (m[:, 0] for m in elements.maps(rows, CENTRE))
    a, b, e, f = left.potential[rows], right.potential[rows, :, 0], left.electric[rows], right.electric[rows, :, 0]
    moved = np.einsum("abnm,tm->tabn", reference_stiffness(elements.order), b, optimize=True)
    tensor = np.einsum("tnk,tabn->tabk", a, moved, optimize=True)
    scaled = (weights.stiffness[rows] * determinant)[:, None, None, None]
    tensor = scaled * np.einsum("tda,teb,tabk->tdek", inverse, inverse, tensor, optimize=True)
    product = f @ reference_mass(elements.order)
    mass = (weights.mass[rows] * determinant)[:, None] * np.einsum("tnk,tn->tk", e, product, optimize=True)
    hats = np.einsum("tea,na->tne", inverse, HAT)
    return np.asarray(np.einsum("tdek,tne->tndk", _stress(mass, tensor), hats, optimize=True))


def _curved(elements: Elements, rows: IntArray, left: LocalFields, right: LocalFields, weights: Weights) -> Numbers:
    """Per motion of the nodes of the geometry of curved triangles, (t, nodes, 2, k)."""
    places, measure = quadrature(2 * elements.order + 2)  # 1e-6 of the bars off what 2 p + 6 gives
    determinant, inverse = elements.maps(rows, places)
    slope, value = gradients(elements.order, places), values(elements.order, places)
    flat = slope.swapaxes(1, 2).reshape(-1, slope.shape[1])
    a, b = (inverse @ _at(flat, f.potential[rows]).reshape(*inverse.shape[:3], -1) for f in (left, right))
    e, f = (_at(value, field.electric[rows]) for field in (left, right))
    measure = determinant * measure
    tensor = (weights.stiffness[rows, None] * measure)[..., None, None, None] * a[..., :, None, :] * b[..., None, :, :]
    mass = (weights.mass[rows, None] * measure)[..., None] * e * f
    back = np.einsum("tpdek,tpea->tpadk", _stress(mass, tensor), inverse, optimize=True)
    count, points = back.shape[:2]
    flat = gradients(GEOMETRY, places).transpose(1, 0, 2).reshape(-1, 2 * points)
    return _at(flat, back.reshape(count, 2 * points, -1)).reshape(count, len(flat), 2, -1)


def _at(functions: FloatArray, field: ComplexArray) -> ComplexArray:
    """Sums of functions (q, n) times fields (t, n, k), (t, q, k): real and imaginary part in one product of reals."""
    parts = np.ascontiguousarray(field).view(float)
    found = np.tensordot(functions, parts, (1, 1)).swapaxes(0, 1)
    return np.ascontiguousarray(found).view(complex)


def _to_corners(elements: Elements, first: int, rows: IntArray, at_nodes: Numbers) -> Numbers:
    """The same per motion of the corners of curved triangles, (t, 3, 2, k).

    A curved side turns and stretches as its ends do: V = alpha + beta z along it, with z = x + i y. What lies off its
    chord is carried inside as the geometry itself is.
    """
    mesh, inner = elements.mesh, GEOMETRY - 1
    t = np.arange(1, GEOMETRY) / GEOMETRY
    found = np.asarray(np.einsum("nc,tndk->tcdk", lattice(GEOMETRY) / GEOMETRY, at_nodes, optimize=True))
    for side, (i, j) in enumerate(EDGES):
        pairs = mesh.triangles[rows][:, [i, j]]
        a, chord = mesh.points[pairs[:, 0]], mesh.points[pairs[:, 1]] - mesh.points[pairs[:, 0]]
        beside = mesh.checked_geometry[first : first + len(rows), 3 + side * inner : 3 + (side + 1) * inner]
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
