"""What a case says of a run over the frequencies of a reading and beyond, with the causes that lie in its section."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, ComplexArray, FloatArray, same
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.band.swept_slopes import swept_slopes
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.slopes import sloped
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import Progress

from .causes import Parameter, PhysicalCause, offset, outside_causes
from .diagnose import BAR, Calculated
from .reach import reach
from .reading import MeterReading
from .rough_surfaces import (
    GroupSurface,
    carried,
    group_surfaces,
    rough_cause_of,
    rough_causes,
    roughened,
    with_roughness,
)
from .run_impedance import LOWER, LOWEST, sweep_beyond
from .section_causes import Bend, SectionCause
from .similar_metals import Factor, KnownBand, common_factor, similar_cause
from .uncertainty import Uncertainty, stacked

ALIKE = 0.9999  # cosine of two shapes that no meter tells apart
BELOW = 3.0  # times lower than the band: slopes further down are as there
SLIGHT = 1e-4  # usual widths: a move by which shapes are told
SEEN = 2.0  # standard uncertainties: figures that do less at their usual width are not tried
MOST = 8  # figures of the section that are tried
TEMPERATURE = "temperature"
COLDER, WARMER, USUAL = -80.0, 200.0, 15.0  # [K] from the stated temperature: bounds and usual width
STEP = 1e-3  # [K]
CLOSELY = 12  # frequencies a decade from which a spline holds what is calculated


@dataclass(frozen=True, eq=False)
class Figure:
    """A figure of the section that may be other than stated.

    Attributes
    ----------
    key, name : str
    parameter : Parameter
    change : callable
        A problem a hair apart from that of a solution, per unit of the figure.
    """

    key: str
    name: str
    parameter: Parameter
    change: Callable[[Solution], Change]


@dataclass(frozen=True, eq=False)
class RunOnBench:
    """What hangs on the meter, as the case says it.

    Attributes
    ----------
    problem : Problem
        At the temperature of the measurement, with current in one circuit only.
    circuit : Circuit
        That circuit.
    length : float
        That was measured [m].
    figures : tuple of Figure
    varied : callable
        The problem with other figures, by key, in SI units; None where they make no sound section.
    accuracy : float
        Wanted relative bound on the error of R.
    allowed : float
        For joints, already taken off the reading [ohm].
    """

    problem: Problem
    circuit: Circuit
    length: float
    figures: tuple[Figure, ...]
    varied: Callable[[Mapping[str, float]], Problem | None]
    accuracy: float = 1e-3
    allowed: float = 0.0


def calculated(
    run: RunOnBench, reading: MeterReading, progress: Progress | None = None, *, known: Sweep | None = None
) -> Calculated:  # fmt: skip
    """The impedance of a run with everything that may be wrong with it, for the price of two sweeps.

    Parameters
    ----------
    run : RunOnBench
    reading : MeterReading
    progress : callable, optional
    known : Sweep, optional
        Of its problem with smooth surfaces, the frequencies of the reading among others.

    Raises
    ------
    SweepError
        No reduced model holds the band of the reading.
    """
    found = _swept(run, reading, known, progress)
    f, omega = found.frequency, 2 * np.pi * found.frequency
    groups = _surfaces(run)
    figures, alike = _parted(run, reading, f)
    inside = (f >= reading.frequencies[0]) & (f <= reading.frequencies[-1])
    rates = None
    if sloped(run.problem):
        rates = _rates(run, found, f >= reading.frequencies[0] / BELOW, lambda s: _changes(figures, groups, s))
    surfaces = group_surfaces(run.length, groups, rates, f, len(figures)) if rates is not None else ()
    smooth = _impedance(run, found)
    z, open_ = with_roughness(smooth, surfaces)
    bars = [bar * np.abs(part) for bar, part in zip(found.circuit_errors(run.circuit), (z.real, z.imag), strict=True)]

    anew = _Anew(run, f, inside, smooth, surfaces, progress)

    inner = [*_section_causes(figures, rates, run, z, omega, anew.solved), *_similar(run, alike, found, z)]
    warming = next((one for one in inner if one.key == TEMPERATURE), None)
    rough = rough_causes(surfaces, z, anew.rough)
    band = (float(reading.frequencies[0]), float(reading.frequencies[-1]))
    kept = _worth_trying(inner, reading, f, z, bars)
    causes = (*kept, *rough, *outside_causes(f, z, band, reach(found), run.allowed))
    if not reading.floor_stated:
        causes = (*causes, offset(float(np.abs(reading.impedance).min())))
    return Calculated(f, z, bars[0] + open_, bars[1] + open_, causes, anew.solved, warming)


@dataclass(frozen=True, eq=False)
class _Anew:
    """The run with other figures of the section, solved for when first asked.

    Attributes
    ----------
    run : RunOnBench
    f : (m,) float
        [Hz]
    inside : (m,) bool
        Those that are solved for.
    smooth : (m,) complex
        As stated, but for roughness [ohm].
    surfaces : tuple of GroupSurface
        As stated.
    progress : callable or None
    """

    run: RunOnBench
    f: FloatArray
    inside: BoolArray
    smooth: ComplexArray
    surfaces: tuple[GroupSurface, ...]
    progress: Progress | None
    _made: dict[tuple[tuple[str, float], ...], tuple[ComplexArray, tuple[GroupSurface, ...]] | None] = field(
        default_factory=dict
    )

    def solved(self, values: Mapping[str, float]) -> ComplexArray | None:
        """The impedance, with the roughness that is stated [ohm]; None where it cannot be made."""
        found = self._of(values)
        return None if found is None else found[0]

    def rough(self, values: Mapping[str, float]) -> PhysicalCause | None:
        """Surfaces that are rougher than stated, of the coats and metals that are there."""
        found = self._of(values)
        if found is None:
            return None
        return rough_cause_of(found[1], found[0], self.rough, frozenset(values))

    def _of(self, values: Mapping[str, float]) -> tuple[ComplexArray, tuple[GroupSurface, ...]] | None:
        key = tuple(sorted(values.items()))
        if key not in self._made:
            self._made[key] = self._solve(values)
        return self._made[key]

    def _solve(self, values: Mapping[str, float]) -> tuple[ComplexArray, tuple[GroupSurface, ...]] | None:
        other = _problem(self.run, values)
        if other is None:
            return None
        try:
            again = sweep(
                _smooth(other), self.f[self.inside].tolist(), accuracy=self.run.accuracy, progress=self.progress
            )
        except CrosscurrentError:
            return None
        z = _as_far(self.f, self.inside, self.smooth, _impedance(self.run, again))
        by_name = {conductor.name: conductor for conductor in other.conductors}
        over = z.real / self.smooth.real
        moved = tuple(carried(one, by_name[one.of.name], self.f, over) for one in self.surfaces)
        return with_roughness(z, moved)[0], moved


def _parted(
    run: RunOnBench, reading: MeterReading, f: FloatArray
) -> tuple[tuple[Figure, ...], tuple[tuple[Figure, Factor], ...]]:
    """The figures that need slopes, and those that make all metals conduct better or worse alike, where that helps."""
    figures = (*run.figures, _temperature(run))
    found, alike = [], []
    for one in figures:
        metal = one.key == TEMPERATURE or one.parameter.unit == "S/m"
        # what lies below the band is asked for: a poorer metal is the run at a lower frequency
        known = metal and f[0] <= 1.01 * max(reading.frequencies[0] / LOWER, LOWEST)
        other = partial(_with, run, one.key)
        times = common_factor(run.problem, one.parameter, other) if known else None
        if times is None:
            found.append(one)
        else:
            alike.append((one, times))
    return tuple(found), tuple(alike)


def _with(run: RunOnBench, key: str, amount: float) -> Problem | None:
    return _problem(run, {key: amount})


def _similar(
    run: RunOnBench, alike: Sequence[tuple[Figure, Factor]], found: Sweep, z: ComplexArray
) -> list[PhysicalCause]:  # fmt: skip
    if not alike:
        return []
    f = found.frequency
    closely = np.geomspace(f[0], f[-1], 1 + round(CLOSELY * np.log10(f[-1] / f[0])))
    closely[[0, -1]] = f[[0, -1]]
    band = KnownBand(closely, _impedance(run, found.at(closely.tolist())))
    return [similar_cause(one.key, one.name, one.parameter, times, band, (f, z)) for one, times in alike]


def _swept(run: RunOnBench, reading: MeterReading, known: Sweep | None, progress: Progress | None) -> Sweep:
    """At the frequencies of the reading, and beyond them."""
    inside = reading.frequencies
    if known is None:
        return sweep_beyond(_smooth(run.problem), inside, run.accuracy, progress)
    f = known.frequency
    return known.at(f[np.isin(f, inside) | (f < inside[0]) | (f > inside[-1])].tolist())


def _impedance(run: RunOnBench, found: Sweep) -> ComplexArray:
    """Of the whole run, (m,) [ohm]."""
    circuit = next(c for c in found.problem.circuits if c.name == run.circuit.name)
    per_metre = found.fine.resistance(circuit) + 2j * np.pi * found.frequency * found.fine.inductance(circuit)
    return np.asarray(run.length * per_metre)


def _rates(
    run: RunOnBench, found: Sweep, some: BoolArray, changes: Callable[[Solution], Sequence[Change]]
) -> FloatArray:
    """How R and L move with each change, (2, m, changes) [ohm/m], [H/m] per unit: below some frequencies as there."""
    f = found.frequency
    own, row = found.at(f[some].tolist()), _row(run)
    slopes, rates = swept_slopes(own, changes), []
    for rate, what in ((slopes.resistance, "resistance"), (slopes.inductance, "inductance")):
        few, every = (getattr(one.fine, what)(one.problem.circuits[row]) for one in (own, found))
        shares = (rate[:, :, row] / few[:, None]).T
        rates.append([np.interp(np.log(f), np.log(f[some]), one) * every for one in shares])
    return np.array(rates).transpose(0, 2, 1)


def _as_far(f: FloatArray, inside: BoolArray, before: ComplexArray, after: ComplexArray) -> ComplexArray:
    """An impedance that is known inside a band, by its ratio to another beyond: at the ends R and X are powers of f."""
    at, rows = np.log(f), np.log(f[inside])
    ratios = (after.real / before.real[inside], after.imag / before.imag[inside])
    real, other = (np.exp(np.interp(at, rows, np.log(one))) for one in ratios)
    return np.asarray(before.real * real + 1j * before.imag * other)


def _smooth(problem: Problem) -> Problem:
    return replace(problem, conductors=tuple(replace(c, roughness=0.0) for c in problem.conductors))


def _problem(run: RunOnBench, values: Mapping[str, float]) -> Problem | None:
    """With other figures, the temperature of all metals among them."""
    others = {key: value for key, value in values.items() if key != TEMPERATURE}
    problem = run.varied(others) if others else run.problem
    if problem is None or TEMPERATURE not in values:
        return problem
    return _warmer(problem, values[TEMPERATURE] - run.problem.conductors[0].temperature)


def _warmer(problem: Problem, by: float) -> Problem:
    return replace(problem, conductors=tuple(replace(c, temperature=c.temperature + by) for c in problem.conductors))


def _temperature(run: RunOnBench) -> Figure:
    """Of all metals together."""
    stated = run.problem.conductors[0].temperature
    one = Parameter("temperature", "degC", USUAL, COLDER, WARMER, (0.0,), nominal=stated)
    return Figure(
        TEMPERATURE, "temperature", one, lambda s: Change(TEMPERATURE, _warmer(s.problem, STEP), STEP)
    )  # fmt: skip


def _surfaces(run: RunOnBench) -> tuple[tuple[Conductor, ...], ...]:
    """The conductors of the circuit whose surfaces are alike, group by group."""
    groups: dict[tuple[object, ...], list[Conductor]] = {}
    for conductor in run.problem.conductors:
        if conductor.name in run.circuit.members and conductor.strands is None:
            coats = (*conductor.part.coats, *(m.name for m in conductor.all_metals))
            groups.setdefault((*coats, conductor.temperature, conductor.roughness), []).append(conductor)
    return tuple(map(tuple, groups.values()))


def _changes(
    figures: Sequence[Figure], groups: Sequence[Sequence[Conductor]], solution: Solution
) -> list[Change]:  # fmt: skip
    return [*(one.change(solution) for one in figures), *(roughened(solution, some) for some in groups)]


def _row(run: RunOnBench) -> int:
    return [c.name for c in run.problem.circuits].index(run.circuit.name)


def _section_causes(
    figures: Sequence[Figure], rates: FloatArray | None, run: RunOnBench, z: ComplexArray, omega: FloatArray,
    solved: Callable[[Mapping[str, float]], ComplexArray | None],
) -> list[SectionCause]:  # fmt: skip
    found = []
    for number, figure in enumerate(figures):
        one = figure.parameter
        if rates is not None:
            per = run.length * (one.nominal if one.logarithmic else 1.0)
            real, other = rates[:, :, number]
            bend = Bend.of_slopes(per * real / z.real, per * omega * other / z.imag)
        else:
            exact = solved({figure.key: one.amount(one.width)})
            if exact is None:
                continue
            bend = Bend.of_slopes(np.log(exact.real / z.real) / one.width, np.log(exact.imag / z.imag) / one.width)
        found.append(SectionCause.of(figure.key, figure.name, one, bend, beneath=_beneath(run, figure)))
    return found


def _beneath(run: RunOnBench, figure: Figure) -> bool:
    """Whether a figure is one of a coat, or of a metal: it leaves all outlines where they are."""
    other = _with(run, figure.key, figure.parameter.amount(figure.parameter.width))
    if other is None:
        return False
    parts = [(one.part, moved.part) for one, moved in zip(run.problem.conductors, other.conductors, strict=True)]
    coated = any((one.coats, one.bore_coats) != (moved.coats, moved.bore_coats) for one, moved in parts)
    return coated or all(same(one.all_outlines, moved.all_outlines) for one, moved in parts)


def _worth_trying(
    found: Sequence[PhysicalCause], reading: MeterReading, f: FloatArray, z: ComplexArray, bars: Sequence[FloatArray]
) -> tuple[PhysicalCause, ...]:  # fmt: skip
    """Those that the meter can see at their usual width, like ones together, the most visible first come."""
    rows = np.isin(f, reading.frequencies)
    uncertainty = Uncertainty.of(reading, bars[0][rows] / BAR, bars[1][rows] / BAR)
    shapes = {one.key: _shape(one, z)[np.tile(rows, 2)] for one in found}
    groups: list[list[PhysicalCause]] = []
    for one in found:
        group = next((some for some in groups if _cosine(shapes[some[0].key], shapes[one.key]) > ALIKE), None)
        if group is None:
            groups.append([one])
        else:
            group.append(one)

    def seen(one: PhysicalCause) -> float:
        moved = one.effect(z, np.array([one.parameters[0].width])) - z
        return float(np.linalg.norm(uncertainty.whitened(stacked(moved[rows]))))

    sizes = [seen(some[0]) for some in groups]
    last = sorted(sizes, reverse=True)[:MOST][-1] if sizes else 0.0
    return tuple(
        replace(some[0], alike=tuple(some[1:]))
        for some, size in zip(groups, sizes, strict=True)
        if size >= max(SEEN, last)
    )


def _shape(one: PhysicalCause, z: ComplexArray) -> FloatArray:
    """How the logarithms of R and X begin to move with a cause, (2 m,)."""
    little = SLIGHT * one.parameters[0].width
    moved = one.effect(z, np.array([little]))
    return np.concatenate((np.log(moved.real / z.real), np.log(moved.imag / z.imag))) / little


def _cosine(a: FloatArray, b: FloatArray) -> float:
    """How alike two shapes are, 1 where they are the same but for their size."""
    size = float(np.linalg.norm(a) * np.linalg.norm(b))
    return abs(float(a @ b)) / size if size else 0.0
