"""Metals that conduct better or worse all alike: the same run at another frequency, exactly.

With the conductivity of every metal s times as large the field at f is that at s f before: of smooth surfaces
Z(f) becomes Z(s f) / s. So neither slopes nor further solves are needed, however large s is, and what else is other
than stated goes along.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.region_metals import smooth_metals

from .causes import Parameter, PhysicalCause

ALIKE = 1e-9  # by which ratios of conductivities may differ
Factor = Callable[[float], float]


@dataclass(frozen=True, eq=False)
class KnownBand:
    """The impedance of a run as the case says it, so closely that a spline holds it.

    Attributes
    ----------
    frequencies : (k,) float
        Rising [Hz].
    impedance : (k,) complex
        [ohm]
    """

    frequencies: FloatArray
    impedance: ComplexArray

    def moved(self, frequencies: FloatArray, times: float) -> FloatArray:
        """ln Z at so many times frequencies over that at themselves, R and X, (n, 2); powers of f beyond the band."""
        place, by = np.log(frequencies), np.log(times)
        return np.asarray(self._at(place + by) - self._at(place))

    def _at(self, place: FloatArray) -> FloatArray:
        return _beyond(self._curve, self._place, place)

    @cached_property
    def _place(self) -> FloatArray:
        return np.asarray(np.log(self.frequencies))

    @cached_property
    def _curve(self) -> Callable[[FloatArray], FloatArray]:
        return _spline(self._place, self.impedance)


def _spline(place: FloatArray, z: ComplexArray) -> Callable[[FloatArray], FloatArray]:
    from scipy.interpolate import CubicSpline

    curve: Callable[[FloatArray], FloatArray] = CubicSpline(place, np.log(np.column_stack((z.real, z.imag))))
    return curve


def _beyond(curve: Callable[[FloatArray], FloatArray], known: FloatArray, place: FloatArray) -> FloatArray:
    """A curve, and at its ends the straight line that it ends with."""
    inside = np.clip(place, known[0], known[-1])
    steps = (curve(known[:2]), curve(known[-2:]))
    low, high = (np.diff(step, axis=0)[0] / (known[k + 1] - known[k]) for step, k in zip(steps, (0, -2), strict=True))
    past = (place - inside)[:, None]
    return np.asarray(curve(inside) + np.where(past < 0, low, high) * past)


def similar_cause(
    key: str, name: str, one: Parameter, times: Factor, band: KnownBand, calculated: tuple[FloatArray, ComplexArray]
) -> PhysicalCause:  # fmt: skip
    """All metals other than stated alike.

    Parameters
    ----------
    key, name : str
    one : Parameter
    times : callable
        From p to the factor of every conductivity.
    band : KnownBand
        Without any cause.
    calculated : ((m,) float, (m,) complex)
        The frequencies at which causes act [Hz], and the impedance there without any [ohm].

    Examples
    --------
    A thick wire, whose R and L go with the root of f:

    >>> f = np.geomspace(1e3, 1e6, 31)
    >>> z = (1 + 1j) * np.sqrt(f)
    >>> one = Parameter("conductivity", "S/m", 0.1, -1.0, 1.0, (0.0,), nominal=5e7, logarithmic=True)
    >>> cause = similar_cause("sigma", "conductivity", one, lambda p: float(np.exp(p)), KnownBand(f, z), (f, z))
    >>> (cause.effect(z, np.array([np.log(0.81)])) / z).round(6)[[0, 15, 30]].tolist()
    [(1.111111+0j), (1.111111+0j), (1.111111+0j)]
    """
    f, stated = calculated

    def effect(z: ComplexArray, p: FloatArray) -> ComplexArray:
        factor = times(float(p[0]))
        moved = band.moved(f, factor)
        if z is not stated:  # what acts before this, over what is stated: smooth, whatever the impedance does
            moved = moved + _carried(np.log(f), z, stated, np.log(factor))
        real, other = np.exp(moved).T / factor
        return np.asarray(z.real * real + 1j * z.imag * other)

    return PhysicalCause(key, name, "metal", (one,), effect)


def _carried(place: FloatArray, z: ComplexArray, stated: ComplexArray, by: float) -> FloatArray:
    from scipy.interpolate import CubicSpline

    over = np.column_stack((np.log(z.real / stated.real), np.log(z.imag / stated.imag)))
    curve = CubicSpline(place, over)
    return np.asarray(curve(np.clip(place + by, place[0], place[-1])) - over)


def common_factor(before: Problem, one: Parameter, after: Callable[[float], Problem | None]) -> Factor | None:
    """By how much all conductivities go with a figure: an exponential, or as resistivities do; None where they part.

    Parameters
    ----------
    before : Problem
    one : Parameter
        Of the figure.
    after : callable
        The problem with another amount of it.
    """
    if any(c.strands is not None or c.roughness for c in before.conductors):
        return None
    ratios = [_ratio(before, after(one.amount(p))) for p in (one.width, 2 * one.width)]
    if None in ratios:
        return None
    usual, twice = (float(r) for r in ratios if r is not None)
    if one.logarithmic:
        return _exponential if np.allclose(np.log((usual, twice)), (one.width, 2 * one.width), rtol=ALIKE) else None
    rate = (1 / usual - 1) / one.width
    held = abs(twice * (1 + 2 * one.width * rate) - 1) < ALIKE
    return (lambda p: 1 / (1 + rate * p)) if held else None


def _exponential(p: float) -> float:
    return float(np.exp(p))


def _ratio(before: Problem, after: Problem | None) -> float | None:
    """Of every conductivity after to that before; None where there is no one ratio."""
    if after is None:
        return None
    pairs = list(zip(smooth_metals(before), smooth_metals(after), strict=True))
    if any(a.permeability != b.permeability or a.magnetisation != b.magnetisation for a, b in pairs):
        return None
    found: Sequence[float] = [b.conductivity / a.conductivity for a, b in pairs if a.conductivity]
    if not found or max(found) - min(found) > ALIKE * max(found):
        return None
    return found[0]
