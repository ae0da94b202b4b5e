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
from functools import lru_cache

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.shape_functions import gradients, quadrature, values

from . import weighted
from .condensed import summed
from .factor import Numbers
from .half_plane import Weight
from .motions import CORNERS, EvenRoundAxis, Motions
from .operators import Elements, reference_mass, reference_stiffness

BLOCK = 1 << 16  # numbers of fields that are held at once


@dataclass(frozen=True, eq=False)
class LocalFields:
    """Fields by the unknowns of every triangle, or of some.

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
    """s and n of every triangle, (t, k), or (t, 1) for all fields alike."""

    mass: Numbers
    stiffness: Numbers


@dataclass(frozen=True, eq=False)
class Gains:
    """What some triangles gain with motions of their corners, along x of each in turn, then along y.

    Attributes
    ----------
    rows : (t,) int
        The triangles.
    electric, potential : (t, s, n) and (t, r, n) complex
        What e and a of the other field are to be multiplied with; the first is 0 outside the metal.
    growth, crossed : (t, 6, s) and (t, 6, r) float, optional
        What every motion makes of them; they are those of the motions themselves if left out.
    """

    rows: IntArray
    electric: ComplexArray
    potential: ComplexArray
    growth: FloatArray | None = None
    crossed: FloatArray | None = None

    def moved(self, corners: FloatArray) -> tuple[ComplexArray, ComplexArray]:
        """Of motions (t, m, 6), both (t, m, n)."""
        ways = (corners if by is None else corners @ by for by in (self.growth, self.crossed))
        electric, potential = (times(way, of) for way, of in zip(ways, (self.electric, self.potential), strict=True))
        return electric, potential

    def with_others(self, others: LocalFields, *, at_rest: bool) -> ComplexArray:
        """With other fields there, (t, n, k), (t, 6, k); `at_rest` without the product of two imaginary e."""
        conducted, stored = self.electric @ others.electric, self.potential @ others.potential
        if at_rest:
            conducted += self.electric.imag @ others.electric.imag
        found = stored if self.crossed is None else times(self.crossed, stored)
        return found + (conducted if self.growth is None else times(self.growth, conducted))


def gains(elements: Elements, given: LocalFields, weights: Weights) -> Iterator[Gains]:
    """What the integral of a given field, (t, n, 1), with any other gains as corners move; some triangles at once."""
    plane = elements.weight is Weight.PLANE
    for motions in elements.bent_parts:
        for some in blocks(len(motions.rows), elements, len(CORNERS[0, 0])):
            yield _curved(elements, motions, some, given, weights)
    if plane:
        for some in blocks(len(elements.even.rows), elements, 4):
            yield _straight(elements, elements.even, some, given, weights)
        return
    for part in elements.even_parts:
        for some in blocks(len(part.rows), elements, 4):
            yield _straight_weighted(elements, part, some, given, weights)
    for motions in elements.axis_parts:
        yield _beside_axis(elements, motions, given, weights)


def at_corners(elements: Elements, nodes: FloatArray) -> FloatArray:
    """How the corners of triangles go as nodes do, (points, 2, m), in the order of `gains`, (t, 6, m)."""
    return np.asarray(nodes[elements.mesh.triangles].swapaxes(1, 2).reshape(len(elements.dofs), 6, -1))


def node_gradient(elements: Elements, fields: LocalFields, other: LocalFields, weights: Weights) -> ComplexArray:
    """What the integral gains per motion of every node of the mesh, (points, 2, k).

    Of every field with one other, (t, n, 1).
    """
    count = fields.potential.shape[-1]
    corners = np.empty((len(elements.dofs), 3, 2, count), dtype=complex)
    for one in gains(elements, other, weights):
        own = LocalFields(fields.electric[one.rows], fields.potential[one.rows])
        by = one.with_others(own, at_rest=False)
        corners[one.rows] = by.reshape(-1, 2, 3, count).swapaxes(1, 2)
    flat = corners.reshape(len(corners), 3, 2 * count)
    return np.asarray(summed(elements.mesh.triangles, flat, len(elements.mesh.points)).reshape(-1, 2, count))


def blocks(triangles: int, elements: Elements, count: int) -> Iterator[slice]:
    """Some triangles after others, whose fields stay near the processor."""
    step = max(BLOCK // (elements.dofs.shape[1] * count), 1)
    yield from (slice(first, first + step) for first in range(0, triangles, step))


def _straight(elements: Elements, even: Motions, on: slice, given: LocalFields, weights: Weights) -> Gains:
    """Of straight triangles, which stretch evenly."""
    rows, stiffness, mass = even.rows[on], reference_stiffness(elements.order), reference_mass(elements.order)
    by_slopes = np.stack((stiffness[0, 0], stiffness[0, 1] + stiffness[1, 0], stiffness[1, 1])).reshape(-1, len(mass))
    a, e = (of[rows] * by[rows][..., None] for of, by in (
        (given.potential, weights.stiffness), (given.electric, weights.mass)))  # fmt: skip
    along = _at(by_slopes, a).reshape(len(rows), 3, -1)
    electric = _at(mass, e).swapaxes(1, 2)
    return Gains(rows, electric, along, even.growth[on].swapaxes(1, 2), even.crossed[on])


def _straight_weighted(
    elements: Elements, part: EvenRoundAxis, on: slice, given: LocalFields, weights: Weights
) -> Gains:
    """Of straight triangles off the axis."""
    rows, held, further = part.rows[on], part.held[on], part.further[on]
    flat, value, flat_out, value_out = _tables(elements.order, part.degree)
    a, e = (of[rows] * by[rows][..., None] for of, by in (
        (given.potential, weights.stiffness), (given.electric, weights.mass)))  # fmt: skip
    first, second = _at(flat, a)[..., 0].reshape(len(rows), 2, -1).swapaxes(0, 1)
    both = np.concatenate((first * held, second * held))
    one, other = (_summed(both, of).reshape(2, len(rows), -1) for of in np.split(flat, 2))
    metric = part.metric[on].T[..., None]
    out = np.concatenate((metric[0] * first + metric[1] * second, metric[1] * first + metric[2] * second), axis=1)
    out = _summed(out * np.tile(further, (1, 2)), flat_out).reshape(len(rows), 3, -1)
    density = _at(value, e)[..., 0]
    full, wide = _summed(density * held, value), _summed(density * further, value_out).reshape(len(rows), 3, -1)
    along = np.stack((one[0], one[1] + other[0], other[1]), axis=1)
    return Gains(
        rows, np.concatenate((full[:, None], wide), axis=1), np.concatenate((along, out), axis=1),
        part.growth[on], part.crossed[on],
    )  # fmt: skip


def _curved(elements: Elements, motions: Motions, on: slice, given: LocalFields, weights: Weights) -> Gains:
    """Of curved triangles, but for those at the axis."""
    flat, value, *_ = _tables(elements.order, motions.degree)
    rows, (one, mixed, other) = motions.rows[on], (of[on] for of in motions.across)
    first, second = np.split(_at(flat, given.potential[rows]) * weights.stiffness[rows][..., None], 2, axis=1)
    moved = np.concatenate((one * first + mixed * second, mixed * first + other * second), axis=1)
    growth = motions.growth[on] * (_at(value, given.electric[rows]) * weights.mass[rows][..., None])
    return Gains(rows, _at(value.T, growth).swapaxes(1, 2), _at(flat.T, moved).swapaxes(1, 2))


@lru_cache(maxsize=32)
def _tables(order: int, degree: int) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """At the places of a quadrature: slopes of functions (2 p, n), values (p, n), and both times corner functions.

    Those are (2 p, 3 n) and (p, 3 n).
    """
    places, _ = quadrature(degree)
    flat, value = gradients(order, places).transpose(2, 0, 1).reshape(2 * len(places), -1), values(order, places)
    corner = values(1, places)
    flat_out, value_out = np.tile(corner, (2, 1))[:, :, None] * flat[:, None], corner[:, :, None] * value[:, None]
    return flat, value, flat_out.reshape(len(flat), -1), value_out.reshape(len(value), -1)


def _beside_axis(elements: Elements, motions: Motions, given: LocalFields, weights: Weights) -> Gains:
    """Of triangles at the axis."""
    rows, (places, by), strains = motions.rows, quadrature(motions.degree), motions.each
    value, slope, measure = weighted.functions(elements, rows, places, by)
    n, s = (w[rows][:, None] * measure[..., None] for w in (weights.stiffness, weights.mass))
    flat, widened = slope.reshape(len(rows), -1, slope.shape[-1]), np.asarray(motions.widened)
    rise = times(flat, given.potential[rows]).reshape(len(rows), len(places), 2) * n
    x, y = rise[..., :1], rise[..., 1:]
    across = np.stack((-(strains.stretch + widened) * x - strains.shear * y,
                       (strains.stretch - widened) * y - strains.shear * x), axis=2)  # fmt: skip
    potential = times(flat.swapaxes(1, 2), across.reshape(len(rows), flat.shape[1], -1))
    metal = np.flatnonzero(elements.mesh.region[rows] != AIR)
    value, electric = value[metal], np.zeros((len(rows), value.shape[2], across.shape[3]), dtype=complex)
    density = (strains.growth - widened)[metal] * (s[metal] * times(value, given.electric[rows[metal]]))
    electric[metal] = times(value.swapaxes(1, 2), density)
    return Gains(rows, electric.swapaxes(1, 2), potential.swapaxes(1, 2))


def _summed(field: ComplexArray, functions: FloatArray) -> ComplexArray:
    """Products of fields (t, p) with functions (p, n)."""
    return np.asarray(field.real @ functions + 1j * (field.imag @ functions))


def times(real: FloatArray, other: ComplexArray) -> ComplexArray:
    """Products of matrices of every triangle."""
    return np.asarray((real @ np.ascontiguousarray(other).view(float)).view(complex))


def _at(functions: FloatArray, field: ComplexArray) -> ComplexArray:
    """Sums of functions (q, n) times fields (t, n, k), (t, q, k): real and imaginary part in one product of reals."""
    return np.asarray((functions @ np.ascontiguousarray(field).view(float)).view(complex))
