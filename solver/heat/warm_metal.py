"""What a metal conducts and takes as it gets hot: tables over temperature, straight between their rows, level beyond.

The heat that is held stands in place of the temperature, u = integral of c dT over a constant c_0, so that what a
degree takes stays the same matrix and heat is kept to the last digit. With T(u) at every place

    c_0 du/dt = div(k c_0 / c grad u) + heat,

which for c constant and the steady state is Kirchhoff's (1894) equation of integral k dT.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray


@dataclass(frozen=True, eq=False)
class WarmMetal:
    """Thermal constants over temperature.

    Attributes
    ----------
    temperature : (k,) float
        Rising, two or more [K].
    conductivity : (k,) float
        [W/(m K)]
    capacity : (k,) float
        Over that which heat is counted with, c / c_0 [-].
    basis : float
        c_0 [J/(kg K)].

    Examples
    --------
    Twice the heat capacity beyond 400 K, from 300 K on in a straight line:

    >>> metal = WarmMetal(np.array([300.0, 400.0]), np.array([50.0, 40.0]), np.array([1.0, 2.0]))
    >>> metal.held(np.array([300.0, 400.0, 500.0])).tolist()
    [300.0, 450.0, 650.0]
    >>> metal.warmth(np.array([450.0, 650.0])).tolist()
    [400.0, 500.0]
    """

    temperature: FloatArray
    conductivity: FloatArray
    capacity: FloatArray
    basis: float = 1.0

    @property
    def follows(self) -> tuple[bool, bool]:
        """Whether capacity and conductivity are others when hot."""
        return bool(np.ptp(self.capacity)), bool(np.ptp(self.conductivity))

    @cached_property
    def _rows(self) -> FloatArray:
        """Heat held at the rows of the table, u = T at the first [K]."""
        part = 0.5 * (self.capacity[1:] + self.capacity[:-1]) * np.diff(self.temperature)
        return np.asarray(self.temperature[0] + np.concatenate(([0.0], np.cumsum(part))))

    @cached_property
    def _rises(self) -> FloatArray:
        """By how much the capacity rises per kelvin in every interval, level before and after, (k + 1,)."""
        return np.concatenate(([0.0], np.diff(self.capacity) / np.diff(self.temperature), [0.0]))

    def held(self, warm: FloatArray) -> FloatArray:
        """u at temperatures [K]."""
        k = np.searchsorted(self.temperature, warm, side="right")
        first = np.maximum(k - 1, 0)
        above = warm - self.temperature[first]
        return np.asarray(self._rows[first] + above * (self.capacity[first] + 0.5 * self._rises[k] * above))

    def warmth(self, held: FloatArray) -> FloatArray:
        """Temperatures [K] at u."""
        k = np.searchsorted(self._rows, held, side="right")
        first = np.maximum(k - 1, 0)
        begin, more = self.capacity[first], held - self._rows[first]
        root = np.sqrt(np.maximum(begin**2 + 2 * self._rises[k] * more, 0.0))
        return np.asarray(self.temperature[first] + 2 * more / (begin + root))

    def per_heat(self, warm: FloatArray) -> FloatArray:
        """dT/du at temperatures [K]."""
        return np.asarray(1 / np.interp(warm, self.temperature, self.capacity))

    def conducted(self, warm: FloatArray) -> tuple[FloatArray, FloatArray]:
        """k c_0 / c at temperatures [K], and how it rises with u, [W/(m K)] and [W/(m K^2)]."""
        share, conductivity = self.per_heat(warm), np.interp(warm, self.temperature, self.conductivity)
        k = np.searchsorted(self.temperature, warm, side="right")
        rise = np.concatenate(([0.0], np.diff(self.conductivity) / np.diff(self.temperature), [0.0]))[k]
        found = conductivity * share
        return np.asarray(found), np.asarray((rise * share - found * share * self._rises[k]) * share)
