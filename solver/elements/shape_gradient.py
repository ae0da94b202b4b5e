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

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature, values

from . import weighted
from .condensed import summed
from .factor import Numbers
from .half_plane import Weight
from .local_functions import GEOMETRY
from .motions import carried
from .operators import Elements, reference_mass, reference_stiffness

BLOCK = 1 << 16  # numbers of fields that are held at once


@dataclass(frozen=True, eq=False)
class LocalFields:
    """FieldsByTriangle by the unknowns of every triangle, or of some.

    Attributes
    ----------
    electric : (t, n, k) complex
        e, 0 outside the metal.
    potential : (t, n, k) complex
        a, but for a constant in every triangle.
    """

    electric: ComplexArray
    potential: ComplexArray

    @property
    def count(self) -> int:
        """How many."""
        return int(self.potential.shape[-1])

    def on(self, rows: IntArray) -> LocalFields:
        """In some triangles."""
        return LocalFields(self.electric[rows], self.potential[rows])

    def together(self, factors: ComplexArray) -> LocalFields:
        """Their sum with some factors (k,), as one field."""
        return LocalFields((self.electric @ factors)[..., None], (self.potential @ factors)[..., None])

    def beside(self, other: LocalFields) -> LocalFields:
        """These, and others after them."""
        both = ((self.electric, other.electric), (self.potential, other.potential))
        return LocalFields(*(np.concatenate(one, axis=2) for one in both))


class FieldsByTriangle(Protocol):
    """FieldsByTriangle that are known triangle by triangle."""

    @property
    def count(self) -> int:
        """How many."""

    def on(self, rows: IntArray) -> LocalFields:
        """In some triangles."""


@dataclass(frozen=True, eq=False)
class Weights:
    """s and n of every triangle, (t, k), or (t, 1) for all fields alike."""

    mass: Numbers
    stiffness: Numbers


def node_gradient(elements: Elements, fields: FieldsByTriangle, other: LocalFields, weights: Weights) -> ComplexArray:
    """What the integral gains per motion of every node of the mesh, (points, 2, k).

    Of every field with one other, (t, n, 1).
    """
    count = fields.count
    corners = np.empty((len(elements.dofs), 3, 2, count), dtype=complex)
    if elements.weight is Weight.PLANE:
        for found, rows in (*_straight(elements, fields, other, weights), *_curved(elements, fields, other, weights)):
            corners[rows] = found.reshape(len(rows), 2, 3, count).swapaxes(1, 2)
    else:
        for degree, rows in weighted.alike(elements):
            corners[rows] = _weighted(elements, rows, degree, fields.on(rows), other, weights)
    flat = corners.reshape(len(corners), 3, 2 * count)
    return np.asarray(summed(elements.mesh.triangles, flat, len(elements.mesh.points)).reshape(-1, 2, count))


