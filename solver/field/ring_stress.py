"""What the stress on a conductor of the half plane r, z changes with: the field around it, and the nodes of the mesh.

As `stress_gradient` has it, but all of it carries the weight W = 1 / (2 pi r), which moves too, and away from the axis
the stress round it adds: with h = nu w n_r / r,

    F = -(1 / 2 mu0) integral W ((n . g) p.p - 2 (n . p)(g . p) - h p.p),

over the conductor too. Then s loses h p, and T gains h (M_xx - M_yy) in xx, the opposite in yy, 2 h M_xy in xy and yx.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.geometries.meshing.few_places import few_places
from crosscurrent.geometries.meshing.shape_functions import gradients, values
from crosscurrent.solver.elements.motions import EvenRoundAxis, Motions
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.metals.depth import MU0

from .stress import Surrounding
from .stress_gradient import HAT, Around, Felt, StressGradient

AT_ONCE = 256  # triangles

@dataclass(frozen=True, eq=False)
class RingStress:
    """The stress on some conductors, each along one direction.

    Attributes
    ----------
    felt : Felt
    parts : tuple of Places
    """

    felt: Felt
    parts: tuple[Places, ...]

    @classmethod
    def of(
        cls, elements: Elements, around: Sequence[Surrounding], direction: FloatArray, stiff: FloatArray
    ) -> RingStress:
        """Around conductors, along unit vectors (k, 2), or none, for elements of an order and of the order below.

        With the relative reluctivity of what counts of each conductor (k, t), 0 elsewhere.
        """
        rows, own = [], []
        for one, way, inside in zip(around, direction, stiff, strict=True):
            metal = np.flatnonzero(inside) if way[0] else one.near[:0]
            rows.append(np.concatenate((one.near if way.any() else one.near[:0], metal)))
            own.append(np.concatenate((np.zeros(len(rows[-1]) - len(metal)), inside[metal])))
        felt = Felt.of(elements, around, rows, own, direction)
        parts = [Places.even(elements, felt, part, *_some(felt, part.rows)) for part in elements.even_parts]
        parts += [Places.bent(felt, part, *_some(felt, part.rows)) for part in elements.bent_parts]
        parts += [
            Places.beside_axis(felt, part, slope, measure, *_some(felt, part.rows))
            for part, (_, slope, measure) in zip(elements.axis_parts, elements.axis_functions, strict=True)
        ]
        return cls(felt, tuple(part for one in parts if len(one.some) for part in one.blocks()))

    def gradients(self, elements: Elements, potential: FloatArray) -> list[tuple[StressGradient, ...]]:
        """At potentials (fields, k, unknowns) [Vs/m]."""
        a = self.felt.on(elements, potential)
        load, corners = np.empty_like(a), np.empty((*a.shape[:2], 6))
        for one in self.parts:
            load[:, one.some], corners[:, one.some] = one.gains(elements, a[:, one.some])
        return self.felt.summed(elements, potential, load, corners)


def _some(felt: Felt, rows: IntArray) -> tuple[IntArray, IntArray]:
    """Where forces are felt in some triangles: which of those they are, and which of `felt`."""
    place = np.full(max(int(of.max(initial=-1)) for of in (felt.rows, rows)) + 1, -1)
    place[rows] = np.arange(len(rows))
    some = np.flatnonzero(place[felt.rows] >= 0)
    return place[felt.rows[some]], some


@dataclass(frozen=True, eq=False)
class Places:
    """Places of a quadrature in triangles of one kind, by components.

    Attributes
    ----------
    felt : Felt
    some : (t,) int
        Which of that.
    degree : int
    motions : Motions
        At the places; of straight triangles off the axis at one for all.
    radius, measure : (t, p) float
        The measure with the weight of the half plane and those of the quadrature.
    slope : (t, 2 p, n) float, optional
        Of the functions at the axis.
    """

    felt: Felt
    some: IntArray
    degree: int
    motions: Motions
    radius: FloatArray
    measure: FloatArray
    slope: FloatArray | None = None

    @classmethod
    def even(cls, elements: Elements, felt: Felt, part: EvenRoundAxis, on: IntArray, some: IntArray) -> Places:
        """Of straight triangles off the axis."""
        motions = elements.even.on(part.places[on])
        return cls(felt, some, part.degree, motions, part.radius[on], part.held[on] * motions.measure)

    @classmethod
    def bent(cls, felt: Felt, part: Motions, on: IntArray, some: IntArray) -> Places:
        """Of curved ones."""
        motions = part.on(on)
        return cls(felt, some, part.degree, motions, np.asarray(motions.radius), motions.measure)

    @classmethod
    def beside_axis(
        cls, felt: Felt, part: Motions, slope: FloatArray, measure: FloatArray, on: IntArray, some: IntArray
    ) -> Places:
        """Of triangles at the axis, from slopes of their functions (t, p, 2, n)."""
        own = slope[on].swapaxes(1, 2).reshape(len(on), 2 * slope.shape[1], slope.shape[3])
        motions = part.on(on)
        return cls(felt, some, part.degree, motions, np.asarray(motions.radius), measure[on], own)

    def blocks(self) -> Iterator[Places]:
        """The same, some triangles at once."""
        for first in range(0, len(self.some), AT_ONCE):
            on = slice(first, first + AT_ONCE)
            yield Places(
                self.felt, self.some[on], self.degree, self.motions.on(on), self.radius[on], self.measure[on],
                None if self.slope is None else self.slope[on],
            )  # fmt: skip

    @cached_property
    def _held(self) -> FloatArray:
        """h."""
        places, own = few_places(self.degree)[0], self.felt.own[self.some]
        ring = self.felt.direction[self.some, 0] * np.where(own > 0, own, 1.0)
        return np.asarray(self.felt.fall[self.some] @ values(1, places).T * ring[:, None] / self.radius)

    @cached_property
    def _around(self) -> Around:
        direction, fall = self.felt.direction[self.some], self.felt.fall[self.some] @ HAT
        return Around.of(self.motions.inverse, fall[:, None], direction[:, None])

    def _outward(self, moved: FloatArray, widened: FloatArray) -> None:
        """Add what corners gain as they move away from the axis, from what a relative gain of the radius does there."""
        if self.motions.widened is not None:
            moved += (self.motions.widened @ widened[..., None])[..., 0]
        else:
            moved[..., :3] += (widened / self.radius) @ values(1, few_places(self.degree)[0])

    def gains(self, elements: Elements, a: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Loads (..., t, n) and gains per motion of the corners (..., t, 6) of potentials on triangles (..., t, n)."""
        field = _Slopes.of(elements.order, self.degree, a, self.motions.inverse, self.slope)
        (px, py), held, around = field.values, self._held, self._around
        first, mixed = around.first, around.mixed
        x, y = self.measure * px, self.measure * py
        load = field.back((first - held) * x + mixed * y, mixed * x - (first + held) * y)
        xx, xy, yy = x * px, x * py, y * py
        apart, round_it = xx - yy, held * (xx + yy)
        outward = 2 * round_it - first * apart - (2 * mixed) * xy
        parts = [xx, xy, yy, held * apart, (2 * held) * xy]
        if self.motions.inverse.shape[1] == 1:
            parts = [of.sum(axis=-1, keepdims=True) for of in parts]
        more, turned = parts[3:]
        of_xx, of_xy, of_yx, of_yy = around.tensor(*parts[:3])
        moved = self._by_corners((of_xx + more, of_xy + turned, of_yx + turned, of_yy - more))
        self._outward(moved, outward)
        return -load / (2 * MU0), -moved / (2 * MU0)

    def _by_corners(self, tensor: Sequence[FloatArray]) -> FloatArray:
        """What corners gain, (t, 6), from dV / dx by components, (t, p) each, or of straight triangles their sums."""
        (b, c), (d, e) = ([self.motions.inverse[..., i, k] for k in range(2)] for i in range(2))
        xx, xy, yx, yy = tensor
        back = np.stack((b * xx + d * xy, b * yx + d * yy, c * xx + e * xy, c * yx + e * yy), axis=-1)
        return np.asarray(self.motions.gained(back.reshape(*xx.shape, 2, 2, 1)), dtype=float)[..., 0]


