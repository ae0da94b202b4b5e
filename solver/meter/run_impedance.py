"""The impedance of a whole run as the field solve has it, at the frequencies of a reading."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray, same
from crosscurrent.geometries.errors import MeshError
from crosscurrent.solver.band.evaluator import at_temperature
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.band.swept_slopes import swept_slopes
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import Progress, solve

SIGNAL = 0.01  # current of a meter: steel is at its initial permeability [A]
BY_ONE = 24  # frequencies that are solved for where no reduced model holds the band
LESS = 8.0  # how many times less a cubic spline is off with nodes twice as close: 16, and a margin of 2
FEW = 4  # solved frequencies up to which nothing tells what the spline is off
BANDS = 17  # frequencies at which slopes over toleranced figures are found
LOWER, HIGHER, PER_DECADE = 30.0, 4.0, 6  # how far beyond a reading is looked, and how closely
LOWEST = 1.0  # [Hz]


@dataclass(frozen=True, eq=False)
class RunImpedance:
    """What is calculated of a run, with what computing and tolerances leave open.

    Attributes
    ----------
    frequencies : (n,) float
        [Hz]
    impedance : (n,) complex
        Of the whole run [ohm].
    resistance_bar, reactance_bar : (n,) float
        Bounds on the error of computing [ohm].
    resistance_band, reactance_band : (n,) float
        How far tolerances move R and X to both sides [ohm]; 0 without any.
    resistance_spread, reactance_spread : (n,) float
        The standard uncertainty that they stand for [ohm].
    solved : int
        Frequencies that were solved one by one; 0 with a reduced model.
    sweep : Sweep or None
        That model, beyond the frequencies as well where one mesh can.
    """

    frequencies: FloatArray
    impedance: ComplexArray
    resistance_bar: FloatArray
    reactance_bar: FloatArray
    resistance_band: FloatArray
    reactance_band: FloatArray
    resistance_spread: FloatArray
    reactance_spread: FloatArray
    solved: int = 0
    sweep: Sweep | None = None

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    def at(self, frequencies: FloatArray) -> RunImpedance:
        """The same at some of its frequencies."""
        rows = np.isin(self.frequencies, frequencies)
        arrays = {f.name: getattr(self, f.name)[rows] for f in fields(self) if f.name not in ("solved", "sweep")}
        return replace(self, **arrays)

    @property
    def omega(self) -> FloatArray:
        """Angular frequencies, (n,) [rad/s]."""
        return np.asarray(2 * np.pi * self.frequencies)

    @property
    def inductance(self) -> FloatArray:
        """X / w, (n,) [H]."""
        return np.asarray(self.impedance.imag / self.omega)


@dataclass(frozen=True, eq=False)
class TolerancedFigure:
    """A figure with a tolerance.

    Attributes
    ----------
    change : callable
        The change of a solution by it, per unit.
    tolerance : float
        To both sides, in the same unit.
    """

    change: Callable[[Solution], Change]
    tolerance: float


def on_the_meter(problem: Problem, circuit: str, temperature: float) -> Problem:
    """The problem at one temperature [degC], with a meter's small current in one circuit and none in the others."""
    circuits = tuple(replace(c, current=SIGNAL if c.name == circuit else 0.0) for c in problem.circuits)
    return at_temperature(replace(problem, circuits=circuits), temperature)


def run_impedance(
    problem: Problem,
    frequencies: FloatArray,
    length: float,
    *,
    accuracy: float = 1e-3,
    toleranced: Sequence[TolerancedFigure] = (),
    bound: bool = True,
    progress: Progress | None = None,
) -> RunImpedance:
    """R and X of the one circuit that carries current, through one reduced model.

    Where none holds the band (rough surfaces, steel with a curve, straight lay) some frequencies are solved for, and
    the logarithms of R and L are splines between them.

    Parameters
    ----------
    problem : Problem
        As `on_the_meter` makes it.
    frequencies : (n,) float
        Rising, above 0 [Hz].
    length : float
        Of the run [m]; 1 round an axis.
    accuracy : float
        Wanted relative bound on the error of R.
    toleranced : sequence of TolerancedFigure
        They act apart from one another.
    bound : bool
        Tolerances are bounds, all of them at their worst in the band; else two standard deviations, and so is the band.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> rod = on_the_meter(alone(round_bar(0.010), 1.0), "feed", 20.0)
    >>> round(float(run_impedance(rod, np.array([50.0, 500.0]), 2.0).impedance[0].real * 1e3), 4)
    0.4398
    """
    circuit = next(c for c in problem.circuits if c.current)
    try:
        wide = sweep_beyond(problem, frequencies, accuracy, progress)
    except (SweepError, MeshError):
        return _one_by_one(problem, circuit, frequencies, length, accuracy, progress)
    found = wide.at([float(f) for f in frequencies])
    resistance, inductance = found.fine.resistance(circuit), found.fine.inductance(circuit)
    impedance = np.asarray(length * (resistance + 2j * np.pi * frequencies * inductance), dtype=complex)
    bars = found.circuit_errors(circuit)
    moved = _moved(found, circuit, frequencies, length, toleranced)
    band = [np.abs(one).sum(axis=0) if bound else np.sqrt((one**2).sum(axis=0)) for one in moved]
    spread = [np.sqrt((one**2).sum(axis=0) / (3 if bound else 4)) for one in moved]
    bars = bars[0] * np.abs(impedance.real), bars[1] * np.abs(impedance.imag)
    return replace(RunImpedance(frequencies, impedance, *bars, *band, *spread), sweep=wide)