def blocks(triangles: int, elements: Elements, count: int) -> Iterator[slice]:
    """Some triangles after others, whose fields stay near the processor."""
    step = max(BLOCK // (elements.dofs.shape[1] * count), 1)
    yield from (slice(first, first + step) for first in range(0, triangles, step))


def _straight(
    elements: Elements, fields: FieldsByTriangle, other: LocalFields, weights: Weights
) -> Iterator[tuple[ComplexArray, IntArray]]:
    """Per motion of the corners of straight triangles, (t, 6, k), and which they are.

    The other field is summed up first: what every unknown of a triangle gains.
    """
    motions, order = elements.even, elements.order
    rows = motions.rows
    stiffness, mass = reference_stiffness(order), reference_mass(order)
    moved = _at(stiffness.reshape(-1, len(mass)), other.potential[rows]).reshape(len(rows), 4, -1)
    across = motions.across.reshape(len(rows), 4, 6) * weights.stiffness[rows][..., None]
    by_potential = across.swapaxes(1, 2) @ moved
    metal = elements.mesh.region[rows] != AIR
    growth = motions.growth.swapaxes(1, 2) * weights.mass[rows][..., None]
    by_electric = growth * _at(mass, other.electric[rows]).swapaxes(1, 2)
    for some in blocks(len(rows), elements, fields.count):
        own, inside = fields.on(rows[some]), metal[some]
        found = by_potential[some] @ own.potential
        found[inside] += by_electric[some][inside] @ own.electric[inside]
        yield found, rows[some]


def _curved(
    elements: Elements, fields: FieldsByTriangle, other: LocalFields, weights: Weights
) -> Iterator[tuple[ComplexArray, IntArray]]:
    """The same of curved triangles."""
    places, _ = quadrature(elements.bent.degree)
    slope, at = gradients(elements.order, places).transpose(2, 0, 1), values(elements.order, places)
    for some in blocks(len(elements.bent.rows), elements, fields.count):
        motions = elements.bent.on(some)
        rows, inverse = motions.rows, motions.inverse
        own, beside = fields.on(rows), other.on(rows)
        to = [[inverse[..., d, r, None] for r in range(2)] for d in range(2)]
        n, s = (w[rows][:, None] * motions.measure[..., None] for w in (weights.stiffness, weights.mass))
        left, right = (_slopes(to, [_at(one, field.potential) for one in slope]) for field in (own, beside))
        right = [n * one for one in right]
        density = s * _at(at, own.electric) * _at(at, beside.electric) + left[0] * right[0] + left[1] * right[1]
        back = np.empty((*inverse.shape[:3], 2, fields.count), dtype=complex)
        for r in range(2):  # S grad V = density V_d,d - a_d b_e V_d,e - b_d a_e V_d,e
            a, b = (field[0] * to[0][r] + field[1] * to[1][r] for field in (left, right))
            for d in range(2):
                back[:, :, r, d] = density * to[d][r] - left[d] * b - right[d] * a
        yield np.asarray(motions.gained(back), dtype=complex), rows


def _slopes(to: Sequence[Sequence[FloatArray]], along: Sequence[ComplexArray]) -> list[ComplexArray]:
    """From slopes over the reference coordinates."""
    return [to[d][0] * along[0] + to[d][1] * along[1] for d in range(2)]


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
        (slope @ one.potential[:, None], value @ one.electric) for one in (fields, other.on(rows))
    )
    right = n[:, :, None] * right
    density = s * e * f + (left * right).sum(axis=2)
    a, b = (np.einsum("tpdr,tpdk->tprk", inverse, one) for one in (left, right))
    back = density[:, :, None, None] * inverse.swapaxes(2, 3)[..., None]
    back -= left[:, :, None] * b[:, :, :, None] + right[:, :, None] * a[:, :, :, None]
    flat = rise.transpose(1, 0, 2).reshape(at.shape[1], -1)
    found = _at(flat, back.reshape(len(rows), 2 * len(places), -1)).reshape(len(rows), at.shape[1], 2, -1)
    found[:, :, 0] -= _at(at.T, density / elements.positions(rows, places)[..., :1])
    return _to_corners(elements, rows, found) if bent else found


def _at(functions: FloatArray, field: ComplexArray) -> ComplexArray:
    """Sums of functions (q, n) times fields (t, n, k), (t, q, k): real and imaginary part in one product of reals."""
    return np.asarray((functions @ np.ascontiguousarray(field).view(float)).view(complex))


def _to_corners(elements: Elements, rows: IntArray, at_nodes: ComplexArray) -> ComplexArray:
    """What is gained per motion of corners of curved triangles, (t, 3, 2, k), from that of nodes, (t, n, 2, k)."""
    along = carried(elements, rows).swapaxes(1, 2)
    x, y = at_nodes[:, :, 0], at_nodes[:, :, 1]
    return np.stack((along.real @ x + along.imag @ y, along.real @ y - along.imag @ x), axis=2)
