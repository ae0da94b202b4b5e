"""A current that repeats but is no sine: its harmonics, what each of them costs, and what is left out.

Between its samples the current is taken as straight. Then its harmonics have a closed form, and its rms value and that
of its slope are exact, so that by Parseval's theorem the rest beyond any harmonic is known, not guessed.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..geometries.errors import CrosscurrentError
from ..geometries.outline import FloatArray
from ..solver.field import ComplexArray
from ..solver.flow import Flow
from ..solver.problem import Problem
from ..solver.response import Response
from ..solver.solve import solve
from ..solver.sweep import sweep

MOST = 500  # harmonics
FEW = 3  # frequencies that are solved one by one
TIMES = {"s": 1.0, "ms": 1e-3, "us": 1e-6, "ns": 1e-9}
TITLES = '"time [us], current [A]"'
CLOSE = 1e-6  # share of the period that counts as none
WHOLE = 0.75  # share of the period that samples must span
ALIKE = 0.02  # share of the range by which the first sample may differ one period later
CURRENTS = {"A": 1.0, "kA": 1e3, "mA": 1e-3}


class WaveformError(CrosscurrentError, ValueError):
    """Samples that are no period of a current.

    Parameters
    ----------
    where, expected, found, hint : str
        File and line; what was expected, what was found, what to do.
    """

    def __init__(self, where: str, expected: str, found: str, hint: str = "") -> None:
        self.where, self.expected, self.found, self.hint = where, expected, found, hint
        super().__init__(f"{where}: expected {expected}, found {found}{'; ' if hint else ''}{hint}")


@dataclass(frozen=True, eq=False)
class Spectrum:
    """A periodic current as direct current and sines.

    Attributes
    ----------
    frequency : (m,) float
        [Hz], rising; 0 for direct current.
    phasors : (m,) complex
        [A rms]; i(t) = Re sum sqrt(2) phasor exp(j w t), but the phasor itself at 0 Hz.
    rest : float
        Rms value of what is left out [A].
    steepness : float
        Rms value of its slope [A/s].
    """

    frequency: FloatArray
    phasors: ComplexArray
    rest: float = 0.0
    steepness: float = 0.0

    @property
    def rms(self) -> float:
        """Of the whole current [A]."""
        return float(np.sqrt((np.abs(self.phasors) ** 2).sum() + self.rest**2))

    def current(self, times: FloatArray) -> FloatArray:
        """At times (m,) [s], without what is left out [A]."""
        turning = np.exp(2j * np.pi * np.outer(times, self.frequency))
        return np.asarray((turning @ (np.where(self.frequency > 0, math.sqrt(2), 1.0) * self.phasors)).real)

    def delayed(self, phase: float) -> ComplexArray:
        """Phasors when the lowest harmonic is turned by a phase [rad] and the others with it, (m,)."""
        lowest = self.frequency[self.frequency > 0].min(initial=math.inf)
        return np.asarray(self.phasors * np.exp(1j * phase * self.frequency / lowest))


@dataclass(frozen=True, eq=False)
class Samples:
    """One period of a current, straight between samples and from the last to the first of the next period.

    Attributes
    ----------
    times, currents : (k,) float
        [s] rising, less than one period from first to last; [A].
    period : float
        [s]

    Examples
    --------
    >>> triangle = Samples(np.array([0.0, 0.25, 0.75]), np.array([0.0, 1.0, -1.0]), 1.0)
    >>> [round(float(abs(p)), 6) for p in triangle.spectrum(1e-3).phasors[:4]]  # 8 / (pi n)^2 / sqrt(2)
    [0.0, 0.573159, 0.0, 0.063684]
    """

    times: FloatArray
    currents: FloatArray
    period: float

    @cached_property
    def _closed(self) -> tuple[FloatArray, FloatArray]:
        """Times and currents with the first sample of the next period."""
        return np.append(self.times, self.times[0] + self.period), np.append(self.currents, self.currents[0])

    @property
    def rms(self) -> float:
        """[A]"""
        times, i = self._closed
        return float(np.sqrt((np.diff(times) * (i[:-1] ** 2 + i[:-1] * i[1:] + i[1:] ** 2)).sum() / 3 / self.period))

    @property
    def steepness(self) -> float:
        """Rms value of its slope [A/s]."""
        times, i = self._closed
        return float(np.sqrt((np.diff(i) ** 2 / np.diff(times)).sum() / self.period))

    def harmonic(self, order: int) -> complex:
        """Phasor of a harmonic [A rms]; of order 0 the mean [A]."""
        times, i = self._closed
        if order == 0:
            return complex(0.5 * (np.diff(times) * (i[:-1] + i[1:])).sum() / self.period)
        turning = 2j * np.pi * order / self.period
        corners = np.exp(-turning * times)
        slopes = np.diff(i) / np.diff(times)
        return complex(-math.sqrt(2) * (slopes * np.diff(corners)).sum() / (turning**2 * self.period))

    def spectrum(self, wanted: float) -> Spectrum:
        """As many harmonics as it takes for the rest to cost less than a share `wanted` of the loss, about.

        The loss of the rest is taken as if resistance rose with the root of the frequency; the bound that goes with
        the answers assumes no such thing.
        """
        omega, phasors = 2 * np.pi / self.period, [self.harmonic(0)]
        whole, left, slope = self.rms**2, self.rms**2 - abs(phasors[0]) ** 2, self.steepness**2
        for order in range(1, MOST + 1):
            phasors.append(self.harmonic(order))
            power = abs(phasors[-1]) ** 2
            left, slope = left - power, slope - (order * omega) ** 2 * power
            if math.sqrt(order) * slope <= wanted * whole * (order * omega) ** 2:
                break
        return Spectrum(
            np.arange(len(phasors)) / self.period, np.array(phasors), math.sqrt(max(left, 0)), math.sqrt(max(slope, 0))
        )


def read_samples(text: str, frequency: float, name: str = "the file") -> Samples:
    """One period of a current from a table of text.

    Parameters
    ----------
    text : str
        A line "time [us], current [A]" and rows of two numbers, separated by commas, semicolons or tabs; lines that
        begin with # are skipped. Units: s, ms, us, ns; A, kA, mA.
    frequency : float
        With which it repeats [Hz].
    name : str
        Of the file, for messages.

    Raises
    ------
    WaveformError
        Says in which line, what was expected and found, and what to do.

    Examples
    --------
    >>> found = read_samples("time [us], current [A]\\n0, 0\\n3, 10\\n6, 0\\n9, -10", 1 / 12e-6)
    >>> round(found.rms, 4)
    5.7735
    """
    lines = [(n, line.strip()) for n, line in enumerate(text.lstrip("\ufeff").splitlines(), 1)]
    lines = [(n, line) for n, line in lines if line and not line.startswith("#")]
    if not lines:
        raise WaveformError(name, f"a line {TITLES} and rows of numbers", "nothing")
    head, sign = lines[0][1], next((s for s in (";", "\t", ",") if s in lines[0][1]), ",")
    unit = _units(head, sign, f"{name}, line {lines[0][0]}")
    rows = np.array([_row(line, sign, f"{name}, line {n}") for n, line in lines[1:]]).reshape(-1, 2) * unit
    return _period(rows, [n for n, _ in lines[1:]], 1 / frequency, name)


def _units(head: str, sign: str, where: str) -> FloatArray:
    words = [cell.strip() for cell in head.split(sign)]
    found = []
    for word, wanted, known in zip([*words, "", ""][:2], ("time", "current"), (TIMES, CURRENTS), strict=True):
        title, _, unit = word.partition("[")
        if title.strip().lower() != wanted or unit.rstrip("] ") not in known:
            hint = f"units are {', '.join(TIMES)} and {', '.join(CURRENTS)}"
            raise WaveformError(where, f"the titles {TITLES}", f'"{head}"', hint)
        found.append(known[unit.rstrip("] ")])
    return np.array(found)


def _row(line: str, sign: str, where: str) -> tuple[float, float]:
    cells = [cell.strip() for cell in line.split(sign)]
    try:
        time, current = (float(cell) for cell in cells)
    except ValueError:
        comma = sign != "," and any("," in cell for cell in cells)
        hint = "write a decimal point" if comma else ""
        raise WaveformError(where, "two numbers, time and current", f'"{line}"', hint) from None
    if not (math.isfinite(time) and math.isfinite(current)):
        raise WaveformError(where, "two finite numbers", f'"{line}"', "leave the row out")
    return time, current


def _period(rows: FloatArray, lines: Sequence[int], period: float, name: str) -> Samples:
    if len(rows) < 3:
        raise WaveformError(name, "at least 3 samples of one period", str(len(rows)))
    times, currents = rows.T
    back = np.flatnonzero(np.diff(times) <= 0)
    if len(back):
        k = int(back[0]) + 1
        hint = "give a sudden edge the time it takes to rise"
        raise WaveformError(f"{name}, line {lines[k]}", f"a time after {times[k - 1]:.9g} s", f"{times[k]:.9g} s", hint)
    span = float(times[-1] - times[0])
    stated, found = f"period of {period:.6g} s (the stated frequency)", f"samples over {span:.6g} s"
    if span > period * (1 + CLOSE):
        hint = "leave out what is beyond one period or correct the frequency"
        raise WaveformError(name, f"one {stated}", found, hint)
    if span < WHOLE * period:
        raise WaveformError(name, f"a whole {stated}", found, "add the rest or correct the frequency")
    if span > period * (1 - CLOSE):  # the last sample is the first of the next period
        if abs(currents[-1] - currents[0]) > ALIKE * float(np.ptp(currents)):
            expected = f"the current of the first sample again, {currents[0]:.6g} A, one period later"
            hint = "a sudden edge needs the time it takes to rise"
            raise WaveformError(f"{name}, line {lines[-1]}", expected, f"{currents[-1]:.6g} A", hint)
        times, currents = times[:-1], currents[:-1]
    if not currents.any():
        raise WaveformError(name, "a current", "only zeros")
    return Samples(times, currents, period)


@dataclass(frozen=True, eq=False)
class HarmonicLoss:
    """What a current of many harmonics costs.

    Attributes
    ----------
    spectrum : Spectrum
    circuits : int
        That carry it.
    losses : (m, conductors) float
        Of every harmonic [W/m].
    errors : (m, conductors) float
        Bounds on their errors [W/m].
    rest : float
        What the harmonics left out cost at most [W/m].
    """

    spectrum: Spectrum
    circuits: int
    losses: FloatArray
    errors: FloatArray
    rest: float

    @property
    def total(self) -> float:
        """Of all conductors [W/m]."""
        return float(self.losses.sum())

    @property
    def error(self) -> float:
        """Bound on the error of the total, what is left out included [W/m]."""
        return float(self.errors.sum()) + self.rest

    @property
    def resistance(self) -> float:
        """Total loss over the square of the rms current, for each circuit that carries it [ohm/m]."""
        return self.total / (self.circuits * self.spectrum.rms**2)

    @property
    def shares(self) -> FloatArray:
        """Of every harmonic in the total, (m,)."""
        return np.asarray(self.losses.sum(axis=1) / self.total)


def harmonic_loss(
    problem: Problem, circuits: Sequence[str], spectrum: Spectrum, *, accuracy: float = 1e-3
) -> HarmonicLoss:
    """Losses of a current in some circuits, the others carrying none.

    Every circuit carries the same current, later by its own phase of the lowest harmonic, as the phases of a supply do.

    Parameters
    ----------
    problem : Problem
    circuits : sequence of str
    spectrum : Spectrum
    accuracy : float
        Wanted relative bound on the loss of each harmonic.

    Notes
    -----
    What is left out: no resistance of linear, smooth metals rises faster than the square of the frequency
    (solver.chain), so that beyond the last harmonic R(w) <= R(w_last) (w / w_last)^2, and the loss of the rest is at
    most R(w_last) / w_last^2 times the mean square of its slope.
    """
    order = np.argsort(spectrum.frequency)
    phases = {c.name: float(np.angle(c.current)) for c in problem.circuits}
    given = np.zeros((len(order), len(problem.circuits)), dtype=complex)
    for k, circuit in enumerate(problem.circuits):
        if circuit.name in circuits:
            given[:, k] = spectrum.delayed(phases[circuit.name])
    rough = any(c.roughness for c in problem.conductors)
    if rough or len(order) <= FEW:
        losses, errors = _one_by_one(problem, given, spectrum.frequency, accuracy)
    else:
        losses, errors = _swept(problem, given, spectrum.frequency, accuracy)
    rest = _rest(problem, circuits, spectrum, accuracy) if spectrum.steepness else 0.0
    return HarmonicLoss(spectrum, len(circuits), losses, errors, rest)


def _rest(problem: Problem, circuits: Sequence[str], spectrum: Spectrum, accuracy: float) -> float:
    """What is left out costs at most this, whatever its phases: with the sum of the circuits' own resistances [W/m]."""
    last = float(spectrum.frequency.max())
    units = [[float(c.name == name) + 0j for c in problem.circuits] for name in circuits]
    fields = solve(_with_currents(problem, np.array(units).sum(axis=0)), last, accuracy=10 * accuracy).fine.fields
    resistance = sum(Flow.of(_with_currents(problem, np.array(u)), fields).powers.real.sum() for u in units)
    return float(resistance) * len(circuits) * (spectrum.steepness / (2 * np.pi * last)) ** 2