@dataclass(frozen=True, eq=False)
class _Slopes:
    """Slopes of a potential in triangles of a half plane.

    Attributes
    ----------
    flat : (2 p, n) float or (t, 2 p, n) float
        Of the functions on the reference triangle, along the first and the second; or by triangle as they are.
    inverse : (t, p, 2, 2) float, optional
        Slopes of the reference coordinates, unless they are in those.
    values : (2, ..., t, p) float
    """

    flat: FloatArray
    inverse: FloatArray | None
    values: FloatArray

    @classmethod
    def of(cls, order: int, degree: int, a: FloatArray, inverse: FloatArray, own: FloatArray | None) -> _Slopes:
        """Of one by the values at the unknowns of each triangle (t, n), or by slopes of its own functions."""
        if own is not None:
            return cls(own, None, np.stack(np.split((own @ a[..., None])[..., 0], 2, axis=-1)))
        places, _ = few_places(degree)
        flat = gradients(order, places).transpose(2, 0, 1).reshape(2 * len(places), -1)
        first, second = np.split(a @ flat.T, 2, axis=-1)
        found = np.stack([inverse[..., i, 0] * first + inverse[..., i, 1] * second for i in range(2)])
        return cls(flat, inverse, found)

    def back(self, x: FloatArray, y: FloatArray) -> FloatArray:
        """Sums of vectors at the places (..., t, p) times slopes of the functions, (..., t, n)."""
        if self.inverse is None:
            return np.asarray((np.concatenate((x, y), axis=-1)[..., None, :] @ self.flat)[..., 0, :])
        by = [x * self.inverse[..., 0, r] + y * self.inverse[..., 1, r] for r in range(2)]
        return np.asarray(np.concatenate(by, axis=-1) @ self.flat)
