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

from collections.abc import Iterator
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
from .motions import Motions, carried
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
        for motions, gains in ((elements.even, _straight), (elements.bent, _curved)):
            by_electric, by_potential = (one.swapaxes(1, 2) for one in gains(elements, motions, other, weights))
            metal = elements.mesh.region[motions.rows] != AIR
            for some in blocks(len(metal), elements, count):
                rows, inside = motions.rows[some], metal[some]
                own = fields.on(rows)
                found = by_potential[some] @ own.potential
                found[inside] += by_electric[some][inside] @ own.electric[inside]
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
    elements: Elements, motions: Motions, other: LocalFields, weights: Weights
) -> tuple[ComplexArray, ComplexArray]:
    """What is gained per motion of the corners, by e and by a at every unknown, both (t, n, 6)."""
    rows, order = motions.rows, elements.order
    stiffness, mass = reference_stiffness(order), reference_mass(order)
    count = len(mass)
    moved = _at(stiffness.reshape(-1, count), other.potential[rows]).reshape(len(rows), 4, count)
    across = motions.across.reshape(len(rows), 4, 6) * weights.stiffness[rows][..., None]
    growth = motions.growth * weights.mass[rows][..., None]
    return _at(mass, other.electric[rows]) * growth, np.asarray(moved.swapaxes(1, 2) @ across)


def _curved(
    elements: Elements, motions: Motions, other: LocalFields, weights: Weights
) -> tuple[ComplexArray, ComplexArray]:
    """The same of curved triangles."""
    rows, (places, _) = motions.rows, quadrature(motions.degree)
    slope, at = gradients(elements.order, places), values(elements.order, places)
    flat = slope.transpose(0, 2, 1).reshape(2 * len(places), -1)
    beside = _at(flat, other.potential[rows] * weights.stiffness[rows][..., None])
    beside = beside.reshape(len(rows), len(places), 1, 2, 1)
    across = motions.across[:, :, :, 0] * beside[:, :, :, 0] + motions.across[:, :, :, 1] * beside[:, :, :, 1]
    density = _at(at, other.electric[rows] * weights.mass[rows][..., None]) * motions.growth
    return _at(at.T, density), _at(flat.T, across.reshape(len(rows), len(flat), 6))


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
