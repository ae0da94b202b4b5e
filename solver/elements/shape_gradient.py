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
from functools import cached_property, lru_cache

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

AT_ONCE = 1000  # triangles


@dataclass(frozen=True, eq=False)
class LocalFields:
    """Fields by the unknowns of every triangle, or of some.

    Attributes
    ----------
    electric : (t, n, k) complex
        e, 0 outside the metal; or that of some of them alone.
    potential : (t, n, k) complex
        a, but for a constant in every triangle.
    inside : (m,) int, optional
        Those some; all if left out.
    """

    electric: ComplexArray
    potential: ComplexArray
    inside: IntArray | None = None


@dataclass(frozen=True, eq=False)
class Weights:
    """s and n of every triangle, (t, k), or (t, 1) for all fields alike."""

    mass: Numbers
    stiffness: Numbers


@dataclass(frozen=True, eq=False)
class Gains:
    """What some triangles gain as they are strained in some ways.

    Attributes
    ----------
    rows : (t,) int
        The triangles.
    electric, potential : (t, s, n) and (t, r, n) complex
        What e and a of the other field are to be multiplied with; the first is 0 outside the metal.
    apart : bool
        Whether the ways of the second come after those of the first; they are the same otherwise.
    strain : (t, 6, w) float, optional
        How far motions of the corners, along x of each in turn, then along y, strain them in each way. Without it the
        ways are those motions, or those that `Moving` has.
    """

    rows: IntArray
    electric: ComplexArray
    potential: ComplexArray
    apart: bool = False
    strain: FloatArray | None = None

    def moved(self, ways: FloatArray | None) -> tuple[ComplexArray, ComplexArray]:
        """Of motions that strain by so much in each way (t, w, m), or by one each, both (t, m, n)."""
        if ways is None:
            return self.electric, self.potential
        turned, first = ways.swapaxes(1, 2), self.electric.shape[1]
        parts = (turned[..., :first], turned[..., first:]) if self.apart else (turned, turned)
        return times(parts[0], self.electric), times(parts[1], self.potential)

    def with_others(self, others: LocalFields, *, at_rest: bool) -> ComplexArray:
        """With other fields there, (t, n, k), by ways, (t, w, k); `at_rest` without the product of two imaginary e."""
        inside = slice(None) if others.inside is None else others.inside
        driving, stored = self.electric[inside], self.potential @ others.potential
        conducted = driving @ others.electric
        if at_rest:
            conducted += driving.imag @ others.electric.imag
        first = self.electric.shape[1] if self.apart else 0
        found = np.zeros((len(stored), first + stored.shape[1], stored.shape[2]), dtype=complex)
        found[:, first:] = stored
        found[inside, : self.electric.shape[1]] += conducted
        return found

    def by_corners(self, others: LocalFields) -> ComplexArray:
        """With other fields there, by motions of the corners, (t, 6, k)."""
        found = self.with_others(others, at_rest=False)
        return found if self.strain is None else times(self.strain, found)


class Moving:
    """How some motions of the nodes strain triangles, found once for all fields on a mesh.

    Parameters
    ----------
    elements : Elements
        Whose motions are those of the orders that they are for (`Elements.moving_as`).
    nodes : (points, 2, m) float
    """

    def __init__(self, elements: Elements, nodes: FloatArray) -> None:
        self._corners = np.ascontiguousarray(nodes[elements.mesh.triangles].swapaxes(1, 2))
        self._corners = self._corners.reshape(len(elements.dofs), 6, -1)
        self._bent = elements.bent_parts
        self._few = self._corners.shape[2] < len(self._corners[0])
        self._ways: list[FloatArray | None] = []

    def gains(self, elements: Elements, given: LocalFields, weights: Weights) -> list[tuple[Gains, FloatArray | None]]:
        """Those of a given field as below, each with how far the motions strain it in its ways, (t, w, m).

        None where there are as many ways as motions and each is one.
        """
        found = list(gains(elements, given, weights, self.bent))
        for one in found[len(self._ways) :]:
            self._ways.append(self._strained(one))
        return list(zip(found, self._ways, strict=True))

    @cached_property
    def bent(self) -> tuple[Strained, ...]:
        """Of curved triangles: by the motions themselves where those are fewer than six."""
        if not self._few:
            return tuple(map(Strained.of, self._bent))
        ways = self._corners[:, :3] + 1j * self._corners[:, 3:]
        return tuple(Strained.of(motions, ways[motions.rows]) for motions in self._bent)

    def _strained(self, one: Gains) -> FloatArray | None:
        corners = self._corners[one.rows]
        if one.strain is not None:
            return one.strain.swapaxes(1, 2) @ corners
        return None if one.potential.shape[1] < corners.shape[1] else corners


