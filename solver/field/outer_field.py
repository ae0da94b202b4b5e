"""The field beyond the outer circle, from its harmonics on the circle."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.elements.exterior import associated
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.local_functions import EDGES
from crosscurrent.solver.elements.operators import Elements, elements_on


@dataclass(frozen=True, eq=False)
class Outside(ABC):
    """The field beyond the outer circle.

    Attributes
    ----------
    centre, radius : (2,) float, float
        Of the outer circle [m].
    numbers : (n,) float
    amplitude : (n,) complex
        Of the harmonics of those numbers on the circle, of A [Vs/m] or 2 pi r A [Wb].
    """

    centre: FloatArray
    radius: float
    numbers: FloatArray
    amplitude: ComplexArray

    @abstractmethod
    def flux_density(self, points: FloatArray) -> ComplexArray:
        """B at points (k, 2) [m] beyond the circle, (k, 2) [T rms]."""

    @abstractmethod
    def potential(self, points: FloatArray) -> ComplexArray:
        """A [Vs/m], or 2 pi r A [Wb], at points (k, 2) [m] beyond the circle, (k,); constant along lines of flux."""

    @abstractmethod
    def largest(self, points: FloatArray) -> FloatArray:
        """Largest |B| that an amplitude of 1 makes at points (k, 2) [m], (k, n); 0 where the amplitude is given."""

    def change(self, before: Outside, points: FloatArray) -> FloatArray:
        """Bound on what a change of all harmonics from `before` adds up to in |B|, (k,) [T]."""
        change = np.abs(self.amplitude)
        common = np.searchsorted(self.numbers, before.numbers)
        change[common] = np.abs(self.amplitude[common] - before.amplitude)
        return np.asarray(self.largest(points) @ change)


class PlaneOutside(Outside):
    """Beyond a circle around a section in the plane: harmonic n falls as (R / r)^|n|, the mean of A by a logarithm.

    The harmonics are -n .. n in turn.
    """

    def flux_density(self, points: FloatArray) -> ComplexArray:
        """B at points (k, 2) [m] beyond the circle, (k, 2) [T rms]."""
        offset = points - self.centre
        radius = np.hypot(*offset.T)
        left, right = self._sums(offset, radius, np.abs(self.numbers) * self.amplitude)
        outward = -(left + right + self._mean) / radius
        around = 1j * (left - right) / radius
        # B = curl of A: radially dA/(r da), around -dA/dr
        cosine, sine = offset.T / radius
        return np.column_stack((around * cosine + outward * sine, around * sine - outward * cosine))

    def potential(self, points: FloatArray) -> ComplexArray:
        """A at points (k, 2) [m] beyond the circle, (k,) [Vs/m]; its mean falls to 0 at e times the radius."""
        offset = points - self.centre
        radius = np.hypot(*offset.T)
        left, right = self._sums(offset, radius, self.amplitude)
        return np.asarray(left + right + self._mean * (1 - np.log(radius / self.radius)))

    @property
    def _mean(self) -> complex:
        return complex(self.amplitude[len(self.amplitude) // 2])

    def _sums(self, offset: FloatArray, radius: FloatArray, weights: ComplexArray) -> tuple[ComplexArray, ComplexArray]:
        """Weights times (R / r)^|n| exp(i n angle), added up over n = 1, 2 .. and over n = -1, -2 .., both (k,)."""
        turned = self.radius / radius * (offset[:, 0] + 1j * offset[:, 1]) / radius
        zero = len(weights) // 2
        return (
            turned * np.polynomial.polynomial.polyval(turned, weights[zero + 1 :]),
            turned.conj() * np.polynomial.polynomial.polyval(turned.conj(), weights[:zero][::-1]),
        )

    def largest(self, points: FloatArray) -> FloatArray:
        """Largest |B| that an amplitude of 1 makes at points (k, 2) [m], (k, n) [T]; 0 where the amplitude is given."""
        n, radius = self.numbers, np.hypot(*(points - self.centre).T)[:, None]
        return np.asarray(np.sqrt(2) * (self.radius / radius) ** np.abs(n) * np.abs(n) / radius)


class AxialOutside(Outside):
    """Beyond half a circle about a point of the axis: 2 pi r A = sum c_n (R / rho)^n sin t P_n^1(cos t).

    The field along rho is sum n (n + 1) c_n P_n, across sum n c_n P_n^1, times R^n / (2 pi rho^(n + 2)).
    """

    def flux_density(self, points: FloatArray) -> ComplexArray:
        """B at points (k, 2) [m] beyond the circle, (k, 2) [T rms]."""
        offset = points - self.centre
        rho, angle = np.hypot(*offset.T), np.arctan2(offset[:, 1], offset[:, 0])
        n = np.arange(1, len(self.amplitude) + 1)
        wave = self.amplitude * n * (self.radius / rho)[:, None] ** n / (2 * np.pi * rho**2)[:, None]
        across = (wave * associated(angle + 0.5 * np.pi, len(n))).sum(axis=1)
        plain = np.polynomial.legendre.legvander(np.cos(angle + 0.5 * np.pi), len(n))[:, 1:]
        along = (wave * (n + 1) * plain).sum(axis=1)
        cosine, sine = offset.T / rho
        return np.column_stack((along * cosine - across * sine, along * sine + across * cosine))

    def potential(self, points: FloatArray) -> ComplexArray:
        """2 pi r A at points (k, 2) [m] beyond the circle, (k,) [Wb]."""
        offset, n = points - self.centre, np.arange(1, len(self.amplitude) + 1)
        angle = np.arctan2(offset[:, 1], offset[:, 0]) + 0.5 * np.pi
        fall = (self.radius / np.hypot(*offset.T))[:, None] ** n * associated(angle, len(n))
        return np.asarray(np.sin(angle) * (fall @ self.amplitude))

    def largest(self, points: FloatArray) -> FloatArray:
        """Largest |B| that an amplitude of 1 makes at points (k, 2) [m], (k, n) [T]; 0 where the amplitude is given."""
        n, rho = self.numbers, np.hypot(*(points - self.centre).T)[:, None]
        return np.asarray((self.radius / rho) ** n / (2 * np.pi * rho**2) * n * (n + 1) * np.sqrt(2))


def outside(elements: Elements, potential: ComplexArray) -> Outside:
    """From the potential (unknowns,) on the outer circle; refined meshes divide it unevenly."""
    mesh = elements.mesh
    rows, sides = elements_on(mesh.truncation_edges, mesh.triangles)
    first, second = np.array(EDGES)[sides].T
    begin, end = (np.arctan2(*(mesh.points[mesh.triangles[rows, k]] - mesh.centre).T[::-1]) for k in (first, second))
    span = (end - begin + np.pi) % (2 * np.pi) - np.pi
    axial = elements.weight is Weight.FLUX
    most = len(mesh.truncation_edges) * elements.order * (2 if axial else 1) // 3
    n = np.arange(1.0, most + 1) if axial else np.arange(-most, most + 1).astype(float)
    amplitude = np.zeros(len(n), dtype=complex)
    nodes, weights = np.polynomial.legendre.leggauss(elements.order + 10)
    for t, weight in zip(0.5 * (nodes + 1), 0.5 * weights, strict=True):
        value = np.empty(len(rows), dtype=complex)
        for side, (i, j) in enumerate(EDGES):
            on = np.flatnonzero(sides == side)
            place = ((1 - t) * np.eye(3)[i] + t * np.eye(3)[j])[None, 1:]
            value[on] = elements.value(potential, rows[on], place)[:, 0]
        angle, measured = begin + t * span, weight * np.abs(span) * value
        if axial:
            amplitude += associated(angle + 0.5 * np.pi, most).T @ measured
        else:
            amplitude += np.exp(-1j * np.outer(n, angle)) @ measured / (2 * np.pi)
    if axial:
        return AxialOutside(mesh.centre, mesh.radius, n, amplitude * (2 * n + 1) / (2 * n * (n + 1)))
    return PlaneOutside(mesh.centre, mesh.radius, n, amplitude)
