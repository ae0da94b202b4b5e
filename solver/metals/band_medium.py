"""The medium of many strands over a band: a reluctivity that lags behind the field, as a sum of simple delays.

In a field that changes as exp(s t) the reluctivity of strands is nu(s) = 1 + sum d_k s / (s + w_k), with positive d_k
and w_k: strands only take energy. Between (nu - 1) / s and such a sum the values and slopes at a few real s fix a
small pair of positive matrices (A. J. Mayo and A. C. Antoulas, Linear Algebra and its Applications 425, 2007, from
memory), whose eigenvalues are the rates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache, partial

import numpy as np
import numpy.typing as npt
from scipy import linalg

from crosscurrent.geometries.arrays import ComplexArray, FloatArray

from .depth import MU0
from .from_few import from_few
from .strand_network import in_a_circle, places_edge
from .strand_rows import row_steps
from .strands import Medium, Strands, media, mediums, row_factors, row_spacing

SLOWEST = 2.405  # first zero of J_0: strands answer no slower than J_0(radius sqrt(-s mu0 sigma)) = 0
BELOW = 0.5  # of that rate: where the points begin
REST = 0.01  # of that rate: from there on they are looked at; below, the first terms of the series are all
MOST = 16  # points
FITTED = 1e-8  # wanted error of nu - 1 and of its imaginary part, relative
ALIKE = 1e-15  # part of the largest eigenvalue below which the matrices hold only rounding
WATCHED = 50  # frequencies
AROUND, TERMS = 0.5, 16  # radius of the circle that series are read off, over its middle; their terms
WITHIN = 5.5  # of 6: steps of rows at which their medium ends on the real axis
STEP = 1e-20  # in the imaginary direction: slopes without cancellation


@dataclass(frozen=True)
class BandMedium:
    """Strands in an outline over a band of frequencies.

    Attributes
    ----------
    strands : Strands
    area : float
        Of the outline [m2].
    conductivity : float
        [S/m]
    jumps, rates : tuple of float
        d_k and w_k [rad/s].
    error : float
        Largest relative error of nu - 1, or of its imaginary part, over the band.
    length : float
        That impedances are for: a metre of run, or the mean length of a turn [m].
    """

    strands: Strands
    area: float
    conductivity: float
    jumps: tuple[float, ...]
    rates: tuple[float, ...]
    error: float
    length: float = 1.0

    def over(self, frequency: FloatArray) -> tuple[ComplexArray, ComplexArray]:
        """Permeability and impedance [ohm] of its length at frequencies (m,) [Hz], both (m,)."""
        known = self._known(frequency)
        return known.permeability, known.impedance * self.length

    def smooth(self, frequency: FloatArray) -> tuple[ComplexArray, ComplexArray]:
        """The same of strands whose current is even within each one's cell, whatever their lay."""
        known = self._known(frequency)
        return known.smooth_permeability, known.smooth_impedance * self.length

    def edge(self, frequency: FloatArray) -> ComplexArray:
        """What the places of straight strands add to the impedance of its length, (m,) [ohm]."""
        return self._known(frequency).edge * self.length

    def alone(self, frequency: FloatArray) -> ComplexArray:
        """Of its length with nothing beside it, less the flux beyond its outline, a circle, (m,) [ohm]."""
        return self._known(frequency).alone * self.length

    def _known(self, frequency: FloatArray) -> _Known:
        return _known(self, np.asarray(frequency, dtype=float).tobytes())

    def at(self, frequency: float) -> Medium:
        """The medium itself at a frequency [Hz]."""
        return self.each(np.array([frequency]))[0]

    def each(self, frequency: FloatArray) -> tuple[Medium, ...]:
        """The same at frequencies (m,) [Hz]."""
        return _each(self, np.asarray(frequency, dtype=float).tobytes())

    def conducting(self, frequency: FloatArray) -> ComplexArray:
        """J over E of strands that share as the field asks, over that at rest, at frequencies (m,) [Hz], (m,)."""
        resting = self.strands.resistance(self.conductivity) * self.length
        return np.asarray(resting / self.over(frequency)[1])

    def driven(self, frequency: FloatArray) -> ComplexArray:
        """What a current drives in it beyond what it does at rest, (m,) [ohm]."""
        return self.over(frequency)[1] - self.at(0.0).resistance

    def sharing(self, rate: ComplexArray) -> tuple[ComplexArray, ComplexArray]:
        """Reluctivity and J over E, over that at rest, of strands that share as the field asks, at s (m,) [rad/s]."""
        return _sharing(self, np.asarray(rate, dtype=complex).tobytes())

    def series(self, rate: complex) -> tuple[ComplexArray, ComplexArray]:
        """Taylor's coefficients of that reluctivity and of s times that conductivity, by (s - rate) / rate, (k,)."""
        return _series(self, rate)

    def expands(self, rate: float) -> bool:
        """Whether such a series is that of the medium at frequencies too: at large real s rows have none."""
        return _expands(self, rate)

    @property
    def _apart(self) -> Strands:
        """Without the places they lie at, which the field in the bundle does not know of."""
        return replace(self.strands, gathered=False)

    def reluctivity(self, rate: npt.ArrayLike) -> ComplexArray:
        """nu(s) at some s [rad/s], relative."""
        s = np.asarray(rate, dtype=complex)[..., None]
        return np.asarray(1 + (np.array(self.jumps) * s / (s + np.array(self.rates))).sum(axis=-1))

    def with_conductivity(self, factor: float) -> BandMedium:
        """The same strands of a metal whose conductivity is multiplied by a factor: all rates are divided by it."""
        rates = tuple(w / factor for w in self.rates)
        return replace(self, conductivity=self.conductivity * factor, rates=rates)


