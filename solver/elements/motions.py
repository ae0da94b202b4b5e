"""What motions of the corners of a mesh do inside its triangles.

Straight triangles stretch evenly. A curved side turns and stretches as its ends do: V = alpha + beta z along it, with
z = x + i y and complex numbers for motions; what lies off its chord is carried inside as the geometry itself is.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray
from crosscurrent.geometries.meshing.curved import edge_lift
from crosscurrent.geometries.meshing.few_places import few_places
from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.shape_functions import gradients, values

from .factor import Numbers
from .local_functions import EDGES, GEOMETRY, LocalFunctions

CENTRE = np.full((1, 2), 1 / 3)
COMPLEX = np.array([1, 1j])  # what makes x + i y of both


@dataclass(frozen=True, eq=False)
class Motions:
    """What moves inside triangles as their corners do.

    Attributes
    ----------
    rows : (t,) int
        The triangles.
    along : (t, q, 2, 3) complex
        Slopes of motions over the reference coordinates, at the places of a quadrature, per motion of every corner.
    inverse : (t, q, 2, 2) float
        Slopes of the reference coordinates.
    measure : (t, q) float
        Area per area of the reference triangle, times the weights of the quadrature.
    degree : int
        Of the quadrature; 0 of straight triangles, which need one place.
    widened : (t, 6, q) float, optional
        In the half plane: what the radius gains, relative, per motion of the corners as `each` counts them [1/m].
    radius : (t, q) float, optional
        There [m].
    """

    rows: IntArray
    along: ComplexArray
    inverse: FloatArray
    measure: FloatArray
    degree: int
    widened: FloatArray | None = None
    radius: FloatArray | None = None

    @classmethod
    def straight(cls, functions: LocalFunctions) -> Motions:
        """Of the straight triangles."""
        rows, (measure, inverse) = functions.straight, functions.straight_maps
        hats = gradients(1, CENTRE)[0].T + np.zeros((len(rows), 1, 1, 1), dtype=complex)
        return cls(rows, hats, inverse, measure, 0)

    @classmethod
    def curved(cls, functions: LocalFunctions) -> Motions:
        """Of the curved triangles."""
        rows, degree = functions.mesh.curved, 2 * functions.order  # 2e-4 of the bars off what 2 p + 6 gives
        places, weights = few_places(degree)
        determinant, inverse = functions.maps(rows, places)
        return cls(rows, Carried.of(functions, rows).slopes(places), inverse, determinant * weights, degree)

    @classmethod
    def round_an_axis(cls, functions: LocalFunctions, rows: IntArray, degree: int) -> Motions:
        """Of some curved triangles off the axis, the weight of the half plane in the measure."""
        places, weights = few_places(degree)
        carried, (measure, inverse) = Carried.of(functions, rows), functions.maps(rows, places)
        radius, along = functions.distances(rows, places), carried.slopes(places)
        widened = _outward(carried.at(places)) / radius[:, None]
        return cls(rows, along, inverse, measure * functions.weight.at(radius) * weights, degree, widened, radius)

    @classmethod
    def beside_axis(cls, functions: LocalFunctions, rows: IntArray, degree: int) -> Motions:
        """Of some triangles at the axis, per area."""
        places, _ = few_places(degree)
        carried, radius = Carried.of(functions, rows), functions.distances(rows, places)
        found, widened = cls.at(functions, rows, places, carried), _outward(carried.at(places)) / radius[:, None]
        return cls(rows, found.along, found.inverse, found.measure, degree, widened, radius)

    @classmethod
    def at(cls, functions: LocalFunctions, rows: IntArray, places: FloatArray, carried: Carried) -> Motions:
        """Of triangles whose geometry is carried like that, at some places, per area."""
        inverse = functions.maps(rows, places)[1]
        return cls(rows, carried.slopes(places), inverse, np.ones(inverse.shape[:2]), 0)

    def on(self, some: IntArray | slice) -> Motions:
        """Of some of them."""
        widened, radius = (None if of is None else of[some] for of in (self.widened, self.radius))
        return Motions(
            self.rows[some], self.along[some], self.inverse[some], self.measure[some], self.degree, widened, radius
        )

    @cached_property
    def each(self) -> Strains:
        """Per motion of every corner, along x of each in turn, then along y."""
        forth, back = self._turned
        growth, stretch = (np.concatenate((by.real, -by.imag), axis=1) for by in (back, forth))
        return Strains(growth, stretch, np.concatenate((forth.imag, forth.real), axis=1))

    @cached_property
    def growth(self) -> FloatArray:
        """What the measure gains, (t, 6, q)."""
        return self._gaining[0]

    @cached_property
    def across(self) -> tuple[FloatArray, ...]:
        """What products of reference slopes of two fields gain: first, mixed, second, (t, 6, q) each."""
        return self._gaining[1]

    @cached_property
    def _gaining(self) -> tuple[FloatArray, tuple[FloatArray, ...]]:
        return self._weighted(self.each, self.widened)

    def gaining_by(self, ways: IntArray) -> tuple[FloatArray, tuple[FloatArray, ...]]:
        """Both of some of the motions of the corners, as `each` counts them."""
        every, widened = self.each, self.widened if self.widened is None else self.widened[:, ways]
        some = Strains(every.growth[:, ways], every.stretch[:, ways], every.shear[:, ways])
        return self._weighted(some, widened)

    def gaining(self, corners: ComplexArray) -> tuple[FloatArray, tuple[FloatArray, ...]]:
        """Both of some motions of the corners, x + i y, (t, m, 3)."""
        widened = self.widened
        if widened is not None:
            widened = np.concatenate((corners.real, corners.imag), axis=2) @ widened
        return self._weighted(self.strains(corners), widened)

    def _weighted(
        self, strains: Strains, widened: FloatArray | None
    ) -> tuple[FloatArray, tuple[FloatArray, ...]]:
        growth, across = strains.growth, strains.across(self.inverse)
        if widened is None:
            return growth, across
        held = widened * self.measure[:, None]
        products = zip(across, metric(self.inverse), strict=True)
        return growth - held, tuple(of - held * by[:, None] for of, by in products)

    @cached_property
    def crossed(self) -> FloatArray:
        """The same of straight triangles, (t, 6, 3)."""
        return np.concatenate(self.across, axis=2)

    def gained(self, at_places: Numbers) -> Numbers:
        """What the corners gain, (..., t, 6, k): along x of each in turn, then along y.

        From what dV_d over every reference coordinate r gains at the places, (..., t, q, r, d, k), with the measure.
        """
        count = 2 * self.along.shape[1]
        by = self.along.reshape(len(self.rows), count, 3).swapaxes(1, 2)
        flat = at_places.reshape(*at_places.shape[:-4], count, 2, at_places.shape[-1])
        x, y = flat[..., 0, :], flat[..., 1, :]
        return np.concatenate((by.real @ x + by.imag @ y, by.real @ y - by.imag @ x), axis=-2)

    @cached_property
    def _turned(self) -> tuple[ComplexArray, ComplexArray]:
        """What motions of the corners strain, as complex numbers go, and as their conjugates do, (t, 3, q)."""
        turned = (self.inverse[..., 0, :] + 1j * self.inverse[..., 1, :]) * self.measure[..., None]
        first, second = self.along[:, :, 0].swapaxes(1, 2), self.along[:, :, 1].swapaxes(1, 2)
        forth, back = (by[:, None, :, 0] * first + by[:, None, :, 1] * second for by in (turned, turned.conj()))
        return forth, back

    def strains(self, corners: ComplexArray) -> Strains:
        """What some motions of the corners strain, x + i y, (t, m, 3)."""
        forth, back = (corners @ by for by in self._turned)
        return Strains(back.real, forth.real, forth.imag)


def _outward(moved: ComplexArray) -> FloatArray:
    """Motion away from the axis per motion of every corner along x, then along y, (t, 6, q), of places (t, q, 3)."""
    by = moved.swapaxes(1, 2)
    return np.concatenate((by.real, -by.imag), axis=1)


@dataclass(frozen=True, eq=False)
class EvenRoundAxis:
    """What motions of the corners do in straight triangles of a half plane, off the axis.

    They stretch evenly, and each corner takes what is near it away from the axis.

    Attributes
    ----------
    rows : (t,) int
    places : (t,) int
        Of them among all straight ones.
    degree : int
        Of the quadrature.
    radius : (t, p) float
    held : (t, p) float
        The weight of the half plane times those of the quadrature.
    further : (t, p) float
        The same times the area, over the radius.
    metric : (t, 3) float
        As `metric` has it.
    growth, crossed : (t, 6, 4) and (t, 6, 6) float
        Per motion of every corner: of what `held` and what `further` sums up, the latter by corners.
    """

    rows: IntArray
    places: IntArray
    degree: int
    radius: FloatArray
    held: FloatArray
    further: FloatArray
    metric: FloatArray
    growth: FloatArray
    crossed: FloatArray

    @classmethod
    def of(cls, functions: LocalFunctions, even: Motions, on: IntArray, degree: int) -> EvenRoundAxis:
        """Of some of the straight triangles."""
        rows, (places, weights) = even.rows[on], few_places(degree)
        radius = functions.distances(rows, places)
        held, away = functions.weight.at(radius) * weights, np.broadcast_to(-np.eye(6, 3), (len(rows), 6, 3))
        growth, crossed = even.growth[on], even.crossed[on]
        growth, crossed = (np.concatenate((by, away), axis=2) for by in (growth, crossed))
        slopes = np.stack(metric(even.inverse[on, 0]), axis=1)
        return cls(rows, on, degree, radius, held, held / radius * even.measure[on], slopes, growth, crossed)


@dataclass(frozen=True, eq=False)
class Strains:
    """Of some motions, times the measure, all (t, m, q).

    Attributes
    ----------
    growth : float
        div V.
    stretch, shear : float
        dV_x/dx - dV_y/dy and dV_x/dy + dV_y/dx.
    """

    growth: FloatArray
    stretch: FloatArray
    shear: FloatArray

    def across(self, inverse: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        """div V - grad V - grad V' between reference slopes of two fields, for inverse slopes (t, q, 2, 2).

        Along the first of both, mixed, and along the second, (t, m, q) each.
        """
        (a, b), (c, d) = ([inverse[:, None, :, i, k] for k in range(2)] for i in range(2))
        return (
            self.stretch * (c * c - a * a) - self.shear * (2 * a * c),
            self.stretch * (c * d - a * b) - self.shear * (a * d + b * c),
            self.stretch * (d * d - b * b) - self.shear * (2 * b * d),
        )


def metric(inverse: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Slopes of two fields times each other, by products of their reference slopes: first, mixed, second, (...)."""
    (a, b), (c, d) = ([inverse[..., i, k] for k in range(2)] for i in range(2))
    return a * a + c * c, a * b + c * d, b * b + d * d


