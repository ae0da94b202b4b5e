"""Steps in time of M dT/dt = f(T), stiff and mildly nonlinear: six stages, of fourth order, with an embedded third.

The tableau is the implicit half of ARK4(3)6L[2]SA: C. A. Kennedy and M. H. Carpenter, Applied Numerical Mathematics 44,
139, 2003 (from memory; the order conditions are checked in the tests). Its last stage is the step's end, so what f sums
to over the steps is what M T sums to, to the accuracy of the stages alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from scipy import sparse

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.solver.elements.factor import Solve, factorised

GAMMA = 0.25
STAGES = np.array(
    [
        [0, 0, 0, 0, 0, 0],
        [1 / 4, 1 / 4, 0, 0, 0, 0],
        [8611 / 62500, -1743 / 31250, 1 / 4, 0, 0, 0],
        [5012029 / 34652500, -654441 / 2922500, 174375 / 388108, 1 / 4, 0, 0],
        [15267082809 / 155376265600, -71443401 / 120774400, 730878875 / 902184768, 2285395 / 8070912, 1 / 4, 0],
        [82889 / 524892, 0, 15625 / 83664, 69875 / 102672, -2260 / 8211, 1 / 4],
    ]
)
EMBEDDED = np.array(
    [
        4586570599 / 29645900160, 0, 178811875 / 945068544, 814220225 / 1159782912,
        -3700637 / 11593932, 61727 / 225920,
    ]
)  # fmt: skip
TURNS = 12  # corrections of a stage; more, and the step is halved
EXACT, ROUNDED = 1e-12, 1e-10  # last correction of a stage, of T; one that rounding keeps from falling further
SAFE, SMALLEST, LARGEST = 0.9, 0.2, 4.0  # changes of the step
MOST = 20_000  # steps
KEPT = 0.1  # change of the step within which factors may stay


class StepsError(CrosscurrentError, ValueError):
    """Steps in time that do not arrive."""


@dataclass(frozen=True, eq=False)
class Rates:
    """What changes T.

    Attributes
    ----------
    mass : (n, n) sparse
    of : callable
        f(T), (n,), and terms of its sum that are counted up, (k,).
    slope : callable
        -df/dT, (n, n) sparse; need not be exact.
    beside : callable, optional
        What -df/dT has more, as an outer product of two (n,): what follows one mean of T everywhere.
    """

    mass: sparse.csc_array
    of: Callable[[FloatArray], tuple[FloatArray, FloatArray]]
    slope: Callable[[FloatArray], sparse.csc_array]
    beside: Callable[[FloatArray], tuple[FloatArray, FloatArray]] | None = None

    def solver(self, value: FloatArray, step: float) -> Solve:
        """A function that solves (M - step df/dT) x = b."""
        plain = factorised(sparse.csc_array(self.mass + step * self.slope(value)))
        if self.beside is None:
            return plain
        left, right = self.beside(value)
        across = plain(step * left)
        share = across / (1 + right @ across)  # J. Sherman and W. J. Morrison 1950

        def solve(b: FloatArray) -> FloatArray:
            found = plain(b)
            return np.asarray(found - share * (right @ found))

        return solve


@dataclass(frozen=True, eq=False)
class TimeSteps:
    """T at the ends of the steps.

    Attributes
    ----------
    time : (s,) float [s]
    value, rate : (s, n) float
        T and dT/dt.
    counted : (s, k) float
        Integrals of the terms up to there.
    """

    time: FloatArray
    value: FloatArray
    rate: FloatArray
    counted: FloatArray

    def at(self, time: FloatArray) -> FloatArray:
        """T at times (m,) by the cubic through ends and rates of each step, (m, n).

        Examples
        --------
        >>> ends = np.array([0.0, 2.0]), np.array([[0.0], [8.0]]), np.array([[0.0], [12.0]])
        >>> course = TimeSteps(*ends, np.zeros((2, 0)))
        >>> course.at(np.array([1.0, 2.0]))[:, 0].tolist()
        [1.0, 8.0]
        """
        k = np.clip(np.searchsorted(self.time, time, side="right") - 1, 0, len(self.time) - 2)
        step = self.time[k + 1] - self.time[k]
        s = (time - self.time[k]) / step
        begin, end = (1 + 2 * s) * (1 - s) ** 2, s**2 * (3 - 2 * s)
        first, last = s * (1 - s) ** 2 * step, s**2 * (s - 1) * step
        weights = ((begin, self.value[k]), (end, self.value[k + 1]), (first, self.rate[k]), (last, self.rate[k + 1]))
        return np.asarray(sum(w[:, None] * v for w, v in weights))


def followed(rates: Rates, start: FloatArray, duration: float, tolerance: float, first: float) -> TimeSteps:
    """T from a start on, each step's own error below a tolerance.

    Parameters
    ----------
    rates : Rates
    start : (n,) float
    duration, first : float
        Of the whole, and of the step to begin with [s].
    tolerance : float
        In units of T.

    Raises
    ------
    StepsError
        No step is small enough.
    """
    mass = factorised(rates.mass)
    slope, terms = rates.of(start)
    time, value = [0.0], [start]
    rate, counted = [mass(slope)], [np.zeros_like(terms)]
    step, stage, held = min(first, duration), _Step(rates), 0
    while time[-1] < duration:
        held += 1
        if held > MOST or step < 1e-12 * duration:
            reached = f"beyond {time[-1]:g} s"
            raise StepsError(f"the temperature cannot be followed {reached}; check powers and material data")
        step = min(step, duration - time[-1])
        tried = stage.step(value[-1], step, tolerance)
        if tried is None:
            step *= 0.5
            continue
        end, off, sums = tried
        if off <= 1.0:
            time.append(duration if duration - time[-1] - step < 1e-12 * duration else time[-1] + step)
            value.append(end)
            counted.append(counted[-1] + sums)
            rate.append(mass(rates.of(end)[0]))
        change = float(np.clip(SAFE * max(off, 1e-12) ** -0.25, SMALLEST, LARGEST))
        step *= change if not 1 - KEPT < change < 1 + 4 * KEPT or off > 1 else 1.0
    return TimeSteps(np.array(time), np.array(value), np.array(rate), np.array(counted))


@dataclass(eq=False)
class _Step:
    """One step, with the factors that it shares with the last."""

    rates: Rates

    def step(self, begin: FloatArray, step: float, tolerance: float) -> tuple[FloatArray, float, FloatArray] | None:
        """End, error over the tolerance and the counted terms of a step; None where a stage is not found."""
        solve = self.rates.solver(begin, GAMMA * step)
        first, counted = self.rates.of(begin)
        slopes, terms = [first], [counted]
        found = begin
        for k in range(1, len(STAGES)):
            known = step * sum(a * f for a, f in zip(STAGES[k], slopes, strict=False))
            stage = self._found(begin, found, known, step, solve)
            if stage is None:
                return None
            found, slope, counted = stage
            slopes.append(slope)
            terms.append(counted)
        off = solve(step * sum((b - e) * f for b, e, f in zip(STAGES[-1], EMBEDDED, slopes, strict=True)))
        sums = step * sum(b * t for b, t in zip(STAGES[-1], terms, strict=True))
        return found, float(np.abs(off).max()) / tolerance, np.asarray(sums)

    def _found(
        self, begin: FloatArray, guess: FloatArray, known: FloatArray, step: float, solve: Solve
    ) -> tuple[FloatArray, FloatArray, FloatArray] | None:
        """T of one stage, f and the terms there; f from what T does, since T itself would make rounding large in it."""
        found, last = guess, np.inf
        for _ in range(TURNS):
            change = solve(known + GAMMA * step * self.rates.of(found)[0] - self.rates.mass @ (found - begin))
            found = found + change
            size, scale = float(np.abs(change).max()), float(np.abs(found).max())
            if size <= EXACT * scale or 0.5 * last < size <= ROUNDED * scale:
                return found, (self.rates.mass @ (found - begin) - known) / (GAMMA * step), self.rates.of(found)[1]
            if not size <= 2 * last:
                return None
            last = size
        return None
