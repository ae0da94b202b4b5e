"""A few causes fitted to the difference of a reading from what was calculated: weighted least squares with bounds."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import product

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray

from .causes import STAGES, PhysicalCause
from .uncertainty import Uncertainty, stacked

GIVEN_UP = 60  # steps of a fit
PRECISE = 1e-7
OF_SKIN = 0.5  # the depth of a skin goes with the root of a conductivity
INSIDE = 1e-3  # usual widths: how far from its bounds a search begins


@dataclass(frozen=True, eq=False)
class Differing:
    """What is to be explained.

    Attributes
    ----------
    frequencies : (m,) float
        Of the calculated impedance, rising [Hz]; more than were measured.
    calculated : (m,) complex
        Of the whole run [ohm].
    measured : (n,) complex
        [ohm]
    rows : (m,) bool
        Which of the frequencies were measured.
    uncertainty : Uncertainty
    """

    frequencies: FloatArray
    calculated: ComplexArray
    measured: ComplexArray
    rows: BoolArray
    uncertainty: Uncertainty

    def left(self, z: ComplexArray) -> FloatArray:
        """Measured less an impedance at all frequencies, whitened, (2 n,)."""
        return self.uncertainty.whitened(stacked(self.measured - z[self.rows]))


@dataclass(frozen=True, eq=False)
class Fit:
    """Causes with the amounts that explain most.

    Attributes
    ----------
    causes : tuple of PhysicalCause
        In the order in which they act.
    base : (m,) complex
        What they act on: the calculated impedance [ohm].
    values : (k,) float
        Their parameters.
    impedance : (m,) complex
        With them, at all frequencies [ohm].
    left : (2 n,) float
        What they leave, whitened.
    jacobian : (2 n, k) float
        Of what they leave, whitened, per usual width of each parameter.
    uncertainty : Uncertainty
        That of the difference, with what the shapes of the causes leave open.
    free : frozenset of str
        Keys of causes whose amounts may be anything within their bounds, usual or not.
    """

    causes: tuple[PhysicalCause, ...]
    base: ComplexArray
    values: FloatArray
    impedance: ComplexArray
    left: FloatArray
    jacobian: FloatArray
    uncertainty: Uncertainty
    free: frozenset[str] = frozenset()

    @property
    def keys(self) -> frozenset[str]:
        """Of its causes."""
        return frozenset(cause.key for cause in self.causes)

    @property
    def misfit(self) -> float:
        """Chi-square of what is left."""
        return float(self.left @ self.left)

    @property
    def freedom(self) -> int:
        """Degrees of freedom of the misfit."""
        return max(len(self.left) - len(self.values), 1)

    @cached_property
    def covariance(self) -> FloatArray:
        """Of the parameters, (k, k), in their own units; their usual widths, or bounds, count as known before."""
        width = _widths(self.causes)
        inner = np.diag(_before(self.causes, self.free)) + self.jacobian.T @ self.jacobian
        return np.asarray(np.linalg.inv(inner) * np.outer(width, width))

    @property
    def stretch(self) -> float:
        """What uncertainties grow by where the misfit is larger than they let expect, 1 where it is not.

        R. T. Birge, Phys. Rev. 40, 207-227, 1932 (the ratio of external to internal consistency), from memory.
        """
        return float(np.sqrt(max(1.0, self.misfit / self.freedom)))

    @property
    def surprise(self) -> float:
        """How unlikely what is left is, in the logarithm, beside a constant: half the misfit of noise that is stated.

        Noise that few rows told may be more or less than that. Its size averaged out by an inverse chi-square
        distribution with as many degrees of freedom, residuals are those of Student's t (A. Gelman et al., Bayesian
        Data Analysis, 3rd ed., 3.2, from memory): a misfit that is large for all says that the noise is larger.
        """
        known, rows = self.uncertainty.freedom, len(self.left)
        if math.isinf(known):
            return 0.5 * self.misfit
        return 0.5 * (known + rows) * math.log1p(self.misfit / known)

    @property
    def evidence(self) -> float:
        """Logarithm of how likely the reading is if it is these causes, over their usual widths (Laplace).

        D. J. C. MacKay, Neural Computation 4, 415-447, 1992, from memory: half the misfit, and a price for every
        parameter, half the logarithm of its usual width over what the fit leaves of it, squared.
        """
        inner = np.eye(len(self.values)) + self.jacobian.T @ self.jacobian
        usual = _usual(self.causes, self.values)
        fits = -self.surprise - self.uncertainty.size
        return float(fits - 0.5 * usual @ usual - 0.5 * np.linalg.slogdet(inner)[1])

    def of(self, cause: PhysicalCause) -> slice:
        """Where the parameters of one of its causes are."""
        first = sum(len(other.parameters) for other in self.causes[: self.causes.index(cause)])
        return slice(first, first + len(cause.parameters))

    def without(self, cause: PhysicalCause) -> ComplexArray:
        """The impedance with all of its causes but one, (m,) [ohm]."""
        others = [c for c in self.causes if c is not cause]
        kept = [self.values[self.of(c)] for c in others]
        return applied(others, np.concatenate(kept) if kept else np.empty(0), self.base)


def applied(causes: Sequence[PhysicalCause], values: FloatArray, z: ComplexArray) -> ComplexArray:
    """An impedance with causes, one after the other, (m,) [ohm]."""
    first = 0
    for cause in causes:
        z = cause.effect(z, values[first : first + len(cause.parameters)])
        first += len(cause.parameters)
    return z


def fitted(
    given: Differing, causes: Sequence[PhysicalCause], start: Fit | None = None, free: frozenset[str] = frozenset()
) -> Fit:  # fmt: skip
    """The amounts of causes that explain most.

    Parameters
    ----------
    given : Differing
    causes : sequence of PhysicalCause
        Any order; none for the bare difference.
    start : Fit, optional
        Where its causes begin; the others from all their starts.
    free : frozenset of str
        Keys of causes whose amounts may be anything within their bounds, usual or not.
    """
    ordered = tuple(sorted(causes, key=lambda c: STAGES.index(c.stage)))
    parameters = [p for cause in ordered for p in cause.parameters]
    if not parameters:
        z, nothing = given.calculated, np.empty((2 * len(given.measured), 0))
        return Fit((), z, np.empty(0), z, given.left(z), nothing, given.uncertainty)
    tried = [_searched(given, ordered, np.array(s), free) for s in product(*_starts(ordered, start))]
    best = min(tried, key=lambda f: f.misfit + float(np.sum(_usual(ordered, f.values, free) ** 2)))
    wrong = _shape_error(best)[given.rows]
    if not wrong.any():
        return best
    return _searched(replace(given, uncertainty=given.uncertainty.loosened(wrong)), ordered, best.values, free)


def _shape_error(found: Fit) -> FloatArray:
    """How far what causes add may be off, (m,) [ohm]: loose shapes, and roughness on another metal than stated."""
    square = on_another(found) ** 2
    for cause in found.causes:
        if cause.loose:
            square += (cause.loose * np.abs(found.impedance - found.without(cause))) ** 2
    return np.asarray(np.sqrt(square))


def on_another(found: Fit) -> FloatArray:
    """How far off what roughness adds may be beside metals and coats that it was not found for, (m,) [ohm]."""
    square = np.zeros(len(found.base))
    for cause in found.causes:
        if cause.stage == "surface":
            added = np.abs(found.impedance - found.without(cause))
            unknown = [other for other in found.causes if other.beneath and other.key not in cause.known]
            square += sum((added * _deeper(found, other)) ** 2 for other in unknown)
    return np.asarray(np.sqrt(square))


def _deeper(found: Fit, metal: PhysicalCause) -> float:
    """About how much a metal or a coat moves what a rough surface adds: as R where most, or as the skin in it."""
    values = found.values[found.of(metal)]
    moved = metal.effect(found.base, values)
    skin = OF_SKIN * abs(float(values[0])) if metal.parameters[0].logarithmic else 0.0
    return max(float(np.abs(np.log(moved.real / found.base.real)).max()), skin)


def _starts(causes: Sequence[PhysicalCause], start: Fit | None) -> Iterator[Sequence[float]]:
    """Of every parameter, where a search may begin."""
    begun = {} if start is None else {c.key: start.values[start.of(c)] for c in start.causes}
    for cause in causes:
        for k, one in enumerate(cause.parameters):
            yield one.starts if cause.key not in begun else (float(begun[cause.key][k]),)


def _searched(
    given: Differing, causes: tuple[PhysicalCause, ...], start: FloatArray, free: frozenset[str]
) -> Fit:  # fmt: skip
    from scipy.optimize import least_squares

    parameters = [p for cause in causes for p in cause.parameters]
    width = _widths(causes)
    low, high = (np.array([getattr(p, end) for p in parameters]) / width for end in ("lower", "upper"))

    def left(t: FloatArray) -> FloatArray:
        values = t * width
        return np.concatenate((given.left(applied(causes, values, given.calculated)), _usual(causes, values, free)))

    inside = np.clip(start / width, low + INSIDE, high - INSIDE)
    found = least_squares(left, inside, bounds=(low, high), xtol=PRECISE, ftol=PRECISE, max_nfev=GIVEN_UP)
    values = np.asarray(found.x * width)
    rows = 2 * len(given.measured)
    z = applied(causes, values, given.calculated)
    left_over, jacobian = np.asarray(found.fun[:rows]), np.asarray(found.jac)[:rows]
    return Fit(causes, given.calculated, values, z, left_over, jacobian, given.uncertainty, free)


def _widths(causes: Sequence[PhysicalCause]) -> FloatArray:
    return np.array([p.width for cause in causes for p in cause.parameters])


def _before(causes: Sequence[PhysicalCause], free: frozenset[str]) -> FloatArray:
    """What is known of parameters before, in inverse squares of their usual widths, (k,): of free ones the bounds."""
    bounds = [p.width * np.sqrt(12) / (p.upper - p.lower) for cause in causes for p in cause.parameters]
    return np.where(_amounts(causes, free), np.array(bounds) ** 2, 1.0)


def _amounts(causes: Sequence[PhysicalCause], of: frozenset[str]) -> BoolArray:
    """Which parameters are amounts of some causes, (k,)."""
    found = [k == 0 and cause.key in of for cause in causes for k in range(len(cause.parameters))]
    return np.array(found, dtype=bool)


def _usual(causes: Sequence[PhysicalCause], values: FloatArray, free: frozenset[str] = frozenset()) -> FloatArray:
    """Amounts over their usual widths, as residuals whose squares are the logarithm of a Cauchy distribution.

    Several widths are unusual, not impossible. Shapes, and amounts that are free, are as likely anywhere within their
    bounds.
    """
    held = _amounts(causes, frozenset(cause.key for cause in causes) - free)
    t = (values / _widths(causes))[held]
    return np.asarray(np.sign(t) * np.sqrt(2 * np.log1p(t**2)))
