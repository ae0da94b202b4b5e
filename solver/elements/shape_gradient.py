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
from crosscurrent.geometries.meshing.few_places import few_places
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.shape_functions import gradients, values

from .condensed import summed
from .factor import Numbers
from .half_plane import Weight
from .motions import EvenRoundAxis, Motions
from .operators import Elements, reference_mass, reference_stiffness

AT_ONCE = 1000  # triangles
BESIDE_FIRST = np.array([1, 2, 4, 5])  # of the motions of corners along x, then y: what those of the first leave
BESIDE_FIRST_ALONG = np.array([0, 1, 2, 4, 5])  # the same of those along an axis alone


@dataclass(frozen=True, eq=False)
class LocalFields:
    """Fields by the unknowns of every triangle, or of some.

    Attributes
    ----------
    electric : (t, n, k) complex
        e, 0 outside the metal; or that of some of them alone.
    potential : (t, n, k) complex
        a, but for a constant in every triangle; or that of all but those some.
    inside : (m,) int, optional
        Those some; all if left out.
    linked : complex, optional
        What a is over e in those some, where the others alone have an a.
    """

    electric: ComplexArray
    potential: ComplexArray
    inside: IntArray | None = None
    linked: complex | None = None

    def outside(self, count: int) -> IntArray:
        """Which of so many triangles are none of those some."""
        found = np.ones(count, dtype=bool)
        found[self.inside] = False
        return np.flatnonzero(found)


@dataclass(frozen=True, eq=False)
class Weights:
    """s and n of every triangle, (t, k), or (t, 1) for all fields alike."""

    mass: Numbers
    stiffness: Numbers