def sweep_beyond(problem: Problem, frequencies: FloatArray, accuracy: float, progress: Progress | None) -> Sweep:
    """Over rising frequencies and further ones to both sides, where one mesh can; else over those alone.

    Raises
    ------
    SweepError
        No reduced model holds the frequencies.
    """
    low, high = max(frequencies[0] / LOWER, min(LOWEST, frequencies[0])), frequencies[-1] * HIGHER
    beyond = np.geomspace(low, high, 1 + round(PER_DECADE * np.log10(high / low)))
    beyond = beyond[(beyond < 0.99 * frequencies[0]) | (beyond > 1.01 * frequencies[-1])]
    try:
        return sweep(problem, np.union1d(frequencies, beyond).tolist(), accuracy=accuracy, progress=progress)
    except SweepError:
        return sweep(problem, frequencies.tolist(), accuracy=accuracy, progress=progress)


def _moved(
    found: Sweep, circuit: Circuit, frequencies: FloatArray, length: float, toleranced: Sequence[TolerancedFigure]
) -> tuple[FloatArray, FloatArray]:
    """What each tolerance does to R and X, both (tolerances, n) [ohm]."""
    if not toleranced:
        return np.zeros((1, len(frequencies))), np.zeros((1, len(frequencies)))
    some = np.unique(np.linspace(0, len(frequencies) - 1, BANDS).round().astype(int))
    fewer = found.at([float(f) for f in frequencies[some]])
    rates = swept_slopes(fewer, lambda solution: [one.change(solution) for one in toleranced])
    number = found.problem.circuits.index(circuit)
    widths = np.array([one.tolerance for one in toleranced])
    moved = []
    for rate, few, every in (
        (rates.resistance, fewer.fine.resistance(circuit), length * found.fine.resistance(circuit)),
        (rates.inductance, fewer.fine.inductance(circuit), length * found.fine.inductance(circuit)),
    ):
        shares = (widths * rate[:, :, number] / few[:, None]).T  # smooth, where R itself spans decades
        moved.append(np.array([_spline(frequencies[some], one, frequencies) for one in shares]) * every)
    return moved[0], 2 * np.pi * frequencies * moved[1]


def _one_by_one(
    problem: Problem, circuit: Circuit, frequencies: FloatArray, length: float, accuracy: float,
    progress: Progress | None,
) -> RunImpedance:  # fmt: skip
    """Between the frequencies that are solved for, splines of logarithms; of rough surfaces over smooth ones."""
    places = np.unique(np.linspace(0, len(frequencies) - 1, BY_ONE).round().astype(int))
    rows = []
    for number, k in enumerate(places):
        if progress:
            progress(f"frequency {number + 1} of {len(places)} measured", number / len(places))
        solution = solve(problem, float(frequencies[k]), accuracy=accuracy)
        bars = solution.circuit_errors(circuit)
        z = solution.fine.circuit(circuit) / circuit.current
        rows.append((z.real, solution.fine.inductance(circuit), *bars))
    solved, smooth = np.array(rows).T, _smooth(problem, circuit, frequencies, accuracy)
    few, at = frequencies[places], np.log(frequencies)
    parts = []
    for known, bar, easy in zip(solved[:2], solved[2:], smooth, strict=True):
        shares = np.log(known / easy[places])
        off = np.abs(_spline(few[::2], shares[::2], few) - shares) / LESS if len(few) > FEW else 0 * bar
        # the largest around: where a spline is off it is so on both sides
        around = np.fmax(off, np.fmax(np.roll(off, 1), np.roll(off, -1)))
        parts.append((easy * np.exp(_spline(few, shares, frequencies)), np.interp(at, np.log(few), bar + around)))
    (r, r_bar), (h, h_bar) = parts
    zero, x = np.zeros(len(frequencies)), 2 * np.pi * frequencies * h
    whole = np.asarray(length * (r + 1j * x), dtype=complex)
    bars_of_both = (length * r_bar * np.abs(r), length * h_bar * np.abs(x))
    return RunImpedance(frequencies, whole, *bars_of_both, zero, zero, zero, zero, len(places))


def _smooth(
    problem: Problem, circuit: Circuit, frequencies: FloatArray, accuracy: float
) -> tuple[FloatArray, FloatArray]:
    """R and L with smooth surfaces, from which rough ones differ little; 1 where there is no reduced model of that."""
    even = replace(problem, conductors=tuple(replace(c, roughness=0.0) for c in problem.conductors))
    try:
        found = sweep(even, [float(f) for f in frequencies], accuracy=accuracy)
    except (SweepError, MeshError):
        return np.ones(len(frequencies)), np.ones(len(frequencies))
    return found.fine.resistance(circuit), found.fine.inductance(circuit)


def _spline(places: FloatArray, values: FloatArray, frequencies: FloatArray) -> FloatArray:
    """Over the logarithm of frequency."""
    if len(places) < 3:
        return np.interp(np.log(frequencies), np.log(places), values)
    from scipy.interpolate import CubicSpline

    return np.asarray(CubicSpline(np.log(places), values)(np.log(frequencies)))