@lru_cache(maxsize=128)  # every answer of a sweep asks for the same ones
def _each(found: BandMedium, frequency: bytes) -> tuple[Medium, ...]:
    every = mediums(found.strands, found.area, found.conductivity, np.frombuffer(frequency))
    return tuple(one.along(found.length) for one in every)


@lru_cache(maxsize=128)  # bundles alike share it, and every step of a model asks for the same ones
def _sharing(found: BandMedium, rate: bytes) -> tuple[ComplexArray, ComplexArray]:
    turned = np.frombuffer(rate, dtype=complex) / (2j * math.pi)
    smooth = media(found._apart, found.area, found.conductivity, turned)
    own = smooth.permeability, smooth.impedance
    softer, thicker = row_factors(found.strands, found.area, *own, turned)
    return 1 / (own[0] * softer), found.strands.resistance(found.conductivity) / (own[1] * thicker)


@lru_cache(maxsize=128)
def _expands(found: BandMedium, rate: float) -> bool:
    last = np.array([-1j * rate * (1 + AROUND) / (2 * math.pi)])
    smooth = media(found._apart, found.area, found.conductivity, last)
    steps = row_steps(smooth.permeability, smooth.impedance * found.area, row_spacing(found.strands, found.area), last)
    return bool(0 < steps[0].real < WITHIN)


@lru_cache(maxsize=128)  # bundles alike share it
def _series(found: BandMedium, rate: complex) -> tuple[ComplexArray, ComplexArray]:
    """From a circle around the rate, by Cauchy's integral."""
    s = rate * (1 + AROUND * np.exp(2j * np.pi * np.arange(2 * TERMS) / (2 * TERMS)))
    nu, c = found.sharing(s)
    scale = 2 * TERMS * AROUND ** np.arange(TERMS)
    first, second = (np.fft.fft(values)[:TERMS] / scale for values in (nu, s * c))
    return first, second


@dataclass(frozen=True, eq=False)
class _Known:
    """At some frequencies, (m,) each: smooth permeability and impedance, those in rows, edge, alone; a metre of run."""

    smooth_permeability: ComplexArray
    smooth_impedance: ComplexArray
    permeability: ComplexArray
    impedance: ComplexArray
    edge: ComplexArray
    alone: ComplexArray


@lru_cache(maxsize=128)  # every answer of a sweep asks for the same frequencies
def _known(found: BandMedium, frequency: bytes) -> _Known:
    return _Known(*from_few(partial(_solved, found), np.frombuffer(frequency)).T)