@dataclass(frozen=True, eq=False)
class Gains:
    """What some triangles gain as they are strained in some ways, with each of some given fields.

    Attributes
    ----------
    rows : (t,) int
        The triangles.
    electric, potential : (o, t, s, n) and (o, t, r, n) complex
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
        """Of motions that strain by so much in each way (t, w, m), or by one each, both (o, t, m, n)."""
        if ways is None:
            return self.electric, self.potential
        turned, first = ways.swapaxes(1, 2), self.electric.shape[2]
        parts = (turned[..., :first], turned[..., first:]) if self.apart else (turned, turned)
        return times(parts[0], self.electric), times(parts[1], self.potential)

    def with_others(self, others: LocalFields, *, at_rest: bool) -> ComplexArray:
        """With other fields there, (t, n, k) or (o, t, n, k), by ways, (o, t, w, k).

        `at_rest` without the product of two imaginary e.
        """
        inside = slice(None) if others.inside is None else others.inside
        if others.linked is not None:
            return self._with_linked(others, others.linked, inside)
        driving, stored = self.electric[:, inside], self.potential @ others.potential
        conducted = driving @ others.electric
        if at_rest:
            conducted += driving.imag @ others.electric.imag
        if not self.apart:
            stored[:, inside] += conducted
            return stored
        found = self._by_ways(others.potential.shape[-1])
        found[:, :, self.electric.shape[2] :] = stored
        found[:, inside, : self.electric.shape[2]] = conducted
        return found

    def _with_linked(self, others: LocalFields, linked: complex, inside: IntArray | slice) -> ComplexArray:
        """With fields whose a follows from e in the metal: both by one product there."""
        outside, found = others.outside(len(self.rows)), self._by_ways(others.potential.shape[-1])
        found[:, outside, -self.potential.shape[2] :] = self.potential[:, outside] @ others.potential
        driving, stored = self.electric[:, inside], linked * self.potential[:, inside]
        both = np.concatenate((driving, stored), axis=2) if self.apart else driving + stored
        found[:, inside] = both @ others.electric
        return found

    def _by_ways(self, count: int) -> ComplexArray:
        """Room for so many fields by ways."""
        ways = self.potential.shape[2] + (self.electric.shape[2] if self.apart else 0)
        return np.zeros((len(self.potential), len(self.rows), ways, count), dtype=complex)

    def by_corners(self, others: LocalFields) -> ComplexArray:
        """With other fields there, by motions of the corners, (o, t, 6, k)."""
        found = self.with_others(others, at_rest=False)
        return found if self.strain is None else times(self.strain, found)


class Moving:
    """How some motions of the nodes strain triangles, found once for all fields on a mesh.

    Parameters
    ----------
    elements : Elements
        Of the order that they are for.
    nodes : (points, 2, m) float
    """

    def __init__(self, elements: Elements, nodes: FloatArray) -> None:
        self._corners = np.ascontiguousarray(nodes[elements.mesh.triangles].swapaxes(1, 2))
        self._corners = self._corners.reshape(len(elements.dofs), 6, -1)
        self._bent = elements.bent_parts
        self._beside = BESIDE_FIRST if elements.weight is Weight.PLANE else BESIDE_FIRST_ALONG
        self._few = self._corners.shape[2] < len(self._beside)
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
        """Of curved triangles: of corners beside the first, or by the motions themselves where those are fewer."""
        if not self._few:
            return tuple(Strained.by_corners(motions, self._beside) for motions in self._bent)
        ways = (self._corners[:, :3] + 1j * self._corners[:, 3:]).swapaxes(1, 2)
        return tuple(Strained.of(motions, ways[motions.rows]) for motions in self._bent)

    def _strained(self, one: Gains) -> FloatArray | None:
        corners = self._corners[one.rows]
        if one.strain is not None:
            return one.strain.swapaxes(1, 2) @ corners
        ways = one.potential.shape[2]
        if ways == corners.shape[1]:
            return corners
        return None if self._few else corners[:, self._beside] - self._shift(corners)

    def _shift(self, corners: FloatArray) -> FloatArray:
        """That of the first corner, which strains nothing: round an axis along that alone."""
        found = corners[:, self._beside // 3 * 3]
        if len(self._beside) > len(BESIDE_FIRST):
            found[:, self._beside < 3] = 0.0
        return found


@dataclass(frozen=True, eq=False)
class Strained:
    """What some motions do in curved triangles, as `Motions` have it.

    Attributes
    ----------
    rows : (t,) int
    degree : int
        Of the quadrature.
    growth : (t, m, q) float
    across : tuple of three (t, m, q) float
    """

    rows: IntArray
    degree: int
    growth: FloatArray
    across: tuple[FloatArray, ...]

    @classmethod
    def of(cls, motions: Motions, corners: ComplexArray | None = None) -> Strained:
        """Of some motions of the corners, as `Motions.gaining` has them; of every corner if left out."""
        if corners is None:
            return cls(motions.rows, motions.degree, motions.growth, motions.across)
        return cls(motions.rows, motions.degree, *motions.gaining(corners))

    @classmethod
    def by_corners(cls, motions: Motions, ways: IntArray) -> Strained:
        """Of some of the six motions of the corners."""
        return cls(motions.rows, motions.degree, *motions.gaining_by(ways))

    def on(self, some: slice) -> Strained:
        """In some of the triangles."""
        return Strained(self.rows[some], self.degree, self.growth[some], tuple(of[some] for of in self.across))


def gains(
    elements: Elements, given: LocalFields, weights: Weights, bent: Sequence[Strained] | None = None
) -> Iterator[Gains]:
    """What integrals of given fields, (t, n, o), with any other gain as corners move; some triangles at once."""
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
    for near, functions in zip(elements.axis_parts, elements.axis_functions, strict=True):
        yield _beside_axis(elements, near, functions, given, weights)


def node_gradient(elements: Elements, fields: LocalFields, other: LocalFields, weights: Weights) -> ComplexArray:
    """What the integral gains per motion of every node of the mesh, (points, 2, k).

    Of every field with one other, (t, n, 1).
    """
    count = fields.potential.shape[-1]
    corners = np.empty((len(elements.dofs), 3, 2, count), dtype=complex)
    for one in gains(elements, other, weights):
        own = LocalFields(fields.electric[one.rows], fields.potential[one.rows])
        corners[one.rows] = one.by_corners(own)[0].reshape(-1, 2, 3, count).swapaxes(1, 2)
    flat = corners.reshape(len(corners), 3, 2 * count)
    return np.asarray(summed(elements.mesh.triangles, flat, len(elements.mesh.points)).reshape(-1, 2, count))


def blocks(triangles: int) -> Iterator[slice]:
    """Some triangles after others, whose fields stay near the processor."""
    yield from (slice(first, first + AT_ONCE) for first in range(0, triangles, AT_ONCE))


def _straight(elements: Elements, even: Motions, on: slice, given: LocalFields, weights: Weights) -> Gains:
    """Of straight triangles, which stretch evenly."""
    rows, stiffness, mass = even.rows[on], reference_stiffness(elements.order), reference_mass(elements.order)
    by_slopes = np.stack((stiffness[0, 0], stiffness[0, 1] + stiffness[1, 0], stiffness[1, 1])).reshape(-1, len(mass))
    along = _times(_parts(given.potential, rows), by_slopes.T)
    along = along.reshape(*along.shape[:2], 3, -1)
    electric = _times(_parts(given.electric, rows), mass)[:, :, None]
    strain = np.concatenate((even.growth[on], even.crossed[on]), axis=2)
    return Gains(
        rows, _whole(electric, weights.mass[rows]), _whole(along, weights.stiffness[rows]), apart=True, strain=strain
    )


def _straight_weighted(
    elements: Elements, part: EvenRoundAxis, on: slice, given: LocalFields, weights: Weights
) -> Gains:
    """Of straight triangles off the axis."""
    rows, held, further = part.rows[on], part.held[on], part.further[on]
    flat, value, flat_out, value_out = _tables(elements.order, part.degree)
    slopes = _times(_parts(given.potential, rows), flat.T)
    shape = *slopes.shape[:2], 3, -1
    first, second = np.split(slopes, 2, axis=2)
    both = np.stack((first * held, second * held))
    one, other = (_times(both, of) for of in np.split(flat, 2))
    metric = part.metric[on].T[..., None]
    out = np.concatenate((metric[0] * first + metric[1] * second, metric[1] * first + metric[2] * second), axis=2)
    out = _times(out * np.tile(further, (1, 2)), flat_out).reshape(shape)
    density = _times(_parts(given.electric, rows), value.T)
    full, wide = _times(density * held, value), _times(density * further, value_out).reshape(shape)
    along = np.stack((one[0], one[1] + other[0], other[1]), axis=2)
    return Gains(
        rows, _whole(np.concatenate((full[:, :, None], wide), axis=2), weights.mass[rows]),
        _whole(np.concatenate((along, out), axis=2), weights.stiffness[rows]), apart=True,
        strain=np.concatenate((part.growth[on], part.crossed[on]), axis=2),
    )  # fmt: skip


def _curved(elements: Elements, motions: Strained, given: LocalFields, weights: Weights) -> Gains:
    """Of curved triangles, but for those at the axis."""
    flat, value, *_ = _tables(elements.order, motions.degree)
    rows, (one, mixed, other), count = motions.rows, motions.across, len(value)
    slopes = _times(_parts(given.potential, rows), flat.T)[:, :, None]
    first, second = slopes[..., :count], slopes[..., count:]
    moved = np.empty((*slopes.shape[:2], *one.shape[1:2], 2 * count))
    np.multiply(one, first, out=moved[..., :count])
    np.multiply(other, second, out=moved[..., count:])
    moved[..., :count] += mixed * second
    moved[..., count:] += mixed * first
    growth = motions.growth * _times(_parts(given.electric, rows), value.T)[:, :, None]
    return Gains(rows, _whole(_times(growth, value), weights.mass[rows]),
                 _whole(_times(moved, flat), weights.stiffness[rows]))  # fmt: skip


@lru_cache(maxsize=32)
def _tables(order: int, degree: int) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
    """At the places of a quadrature: slopes of functions (2 p, n), values (p, n), and both times corner functions.

    Those are (2 p, 3 n) and (p, 3 n).
    """
    places, _ = few_places(degree)
    flat, value = gradients(order, places).transpose(2, 0, 1).reshape(2 * len(places), -1), values(order, places)
    corner = values(1, places)
    flat_out, value_out = np.tile(corner, (2, 1))[:, :, None] * flat[:, None], corner[:, :, None] * value[:, None]
    return flat, value, flat_out.reshape(len(flat), -1), value_out.reshape(len(value), -1)


def _beside_axis(
    elements: Elements, motions: Motions, functions: tuple[FloatArray, FloatArray, FloatArray], given: LocalFields,
    weights: Weights,
) -> Gains:  # fmt: skip
    """Of triangles at the axis."""
    rows, strains, (value, slope, measure) = motions.rows, motions.each, functions
    flat, widened = slope.swapaxes(1, 2).reshape(len(rows), -1, slope.shape[-1]), np.asarray(motions.widened)
    x, y = np.split(_on(flat, given.potential[rows]) * np.tile(measure, (1, 2))[:, None], 2, axis=3)
    across = np.concatenate((-(strains.stretch + widened) * x - strains.shear * y,
                             (strains.stretch - widened) * y - strains.shear * x), axis=3)  # fmt: skip
    metal = np.flatnonzero(elements.mesh.region[rows] != AIR)
    electric = np.zeros((*across.shape[:3], value.shape[2]))
    density = _on(value[metal], given.electric[rows[metal]]) * measure[metal][:, None]
    electric[:, metal] = (strains.growth - widened)[metal] * density @ value[metal]
    return Gains(rows, _whole(electric, weights.mass[rows]), _whole(across @ flat, weights.stiffness[rows]))


def _parts(field: ComplexArray, rows: IntArray) -> FloatArray:
    """Real and imaginary parts of fields (t, n, o) on some triangles, one after the other, (2 o, t, n)."""
    return np.ascontiguousarray(np.ascontiguousarray(field[rows]).view(float).transpose(2, 0, 1))


def _whole(parts: FloatArray, weights: Numbers) -> ComplexArray:
    """From such parts (2 o, t, ...) the whole (o, t, ...), with weights of the triangles (t, 1)."""
    found = np.empty((len(parts) // 2, *parts.shape[1:]), dtype=complex)
    found.real, found.imag = parts[::2], parts[1::2]
    found *= weights[:, :, None]
    return found


def _on(functions: FloatArray, field: ComplexArray) -> FloatArray:
    """Sums of functions of every triangle (t, q, n) times fields (t, n, o), as such parts, (2 o, t, 1, q)."""
    return np.asarray((functions @ np.ascontiguousarray(field).view(float)).transpose(2, 0, 1))[:, :, None]


def _times(fields: FloatArray, functions: FloatArray) -> FloatArray:
    """Products of fields (..., p) with functions (p, n)."""
    return np.asarray(fields.reshape(-1, fields.shape[-1]) @ functions).reshape(*fields.shape[:-1], -1)


def times(real: FloatArray, other: ComplexArray) -> ComplexArray:
    """Products of matrices of every triangle."""
    return np.asarray((real @ np.ascontiguousarray(other).view(float)).view(complex))
