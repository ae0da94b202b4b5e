"""A reading over what is calculated for it: the difference, in units of what both leave open."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray, same

from .accuracy import UNIFORM
from .reading import MeterReading
from .run_impedance import RunImpedance

COVERED = 2.0  # standard uncertainties of a bar: 95 % of a normal distribution
FEWEST = 6  # rows from which scatter is told
SIDES = (1, 2, 3)  # neighbours on each side that foretell a row
LOW = 0.5  # over the root of the rows: the share by which the least of several is too low, 10 to 160 rows
KNOWN = 0.5  # degrees of freedom that a row tells the scatter with: normal noise then hardly ever is a misfit
CLEARLY = 20.0  # by how much another shape of noise must be likelier, in the logarithm: more than two such rows
SAID = 0.4  # of what a row says of the shape of noise: what its neighbours foretell wrongly they share with it
OUTLIER = 4.0  # standard deviations beyond which a row says no more of noise: a bend its neighbours do not follow
ROBUST = 1.4826  # standard deviation of a normal distribution over its median absolute deviation


@dataclass(frozen=True, eq=False)
class Overlay:
    """Measured beside calculated.

    Attributes
    ----------
    reading : MeterReading
    calculated : RunImpedance
        At the frequencies of the reading.
    """

    reading: MeterReading
    calculated: RunImpedance

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    @cached_property
    def resistance_uncertainty(self) -> FloatArray:
        """Of the difference of R: meter, computing and tolerances together, one standard uncertainty, (n,) [ohm]."""
        parts = (UNIFORM * self.calculated.resistance_bar, self.calculated.resistance_spread)
        return np.asarray(np.sqrt(self.reading.resistance_error**2 + sum(one**2 for one in parts)))

    @cached_property
    def reactance_uncertainty(self) -> FloatArray:
        """Of the difference of X, (n,) [ohm]."""
        parts = (UNIFORM * self.calculated.reactance_bar, self.calculated.reactance_spread)
        return np.asarray(np.sqrt(self.reading.reactance_error**2 + sum(one**2 for one in parts)))

    @cached_property
    def resistance_residual(self) -> FloatArray:
        """Measured less calculated R, in standard uncertainties of both, (n,)."""
        return np.asarray((self.reading.resistance - self.calculated.impedance.real) / self.resistance_uncertainty)

    @cached_property
    def reactance_residual(self) -> FloatArray:
        """The same of X, and so of L, (n,)."""
        return np.asarray((self.reading.reactance - self.calculated.impedance.imag) / self.reactance_uncertainty)

    @property
    def resistance_ratio(self) -> FloatArray:
        """Measured over calculated R, (n,)."""
        return np.asarray(self.reading.resistance / self.calculated.impedance.real)

    @property
    def reactance_ratio(self) -> FloatArray:
        """Measured over calculated X, (n,)."""
        return np.asarray(self.reading.reactance / self.calculated.impedance.imag)

    @property
    def resistance_within(self) -> BoolArray:
        """Where the difference of R is covered by both bars, (n,)."""
        return np.asarray(np.abs(self.resistance_residual) <= COVERED)

    @property
    def reactance_within(self) -> BoolArray:
        """Where the difference of X is covered by both bars, (n,)."""
        return np.asarray(np.abs(self.reactance_residual) <= COVERED)


def with_scatter(reading: MeterReading, calculated: RunImpedance) -> MeterReading:
    """A reading with the noise that its rows show: how far each is from the curve through its neighbours.

    What is looked at is the ratio to what was calculated, since that is smooth where R spans decades. The noise is
    taken to go with frequency as the bounds of the meter do, or as those without the floor where rows say so. What
    rows leave open of that, R and X each in proportion among it, is told beside it. With fewer than six rows none is
    told.

    Examples
    --------
    >>> from crosscurrent.solver.meter.run_impedance import RunImpedance
    >>> f, zero = np.geomspace(1e3, 1e6, 200), np.zeros(200)
    >>> noise = np.random.default_rng(1).normal(0, 2e-6, 200)
    >>> shown = MeterReading(frequencies=f, resistance=1e-3 + noise, reactance=zero + 1, gain=zero, angle=zero,
    ...     floor=zero + 1e-5, noise_resistance=zero, noise_reactance=zero, ranges=zero.astype(int), length=1.0)
    >>> known = RunImpedance(f, np.full(200, 1e-3 + 1j), *6 * (zero,))
    >>> round(float(with_scatter(shown, known).noise_resistance[0] * 1e6))
    2
    """
    if len(reading.frequencies) < FEWEST:
        return reading
    place, quiet = np.log(reading.frequencies), _quiet(reading)
    no_floor = replace(quiet, floor=0 * quiet.floor)
    noise, open_ = [], []
    for shown, known, key in (
        (reading.resistance, calculated.impedance.real, "resistance_error"),
        (reading.reactance, calculated.impedance.imag, "reactance_error"),
    ):
        whole, share = (getattr(one, key) for one in (quiet, no_floor))
        shapes = [unit for unit in (whole, share) if (unit > 0).all()] or [np.abs(reading.impedance)]
        over = np.abs(known)
        likeliest, mean = _scatter(place, shown / known, [unit / over for unit in shapes])
        noise.append(over * likeliest)
        open_.append(over * mean)
    told = replace(reading, noise_resistance=noise[0], noise_reactance=noise[1], noise_freedom=KNOWN * len(place))
    return replace(told, noise_open=np.concatenate(open_))


def _quiet(reading: MeterReading) -> MeterReading:
    zero = np.zeros(len(reading.frequencies))
    return replace(reading, noise_resistance=zero, noise_reactance=zero)


def _scatter(
    place: FloatArray, values: FloatArray, shapes: Sequence[FloatArray]
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """Standard deviation of independent noise on a smooth curve, which goes with the place as one of some shapes.

    The first of them unless another is far likelier: what a meter adds to a floor may be no noise at all. And the root
    of the mean of all variances, noise in proportion among them, by how likely each shape is: few rows do not tell one
    from another.
    """
    every = [*shapes, np.ones(len(place))]
    size, likely = np.array([_sized(place, values, shape) for shape in every]).T
    sizes = size[:, None] * np.array(every)
    if not size.all():
        return sizes[0] * 0, sizes[0] * 0
    own = likely[: len(shapes)]
    chosen = int(own.argmax()) if own.max() > own[0] + CLEARLY else 0
    share = np.exp(SAID * (likely - likely.max()))
    return np.asarray(sizes[chosen]), np.asarray(np.sqrt(share @ sizes**2 / share.sum()))


def _sized(place: FloatArray, values: FloatArray, unit: FloatArray) -> tuple[float, float]:
    """How large noise is in units that go with the place, and the logarithm of how likely it is to be of that shape.

    By the median of what neighbours foretell wrongly, on a line or a polynomial through more of them: the least, since
    a curve that bends more than they follow looks like noise; less what the least of them is too low by.
    """
    sides = [count for count in SIDES if len(place) >= 2 * count + FEWEST - 2]
    wrong = [_foretold_wrongly(place, values, unit, count) for count in sides]
    sizes = [float(ROBUST * np.median(off / error)) for off, error in wrong]
    (off, error), least = min(zip(wrong, sizes, strict=True), key=lambda pair: pair[1])
    if not least:
        return 0.0, math.inf
    apart = np.minimum(off / (least * error), OUTLIER)
    likely = -float(np.log(least * error).sum() + 0.5 * apart @ apart)
    return least / (1 - LOW / math.sqrt(len(place))) if len(sides) > 1 else least, likely / len(off) * len(place)


def _foretold_wrongly(
    place: FloatArray, values: FloatArray, unit: FloatArray, count: int
) -> tuple[FloatArray, FloatArray]:  # fmt: skip
    """How far polynomials through so many neighbours on each side miss, and what noise of one unit makes it."""
    missed, errors = [], []
    for row in range(count, len(place) - count):
        others = np.r_[row - count : row, row + 1 : row + count + 1]
        apart = place[others]
        share = np.array([np.prod((place[row] - np.delete(apart, k)) / (one - np.delete(apart, k)))
                          for k, one in enumerate(apart)])  # fmt: skip
        errors.append(np.hypot(unit[row], np.linalg.norm(share * unit[others])))
        missed.append(abs(values[row] - share @ values[others]))
    return np.array(missed), np.array(errors)


def leads_found(
    reading: MeterReading, calculated: RunImpedance, *, resistance: bool, inductance: bool
) -> tuple[MeterReading, tuple[tuple[float, float], tuple[float, float]]]:
    """A reading less the series resistance and inductance that bring it nearest to what was calculated.

    Means of the differences, weighed by 1 / u^2, not below 0. What the meter gets wrong may be alike at all
    frequencies: so the mean of its uncertainties is that of the amounts too, times Birge's ratio where they scatter
    more than that.

    Returns
    -------
    reading : MeterReading
    found : ((float, float), (float, float))
        The resistance with its standard uncertainty [ohm], the inductance with its own [H]; 0 where none is asked for.
    """
    omega, difference = reading.omega, reading.impedance - calculated.impedance
    r = _mean(difference.real, reading.resistance_error) if resistance else (0.0, 0.0)
    h = _mean(difference.imag / omega, reading.inductance_error) if inductance else (0.0, 0.0)
    less = replace(reading, resistance=reading.resistance - r[0], reactance=reading.reactance - omega * h[0])
    return less, (r, h)


def _mean(values: FloatArray, errors: FloatArray) -> tuple[float, float]:
    weight = 1 / np.maximum(errors, 1e-6 * errors.max(initial=1e-300)) ** 2
    mean, error = (float(np.average(one, weights=weight)) for one in (values, errors))
    ratio = float(np.sqrt(weight @ (values - mean) ** 2 / max(len(values) - 1, 1)))
    return max(mean, 0.0), error * max(ratio, 1.0)