def _solved(found: BandMedium, frequency: FloatArray) -> ComplexArray:
    """The columns of `_Known`."""
    strands = found.strands
    smooth = media(strands, found.area, found.conductivity, frequency)
    own = smooth.permeability, smooth.impedance
    if not strands.given:
        softer, thicker = row_factors(strands, found.area, *own, frequency)
        own = own[0] * softer, own[1] * thicker
    edge = places_edge(smooth.network, *own, frequency)
    alone = in_a_circle(*own, frequency) + edge
    return np.column_stack((smooth.permeability, smooth.impedance, *own, edge, alone))


@lru_cache(maxsize=64)  # of equal bundles
def band_medium(strands: Strands, area: float, conductivity: float, high: float) -> BandMedium:
    """The medium of strands up to a frequency.

    Parameters
    ----------
    strands : Strands
    area : float
        Of the outline [m2].
    conductivity : float
        [S/m]
    high : float
        End of the band [Hz].

    Returns
    -------
    BandMedium
        With as many delays as an error of 1e-8 asks for: four up to a radius of two skins, seven to five. Beyond,
        rounding leaves 1e-7 at eight, 3e-6 at thirty. Infinite error: strands that do not fit. Strands that share as
        the field asks have none: rows are no sum of delays.

    Examples
    --------
    >>> found = band_medium(Strands(420, 1e-4), 6e-6, 58e6, 1e6)
    >>> exact = 1 / found.at(1e6).permeability
    >>> bool(abs(found.reluctivity(2j * math.pi * 1e6) - exact) < 1e-8 * abs(exact - 1))
    True
    """
    slowest = (2 * SLOWEST / strands.diameter) ** 2 / (MU0 * conductivity)
    last = max(slowest, 2 * math.pi * high)
    best = BandMedium(strands, area, conductivity, (), (), math.inf)
    if not strands.given:
        values = _values(strands, area, conductivity, np.geomspace(BELOW * slowest, 2 * last, MOST))
        return replace(best, error=0.0) if _can_be(*values) else best
    watched = np.geomspace(REST * slowest, last, WATCHED)
    exact = 1 / media(strands, area, conductivity, watched / (2 * math.pi)).permeability - 1
    for count in range(2, MOST + 1):
        points = np.geomspace(BELOW * slowest, 2 * last, count)
        value, slope = _values(strands, area, conductivity, points)
        if not _can_be(value, slope):
            break
        jumps, rates = _delays(value, slope, points)
        found = replace(best, jumps=tuple(jumps.tolist()), rates=tuple(rates.tolist()))
        off = found.reluctivity(1j * watched) - 1 - exact
        error = float(max((np.abs(off) / np.abs(exact)).max(), (np.abs(off.imag) / exact.imag).max()))
        if error < best.error:
            best = replace(found, error=error)
        if best.error <= FITTED:
            break
    return best


def _can_be(value: FloatArray, slope: FloatArray) -> bool:
    """Whether these are strands at all, (nu - 1) / s and its slope: not where they fill more than there is."""
    return bool((value > 0).all() and (slope < 0).all())


def _values(
    strands: Strands, area: float, conductivity: float, points: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """(nu - 1) / s and its slope at real s [1 / (rad/s)], both (k,)."""
    turned = -1j * points * (1 + 1j * STEP) / (2 * math.pi)
    nu = 1 / media(strands, area, conductivity, turned).permeability
    value = (nu.real - 1) / points
    return value, (nu.imag / STEP / points - value) / points


def _delays(value: FloatArray, slope: FloatArray, points: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Jumps and rates of the sum that has these values and slopes."""
    apart = points[:, None] - points + np.eye(len(points))
    mass = -(value[:, None] - value) / apart
    mass[np.diag_indices_from(mass)] = -slope
    moved = value * points
    stiffness = (moved[:, None] - moved) / apart
    stiffness[np.diag_indices_from(stiffness)] = value + points * slope
    scale = 1 / np.sqrt(np.diag(mass))
    size, axes = linalg.eigh(mass * np.outer(scale, scale))
    kept = size > ALIKE * size[-1]
    within = scale[:, None] * axes[:, kept] / np.sqrt(size[kept])
    rates, modes = linalg.eigh(within.T @ stiffness @ within)
    weight = (modes.T @ (within.T @ value)) ** 2
    found = (rates > 0) & (weight > 0)
    return weight[found], rates[found]