@dataclass(frozen=True, eq=False)
class Strained:
    """What some motions do in curved triangles, as `Motions` have it.

    Attributes
    ----------
    rows : (t,) int
    degree : int
        Of the quadrature.
    growth : (t, q, m) float
    across : tuple of three (t, q, m) float
    """

    rows: IntArray
    degree: int
    growth: FloatArray
    across: tuple[FloatArray, ...]

    @classmethod
    def of(cls, motions: Motions, corners: ComplexArray = CORNERS) -> Strained:
        """Of some motions of the corners, as `Motions.gaining` has them; of every corner if left out."""
        if corners is CORNERS:
            return cls(motions.rows, motions.degree, motions.growth, motions.across)
        return cls(motions.rows, motions.degree, *motions.gaining(corners))

    def on(self, some: slice) -> Strained:
        """In some of the triangles."""
        return Strained(self.rows[some], self.degree, self.growth[some], tuple(of[some] for of in self.across))


def gains(
    elements: Elements, given: LocalFields, weights: Weights, bent: Sequence[Strained] | None = None
) -> Iterator[Gains]:
    """What the integral of a given field, (t, n, 1), with any other gains as corners move; some triangles at once."""
    plane = elements.weight is Weight.PLANE
    for motions in map(Strained.of, elements.bent_parts) if bent is None else bent:
        for some in blocks(len(motions.rows)):
            yield _curved(elements, motions.on(some), given, weights)
    if plane:
        for some in blocks(len(elements.even.rows)):
            yield _straight(elements, elements.even, some, given, weights)
        return
    for part in elements.even_parts:
        for some in blocks(len(part.rows)):
            yield _straight_weighted(elements, part, some, given, weights)
    for near in elements.axis_parts:
        yield _beside_axis(elements, near, given, weights)


def node_gradient(elements: Elements, fields: LocalFields, other: LocalFields, weights: Weights) -> ComplexArray:
    """What the integral gains per motion of every node of the mesh, (points, 2, k).

    Of every field with one other, (t, n, 1).
    """
    count = fields.potential.shape[-1]
    corners = np.empty((len(elements.dofs), 3, 2, count), dtype=complex)
    for one in gains(elements, other, weights):
        own = LocalFields(fields.electric[one.rows], fields.potential[one.rows])
        corners[one.rows] = one.by_corners(own).reshape(-1, 2, 3, count).swapaxes(1, 2)
    flat = corners.reshape(len(corners), 3, 2 * count)
    return np.asarray(summed(elements.mesh.triangles, flat, len(elements.mesh.points)).reshape(-1, 2, count))


def blocks(triangles: int) -> Iterator[slice]:
    """Some triangles after others, whose fields stay near the processor."""
    yield from (slice(first, first + AT_ONCE) for first in range(0, triangles, AT_ONCE))


def _straight(elements: Elements, even: Motions, on: slice, given: LocalFields, weights: Weights) -> Gains:
    """Of straight triangles, which stretch evenly."""
    rows, stiffness, mass = even.rows[on], reference_stiffness(elements.order), reference_mass(elements.order)
    by_slopes = np.stack((stiffness[0, 0], stiffness[0, 1] + stiffness[1, 0], stiffness[1, 1])).reshape(-1, len(mass))
    a, e = (of[rows] * by[rows][..., None] for of, by in (
        (given.potential, weights.stiffness), (given.electric, weights.mass)))  # fmt: skip
    along = _at(by_slopes, a).reshape(len(rows), 3, -1)
    electric = _at(mass, e).swapaxes(1, 2)
    strain = np.concatenate((even.growth[on].swapaxes(1, 2), even.crossed[on]), axis=2)
    return Gains(rows, electric, along, apart=True, strain=strain)


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
        rows, np.concatenate((full[:, None], wide), axis=1), np.concatenate((along, out), axis=1), apart=True,
        strain=np.concatenate((part.growth[on], part.crossed[on]), axis=2),
    )  # fmt: skip


def _curved(elements: Elements, motions: Strained, given: LocalFields, weights: Weights) -> Gains:
    """Of curved triangles, but for those at the axis."""
    flat, value, *_ = _tables(elements.order, motions.degree)
    rows, (one, mixed, other) = motions.rows, motions.across
    first, second = np.split(_at(flat, given.potential[rows]) * weights.stiffness[rows][..., None], 2, axis=1)
    moved = np.concatenate((one * first + mixed * second, mixed * first + other * second), axis=1)
    growth = motions.growth * (_at(value, given.electric[rows]) * weights.mass[rows][..., None])
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
