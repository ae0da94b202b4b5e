"""The uncertainty of a reading and of what was calculated for it, as one covariance, and residuals in units of it.

What is common to many rows counts as such: gain, phase and offset of each range of the meter (GUM, JCGM 100:2008,
F.1.2), and the error of the calculated values, which frequencies near each other share.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .reading import MeterReading

TOGETHER = 1.0  # in ln f: how far errors of what was calculated go together
LEAST = 1e-5  # of a reading: noise below which no mesh is


def stacked(z: ComplexArray) -> FloatArray:
    """R of all rows, then X of all rows, (n,) complex to (2 n,) float."""
    return np.concatenate((z.real, z.imag))


@dataclass(frozen=True, eq=False)
class Uncertainty:
    """Of the difference between measured and calculated.

    Attributes
    ----------
    common : (2 n, 2 n) float
        Covariance of what rows have in common [ohm^2], R first.
    noise : (2 n,) float
        Standard deviation of every row by itself [ohm].
    near : (n, n) float
        How much of an error that goes with frequency two rows share.
    freedom : float
        Degrees of freedom that the noise is known with.
    floors : (2 n, k) float
        What the floor of the meter does to the rows, by one standard uncertainty of each range, of R and of X [ohm]; in
        the common part.
    """

    common: FloatArray
    noise: FloatArray
    near: FloatArray
    freedom: float = math.inf
    floors: FloatArray = field(default_factory=lambda: np.empty((0, 0)))

    @classmethod
    def of(cls, reading: MeterReading, open_resistance: FloatArray, open_reactance: FloatArray) -> Uncertainty:
        """Of a reading and of calculated values.

        Parameters
        ----------
        reading : MeterReading
        open_resistance, open_reactance : (n,) float
            One standard uncertainty of what was calculated for the whole run [ohm].
        """
        n = len(reading.frequencies)
        z = reading.impedance
        common = np.zeros((2 * n, 2 * n))
        same = reading.ranges[:, None] == reading.ranges[None, :]
        twice = np.tile(same, (2, 2))
        for part in (stacked(reading.gain * z), stacked(1j * reading.angle * z)):
            common += twice * np.outer(part, part)
        near = np.exp(-0.5 * np.subtract.outer(*2 * [np.log(reading.frequencies)]) ** 2 / TOGETHER**2)
        for block, bar in ((slice(0, n), open_resistance), (slice(n, 2 * n), open_reactance)):
            common[block, block] += near * np.outer(bar, bar)
        floors = _floors(reading)
        common += floors @ floors.T
        least = LEAST * np.tile(np.abs(z), 2)
        noise = np.hypot(np.concatenate((reading.noise_resistance, reading.noise_reactance)), least)
        return cls(common, noise, near, reading.noise_freedom, floors)

    def without_floor(self) -> Uncertainty:
        """Of a meter that has none."""
        return replace(self, common=self.common - self.floors @ self.floors.T, floors=np.empty((0, 0)))

    def loosened(self, wrong: FloatArray) -> Uncertainty:
        """With a further error of R and of X that goes with frequency, (n,) [ohm]."""
        block = self.near * np.outer(wrong, wrong)
        return replace(self, common=self.common + np.kron(np.eye(2), block))

    @cached_property
    def whitening(self) -> FloatArray:
        """Inverse of the Cholesky factor of the covariance, (2 n, 2 n) [1/ohm]."""
        from scipy.linalg import solve_triangular

        lower = np.linalg.cholesky(self.common + np.diag(self.noise**2))
        return np.asarray(solve_triangular(lower, np.eye(len(lower)), lower=True))

    @cached_property
    def size(self) -> float:
        """Half the logarithm of the determinant of the covariance."""
        return float(-np.log(np.diag(self.whitening)).sum())

    @property
    def each(self) -> FloatArray:
        """Standard uncertainty of every row, all parts together, (2 n,) [ohm]."""
        return np.asarray(np.sqrt(np.diag(self.common) + self.noise**2))

    def whitened(self, difference: FloatArray) -> FloatArray:
        """A difference, (2 n,) or (2 n, k) [ohm], in units in which all is independent and 1."""
        return np.asarray(self.whitening @ difference)

    def scatter(self, difference: FloatArray) -> FloatArray:
        """What is left of a difference as noise once its likeliest common part is taken off, over the noise, (2 n,)."""
        return np.asarray(self.noise * (self.whitening.T @ self.whitened(difference)))


def _floors(reading: MeterReading) -> FloatArray:
    """A column for R and for X of every range that has a floor, (2 n, k) [ohm]."""
    ranges = [reading.floor * (reading.ranges == number) for number in np.unique(reading.ranges)]
    own = np.array([one for one in ranges if one.any()]).reshape(-1, len(reading.floor)).T
    return np.asarray(np.kron(np.eye(2), own))
