"""What a meter read of a whole run over frequency, and how well it can be trusted."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, IntArray, same


@dataclass(frozen=True, eq=False, kw_only=True)
class MeterReading:
    """The series impedance of the whole run as it hangs on the meter, after conversions and corrections.

    All uncertainties are one standard uncertainty. A meter at the impedance Z shows Z (1 + gain + j angle) + floor +
    noise: gain and angle are errors common to all frequencies of one range, the floor an offset of R and of X, each
    common to a range as well; the noise is independent from row to row.

    Attributes
    ----------
    frequencies : (n,) float
        [Hz], rising, above 0.
    resistance, reactance : (n,) float
        Of the whole run [ohm], not per metre.
    gain, angle : (n,) float
        Relative error of the magnitude; error of the phase [rad].
    floor : (n,) float
        Offset [ohm], of R and of X.
    noise_resistance, noise_reactance : (n,) float
        Scatter from row to row [ohm].
    ranges : (n,) int
        Rows with the same number share one gain, angle and offset.
    length : float
        Of the run that was measured [m].
    temperature : float
        Of the conductors at the measurement [degC].
    joints : int
        Joints in the run, contacts at the meter included.
    noise_freedom : float
        Degrees of freedom that the scatter is known with; infinite if it is stated.
    noise_open : (2 n,) float or None
        Scatter told from rows where their word on how it goes with frequency is weighed, R first [ohm].
    floor_stated : bool
        Whether the floor is known, from a data sheet or a short that was taken off.
    """

    frequencies: FloatArray
    resistance: FloatArray
    reactance: FloatArray
    gain: FloatArray
    angle: FloatArray
    floor: FloatArray
    noise_resistance: FloatArray
    noise_reactance: FloatArray
    ranges: IntArray
    length: float
    temperature: float = 20.0
    joints: int = 0
    noise_freedom: float = math.inf
    noise_open: FloatArray | None = None
    floor_stated: bool = True

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    def opened(self) -> MeterReading | None:
        """With the scatter that leaves open how it goes with frequency; None where that is known."""
        if self.noise_open is None:
            return None
        of_resistance, of_reactance = np.split(self.noise_open, 2)
        return replace(self, noise_resistance=of_resistance, noise_reactance=of_reactance, noise_open=None)

    @property
    def omega(self) -> FloatArray:
        """Angular frequencies, (n,) [rad/s]."""
        return np.asarray(2 * np.pi * self.frequencies)

    @property
    def impedance(self) -> ComplexArray:
        """R + j X, (n,) [ohm]."""
        return np.asarray(self.resistance + 1j * self.reactance)

    @property
    def inductance(self) -> FloatArray:
        """X / w, (n,) [H]."""
        return np.asarray(self.reactance / self.omega)

    @property
    def quality(self) -> FloatArray:
        """Q = X / R, (n,); infinite where R is 0."""
        with np.errstate(divide="ignore"):
            return np.asarray(self.reactance / self.resistance)

    @property
    def resistance_error(self) -> FloatArray:
        """Standard uncertainty of R, its systematic parts and the noise together, (n,) [ohm]."""
        parts = (self.gain * self.resistance, self.angle * self.reactance, self.floor, self.noise_resistance)
        return np.asarray(np.sqrt(sum(p**2 for p in parts)))

    @property
    def reactance_error(self) -> FloatArray:
        """Standard uncertainty of X, its systematic parts and the noise together, (n,) [ohm]."""
        parts = (self.gain * self.reactance, self.angle * self.resistance, self.floor, self.noise_reactance)
        return np.asarray(np.sqrt(sum(p**2 for p in parts)))

    @property
    def inductance_error(self) -> FloatArray:
        """Standard uncertainty of L, (n,) [H]."""
        return np.asarray(self.reactance_error / self.omega)
