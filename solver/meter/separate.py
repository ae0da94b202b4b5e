"""Which further measurement tells two explanations apart: other frequencies, a longer run, another temperature."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray, IntArray

from .causes import OFFSET, PhysicalCause
from .diagnosis import Quantity, Separation, Way
from .fit import Fit, applied
from .reading import MeterReading

QUANTITIES: tuple[Quantity, Quantity] = ("R", "L")
CLEAR = 4.0  # standard uncertainties apart: enough to tell
TIMES = 4.0  # as long a run
WARMER = 50.0  # [K]
TINY = 1e-6


@dataclass(frozen=True, eq=False)
class Bench:
    """What can be measured again.

    Attributes
    ----------
    reading : MeterReading
    frequencies : (m,) float
        At which everything is calculated [Hz].
    warming : PhysicalCause or None
        What a higher temperature does to the section.
    """

    reading: MeterReading
    frequencies: FloatArray
    warming: PhysicalCause | None


def separation(bench: Bench, one: Fit, other: Fit) -> Separation | None:
    """The measurement at which two explanations differ most, the easiest first; None where none is clear.

    Parameters
    ----------
    bench : Bench
    one, other : Fit
    """
    found = list(_ways(bench, one, other))
    clear = [way for way in found if way.apart >= CLEAR]
    return clear[0] if clear else None


def _ways(bench: Bench, one: Fit, other: Fit) -> Iterator[Separation]:
    f, read = bench.frequencies, bench.reading
    outside: dict[Way, BoolArray] = {
        "lower frequency": f < read.frequencies[0], "higher frequency": f > read.frequencies[-1]
    }  # fmt: skip
    apart = one.impedance - other.impedance
    if (own := abs(_offset(one) - _offset(other))) > 0:
        noise = float(np.hypot(read.noise_resistance, read.noise_reactance).min())
        yield Separation("short", 0.0, "R", own / max(noise, TINY * own))
    for kind, rows in outside.items():
        if rows.any():
            number, quantity, by = _largest(apart[rows], _accuracy(bench, one.impedance)[:, rows])
            # the nearest frequency that is clear enough asks least of the meter
            place = _nearest(bench, one, apart, rows, kind) or float(f[rows][number])
            yield Separation(kind, place, quantity, by)
    inside = (f >= read.frequencies[0]) & (f <= read.frequencies[-1])
    longer = [_longer(fit) for fit in (one, other)]
    _, quantity, by = _largest((longer[0] - longer[1])[inside], _accuracy(bench, longer[0])[:, inside])
    yield Separation("longer run", TIMES * read.length, quantity, by)
    if bench.warming is not None:
        warm = [_warmer(fit, bench.warming) - fit.impedance for fit in (one, other)]
        _, quantity, by = _largest((warm[0] - warm[1])[inside], _accuracy(bench, warm[0])[:, inside])
        yield Separation("other temperature", read.temperature + WARMER, quantity, by)


def _nearest(bench: Bench, one: Fit, apart: ComplexArray, rows: BoolArray, kind: Way) -> float | None:
    """The frequency nearest to the band at which two are clearly apart."""
    accuracy = _accuracy(bench, one.impedance)
    clear = rows & ((np.abs(apart.real) > CLEAR * accuracy[0]) | (np.abs(apart.imag) > CLEAR * accuracy[1]))
    found = bench.frequencies[clear]
    return float(found.max() if kind == "lower frequency" else found.min()) if len(found) else None


def _largest(apart: ComplexArray, accuracy: FloatArray) -> tuple[int, Quantity, float]:
    """Where two curves are furthest apart in units of the accuracy, (2, m): row, quantity, by how much."""
    by = np.abs(np.array([apart.real, apart.imag])) / accuracy
    quantity, row = np.unravel_index(int(by.argmax()), by.shape)
    return int(row), QUANTITIES[int(quantity)], float(by.max())


def _accuracy(bench: Bench, z: ComplexArray) -> FloatArray:
    """Standard uncertainty of R and X that the meter would have, (2, m) [ohm]; beyond its band as at its ends."""
    read, row = bench.reading, _rows(bench)
    gain, angle, floor = (part[row] for part in (read.gain, read.angle, read.floor))
    share = np.hypot(read.noise_resistance, read.noise_reactance)[row] / np.abs(read.impedance)[row]
    noise = share * np.abs(z)
    parts = [(gain * z.real, angle * z.imag, floor, noise), (gain * z.imag, angle * z.real, floor, noise)]
    return np.array([np.sqrt(sum(np.asarray(p) ** 2 for p in row_)) for row_ in parts])


def _offset(fit: Fit) -> complex:
    """That a meter of unknown floor would show of a short [ohm]."""
    real, other = next((fit.values[fit.of(c)] for c in fit.causes if c.key == OFFSET), (0.0, 0.0))
    return complex(real, other)


def _rows(bench: Bench) -> IntArray:
    """The row of the reading that is nearest to every frequency, (m,)."""
    near = np.abs(np.subtract.outer(np.log(bench.frequencies), np.log(bench.reading.frequencies)))
    return np.asarray(near.argmin(axis=1))


def _longer(fit: Fit) -> ComplexArray:
    """The impedance of a run some times as long at the same ends."""
    return applied(fit.causes, fit.values, TIMES * fit.base)


def _warmer(fit: Fit, warming: PhysicalCause) -> ComplexArray:
    """The impedance with the metals of the section warmer."""
    return applied(fit.causes, fit.values, warming.effect(fit.base, np.array([WARMER])))