@dataclass(frozen=True, eq=False)
class Carried:
    """How triangles go with their corners, curved sides as these turn and stretch.

    Attributes
    ----------
    off : (t, 3 k) complex
        Of k nodes on each side in turn: how far they are off its chord, over that; 0 on straight sides.
    """

    off: ComplexArray

    @classmethod
    def of(cls, functions: LocalFunctions, rows: IntArray) -> Carried:
        """Of some triangles."""
        mesh, bent = functions.mesh, functions.are_curved(rows)
        off = np.zeros((len(rows), 3, GEOMETRY - 1), dtype=complex)
        if bent.any():
            corner = (mesh.points[mesh.triangles[rows[bent]]] @ COMPLEX)[..., None]
            on_sides = mesh.checked_geometry[functions.bent_places(rows[bent]), 3 : 3 * GEOMETRY] @ COMPLEX
            gone = on_sides.reshape(-1, *off.shape[1:]) - corner
            off[bent] = gone / (np.roll(corner, -1, axis=1) - corner) - np.arange(1, GEOMETRY) / GEOMETRY
        return cls(off.reshape(len(rows), -1))

    def at(self, places: FloatArray) -> ComplexArray:
        """Motion of some places (p, 2) per motion of every corner, (t, p, 3)."""
        return self._by(values(1, places), values(GEOMETRY, places))

    def slopes(self, places: FloatArray) -> ComplexArray:
        """Slopes of that over the reference coordinates, (t, p, 2, 3)."""
        by = (gradients(order, places).transpose(0, 2, 1).reshape(2 * len(places), -1) for order in (1, GEOMETRY))
        return self._by(*by).reshape(-1, len(places), 2, 3)

    def _by(self, corners: FloatArray, nodes: FloatArray) -> ComplexArray:
        """Sums of what corners (m, 3) and the nodes of the geometry (m, n) do, (t, m, 3)."""
        bent = (nodes @ _lifted()).reshape(len(nodes), -1, 3).swapaxes(0, 1).reshape(self.off.shape[1], -1)
        found = np.empty((len(self.off), *corners.shape), dtype=complex)
        found.real = (self.off.real @ bent).reshape(found.shape) + corners
        found.imag = (self.off.imag @ bent).reshape(found.shape)
        return found


@cache
def _lifted() -> FloatArray:
    """Motion of the nodes of the geometry as each node on a side is off its chord, per motion of every corner.

    (n, 9 k): nodes on the sides, then corners.
    """
    found = np.zeros((len(lattice(GEOMETRY)), 3, GEOMETRY - 1, 3))
    for side, (i, j) in enumerate(EDGES):
        found[:, side, :, j] = edge_lift(GEOMETRY, side)
        found[:, side, :, i] = -found[:, side, :, j]
    return found.reshape(len(found), -1)