def _with_currents(problem: Problem, currents: ComplexArray) -> Problem:
    circuits = tuple(replace(c, current=complex(i)) for c, i in zip(problem.circuits, currents, strict=True))
    return replace(problem, circuits=circuits)


def _one_by_one(
    problem: Problem, given: ComplexArray, frequency: FloatArray, accuracy: float
) -> tuple[FloatArray, FloatArray]:
    losses, errors = np.zeros((2, len(frequency), len(problem.conductors)))
    for k, f in enumerate(frequency):
        if given[k].any():
            solution = solve(_with_currents(problem, given[k]), float(f), accuracy=accuracy)
            losses[k], errors[k] = solution.fine.powers.real, solution.power_errors
    return losses, errors


def _swept(
    problem: Problem, given: ComplexArray, frequency: FloatArray, accuracy: float
) -> tuple[FloatArray, FloatArray]:
    strongest = int(np.abs(given).sum(axis=1).argmax())
    found = sweep(_with_currents(problem, given[strongest]), list(map(float, frequency)), accuracy=accuracy)
    fine, coarse = (_Driven(r.problem, r.model, r.frequency, given) for r in (found.fine, found.coarse))
    found = replace(found, fine=fine, coarse=coarse)
    return found.fine.losses, found.power_errors


@dataclass(frozen=True, eq=False)
class _Driven(Response):
    """A response to other currents at every frequency."""

    given: ComplexArray  # (m, circuits) [A rms]

    @property
    def drive(self) -> ComplexArray:
        """Current of every circuit, (m, circuits) [A rms]."""
        return self.given
