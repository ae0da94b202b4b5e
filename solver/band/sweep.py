"""Solve a problem over a band of frequencies: one mesh, a reduced model, and one of the order below for its bars."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, same
from crosscurrent.solver.elements.factor import one_thread
from crosscurrent.solver.field.bars import (
    FLOOR,
    circuit_bars,
    counted,
    force_bars,
    power_bars,
    relative_bars,
    worst_bar,
)
from crosscurrent.solver.field.circuits import terminal_weights
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.field_warning import FieldWarning
from crosscurrent.solver.field.indicator import hidden_at_corners, indicators, left_at_corners
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.region_metals import any_magnetic, smooth_metals
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import FIRST, LARGEST, Progress
from crosscurrent.solver.field.strand_bars import edge_share, sharing_losses, strand_inductances
from crosscurrent.solver.metals.band_medium import BandMedium

from .band_mesh import band_mesh, finer_mesh
from .krylov import RationalKrylov, SweepError
from .obstacle import obstacle
from .passes import first_shift_basis, pencil_for, reduced
from .ports import Ports, ports_of
from .reduced import Reduced
from .response import Response

# of the reduced model, on R and L; the loss of one conductor is off by up to twice the square root of it
FINEST, COARSEST = 1e-11, 4e-10
LOSSES = 1e-6  # how far that loss may still move
COMPARED = 1e-8  # the same, of the model it is compared with
SMOOTHED = 4  # steps by which the cheap comparison is made closer
AIM = 0.7  # share of the wanted bound that the refinement goes for at the frequencies it is done at
SPENT = 0.9  # share that the mesh may take before it is refined
ATTEMPTS = 4  # reduced models of the whole band
STEPS = 60  # meshes
ONE_SHIFT = 1.4  # how much wider the basis of one shift makes the bars of a section with bundles: measured, 1.9
TOLD = 1e-5  # error of the medium of bundles over the band: far below what their edge leaves open


@dataclass(frozen=True, eq=False, repr=False)
class Sweep:
    """Answers at many frequencies, with what the mesh and the reduced model may miss in every bar.

    Attributes
    ----------
    problem : Problem
    frequency : (m,) float
        [Hz]
    fine, coarse : Response
        At the order of the answers, and at the next lower one on the same mesh.
    refinements : int
        Meshes tried beyond the first.
    wanted : float
        Relative bound asked for.
    """

    problem: Problem
    frequency: FloatArray
    fine: Response
    coarse: Response
    refinements: int
    wanted: float

    def __repr__(self) -> str:
        ends = f"{self.frequency[0]:g} to {self.frequency[-1]:g} Hz"
        return f"<Sweep over {len(self.frequency)} frequencies from {ends} of {self.problem!r}>"

    def __eq__(self, other: object) -> bool:
        return same(self, other)

    __hash__ = None  # type: ignore[assignment]

    @cached_property
    def power_errors(self) -> FloatArray:
        """Bound on the error of every conductor's loss, (m, conductors) [W/m]; strands' edges included."""
        return np.asarray(self.mesh_errors + self._strand_losses)

    @cached_property
    def _strand_losses(self) -> FloatArray:
        """The part of bundles, which no mesh lessens, (m, conductors) [W/m]."""
        found, model = np.zeros_like(self.fine.losses), self.fine.model
        for region, metal in enumerate(model.discretisation.metals):
            if not isinstance(metal.band, BandMedium):
                continue
            k, band = int(model.discretisation.mesh.part_of_region[region]), metal.band
            permeability, impedance = band.smooth(self.frequency)
            loss, squared = self.fine.losses[:, k], np.abs(self.fine.currents[:, k]) ** 2
            added = loss - band.at(0.0).resistance * squared
            found[:, k] = np.abs(added) * edge_share(band.strands, band.area, permeability)
            if not metal.given:
                alone, each = band.alone(self.frequency).real * squared, impedance / band.length
                found[:, k] += sharing_losses(self.problem, k, each, self.frequency, loss, alone)
        return found

    @cached_property
    def mesh_errors(self) -> FloatArray:
        """The part of them that a finer mesh lessens, (m, conductors) [W/m]."""
        missed, loss = self.fine.reduction[:, None], np.maximum(self.fine.losses, 0.0)
        # the field that is missed has at most the power `missed`; with the field that is there it makes a cross term
        return np.asarray(self._moved + 2 * np.sqrt(loss * missed) + missed)

    @cached_property
    def _moved(self) -> FloatArray:
        """What the mesh leaves open of every conductor's loss, (m, conductors) [W/m]."""
        return power_bars(self.fine.powers, self.coarse.powers, *self._left)

    @cached_property
    def _left(self) -> tuple[float, float]:
        """What the finer order may still miss over what it changed, and what corners hide round an axis of all loss."""
        if not any_magnetic(self.fine.model.discretisation.metals):
            return 1.0, 0.0
        count = len(self.frequency)
        flows = [(self.fine.flow(n), self.coarse.flow(n)) for n in {0, count // 2, count - 1}]
        found = [(fine, indicators(fine, coarse)) for fine, coarse in flows]
        hidden = max(hidden_at_corners(*one) for one in found) if self.problem.axial else 0.0
        return max(left_at_corners(*one) for one in found), hidden

    @cached_property
    def loss_errors(self) -> FloatArray:
        """Relative bound on the error of every conductor's loss, (m, conductors)."""
        return relative_bars(self.power_errors, self.fine.losses)

    @cached_property
    def force_errors(self) -> FloatArray:
        """Bound on the error of every conductor's force, (m, conductors) [N/m]; see `bars.force_bars`."""
        moved = np.hypot(*np.moveaxis(self.fine.force - self.coarse.force, -1, 0))
        every = np.abs(self.fine.powers).sum(axis=1)
        energy = self._moved.sum(axis=1) / every + 2 * np.sqrt(self.fine.reduction / every)
        return force_bars(2 * self._left[0] * moved, self.fine.force, energy, np.ones(len(every)))

    def circuit_errors(self, circuit: Circuit) -> tuple[FloatArray, FloatArray]:
        """Relative bounds on a circuit's resistance and inductance, both (m,)."""
        return self._circuit_bars.get(circuit) or self._bars_of(circuit)

    @cached_property
    def _circuit_bars(self) -> dict[Circuit, tuple[FloatArray, FloatArray]]:
        """Of the circuits that carry current."""
        return {c: self._bars_of(c) for c in self.problem.circuits if c.current}

    def _bars_of(self, circuit: Circuit) -> tuple[FloatArray, FloatArray]:
        resistance, inductance = self._turned(circuit)
        missed, omega = self._missed(circuit), 2 * np.pi * self.frequency
        if self.fine.model.foster.stranded:
            square = abs(circuit.current) ** 2
            stored = np.abs(self.fine.currents) ** 2 @ strand_inductances(self.problem) / square
            lost = self._strand_losses.sum(axis=1) / square
            energy = lost / np.where(omega > 0, omega, np.inf)
            resistance += lost / np.abs(self.fine.resistance(circuit))
            inductance += (stored + energy) / np.abs(self.fine.inductance(circuit))
        resistance += missed / np.abs(self.fine.resistance(circuit))
        inductance += missed / np.where(omega > 0, omega, 1.0) / np.abs(self.fine.inductance(circuit))
        return resistance + FLOOR, inductance + FLOOR

    def _turned(self, circuit: Circuit) -> tuple[FloatArray, FloatArray]:
        """What the mesh leaves open of a circuit's resistance and inductance, relative, both (m,)."""
        omega, inner = 2 * np.pi * self.frequency, self._moved.sum(axis=1) / abs(circuit.current) ** 2
        resistance, inductance = (
            (getattr(self.fine, what)(circuit), getattr(self.coarse, what)(circuit))
            for what in ("resistance", "inductance")
        )
        return circuit_bars(resistance, inductance, self._left[0], inner, np.zeros(len(omega)), omega)

    def _missed(self, circuit: Circuit) -> FloatArray:
        """Bound on what the reduced model misses of a circuit's voltage over its current, (m,) [ohm/m]."""
        ports = self.fine.model.ports
        if any(c.shorted for c in self.problem.circuits):  # what it drives in them counts as well
            unit = self.fine.answered(np.array([c is circuit for c in self.problem.circuits], dtype=complex))
            bound = np.einsum("mi,mij,mj->m", unit.conj(), self.fine.bound, unit, optimize=True).real
            return np.asarray(np.sqrt(np.maximum(bound * self.fine.reduction, 0))) / abs(circuit.current)
        own = ports.pattern.T @ (ports.member.T @ terminal_weights(circuit, self.problem.names))
        if not ports.matrix:
            own = ports.driven(np.array([[c is circuit for c in self.problem.circuits]], dtype=complex))[0].real
        bound = np.einsum("i,mij,j->m", own, self.fine.bound, own, optimize=True).real
        return np.asarray(np.sqrt(np.maximum(bound * self.fine.reduction, 0))) / abs(circuit.current)

    @cached_property
    def bounds(self) -> FloatArray:
        """Largest relative bound on any loss that matters and on any circuit's resistance, (m,).

        Of what a finer mesh lessens: the rest of a bundle's bars stays.
        """
        bars = [
            (self._turned(c)[0] + self._missed(c) / np.abs(self.fine.resistance(c)) + FLOOR) * self._counts(c)
            for c in self.problem.circuits
            if c.current
        ]
        return worst_bar(self.mesh_errors, self.fine.losses, bars)

    @property
    def warnings(self) -> tuple[FieldWarning, ...]:
        """That its bars go past the wanted bound, where the worst does; none where none does."""
        return self._past(int(self.bounds.argmax()))

    def _past(self, number: int) -> tuple[FieldWarning, ...]:
        """At one frequency."""
        if self.bounds[number] <= self.wanted:
            return ()
        reached, unknowns = self.bounds[number], self.fine.model.discretisation.elements.count
        text = (
            f"the wanted bound of {100 * self.wanted:.2g} % was not reached over the band: {100 * reached:.2g} % at "
            f"{self.frequency[number]:.6g} Hz and {unknowns} unknowns; the error bars show what was reached"
        )
        return (FieldWarning("accuracy of the band", text),)

    @cached_property
    def mesh_bounds(self) -> FloatArray:
        """The part of the bounds that a finer mesh would lower, (m,)."""
        bars = [self._turned(c)[0] * self._counts(c) for c in self.problem.circuits if c.current]
        return worst_bar(self._moved, self.fine.losses, bars)

    def _counts(self, circuit: Circuit) -> FloatArray:
        """Share of a circuit's resistance in that of its part of the losses, (m,)."""
        least = self.fine.losses @ self.problem.parts(circuit) / abs(circuit.current) ** 2
        return counted(self.fine.resistance(circuit), least)

    def at(self, frequency: Sequence[float]) -> Sweep:
        """The same models at other frequencies of the band."""
        wanted = np.asarray(frequency, dtype=float)
        fine, coarse = (Response(self.problem, r.model, wanted) for r in (self.fine, self.coarse))
        return replace(self, frequency=wanted, fine=fine, coarse=coarse)

    def solution(self, number: int) -> SweptSolution:
        """What a solve at frequency number `number` returns, without a new solve."""
        fine, coarse = (r.flow(number) for r in (self.fine, self.coarse))
        warnings = self._past(number)
        return SweptSolution(
            self.problem, float(self.frequency[number]), fine, coarse, self.refinements, self.wanted, warnings,
            sweep=self, number=number,
        )  # fmt: skip

    def solution_at(self, frequency: float) -> SweptSolution:
        """What a solve at any frequency of the band [Hz] returns, without a new solve."""
        return self.at([frequency]).solution(0)


@dataclass(frozen=True, eq=False, repr=False, kw_only=True)
class SweptSolution(Solution):
    """One frequency of a sweep, with the sweep's bars."""

    sweep: Sweep
    number: int

    @cached_property
    def power_errors(self) -> FloatArray:
        """Bound on the error of every conductor's loss [W/m]."""
        return np.asarray(self.sweep.power_errors[self.number])

    @cached_property
    def force_errors(self) -> FloatArray:
        """Bound on the error of every conductor's force [N/m]."""
        return np.asarray(self.sweep.force_errors[self.number])

    def circuit_errors(self, circuit: Circuit) -> tuple[float, float]:
        """Relative bounds on a circuit's resistance and inductance."""
        resistance, inductance = (float(bar[self.number]) for bar in self.sweep.circuit_errors(circuit))
        return resistance, inductance


def sweep(
    problem: Problem,
    frequencies: Sequence[float],
    *,
    accuracy: float = 1e-3,
    matrix: bool = False,
    largest: int = LARGEST,
    progress: Progress | None = None,
) -> Sweep:
    """Solve a problem over a band of frequencies, for the price of a few solves however many they are.

    Parameters
    ----------
    problem : Problem
        With smooth surfaces.
    frequencies : (m,) sequence of float
        [Hz]; 0 allowed beside others.
    accuracy : float
        Wanted relative bound on the error of every loss and resistance at every frequency.
    matrix : bool
        Also know the impedance matrix of all conductors, at the price of a drive for each instead of each circuit.
    largest : int
        Number of unknowns at which refinement stops, with a warning.
    progress : callable, optional
        Called with what is being done and the fraction done.

    Raises
    ------
    SweepError
        No positive frequency, a rough conductor, a bundle whose strands are far thicker than the skin, or a band that
        needs more unknowns than `largest`.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> rod = alone(round_bar(0.010), 100.0)
    >>> found = sweep(rod, [0.0, 50.0, 500.0])
    >>> [round(float(p), 3) for p in found.fine.losses[:, 0]]
    [2.195, 2.199, 2.525]
    """
    frequency = np.asarray(frequencies, dtype=float)
    low, high = _band(problem, frequency)
    d = Discretisation(band_mesh(problem, low, high), _metals(problem, high), FIRST + 1)
    if d.elements.count > largest:
        raise SweepError(
            f"a mesh for {low:g} to {high:g} Hz needs {d.elements.count} unknowns; the limit is {largest}: sweep a "
            "narrower band or solve the frequencies one by one"
        )
    say = progress or (lambda what, done: None)
    with one_thread():
        search = _BandSearch(problem, frequency, ports_of(problem, matrix=matrix), largest, accuracy, say)
        return search.refined(d, high)


@dataclass(frozen=True, eq=False)
class _BandSearch:
    """For a mesh on which the whole band is good enough."""

    problem: Problem
    frequency: FloatArray
    ports: Ports
    largest: int
    accuracy: float
    say: Progress

    def refined(self, d: Discretisation, worst: float) -> Sweep:
        """Try meshes at the worst frequency [Hz], then a reduced model of the whole band on the one that holds."""
        refinements, attempts, aim = 0, 0, AIM * self.accuracy
        while True:
            done = min(0.9, 0.1 + 0.1 * refinements)
            self.say(f"mesh for the band, order {d.order}, {d.elements.count} unknowns", done)
            krylov = first_shift_basis(pencil_for(d, self.ports, worst))
            found = _swept(self.problem, krylov.model(), np.array([worst]), refinements, self.accuracy)
            if refinements and found.bounds[0] > self._tried * self.accuracy:
                found = _compared_closely(found)
            more = refinements < STEPS
            finer = self._finer(found, aim) if found.bounds[0] > self._tried * self.accuracy and more else None
            if finer is None:
                self.say(f"reduced model, order {d.order}, {d.elements.count} unknowns", done)
                attempts += 1
                found = _banded(self.problem, krylov, self.frequency, refinements, self.accuracy)
                if found.bounds.max() <= self.accuracy or not more or attempts == ATTEMPTS:
                    return found  # with its warnings, where it is not good enough
                before = found.at([float(self.frequency[found.bounds.argmax()])])
                finer = self._finer(before, aim)
                if finer is None:
                    return found
                worst, aim = float(before.frequency[0]), AIM * aim
            d, refinements = finer, refinements + 1

    @property
    def _tried(self) -> float:
        """Up to how much of the bound a mesh at one frequency is worth a band."""
        return ONE_SHIFT if any(c.strands for c in self.problem.conductors) else 1.0

    def _finer(self, found: Sweep, aim: float) -> Discretisation | None:
        """Where the error of a sweep's only frequency sits."""
        finer = finer_mesh(found.fine.flow(0), found.coarse.flow(0), aim / float(found.bounds[0]), self.largest)
        return finer and replace(finer, metals=found.fine.model.discretisation.metals)  # not those of one frequency


def _banded(problem: Problem, krylov: RationalKrylov, frequency: FloatArray, refinements: int, wanted: float) -> Sweep:
    """The sweep on one mesh; compared more closely with the order below only where the cheap comparison falls short."""
    (low, high), pencil = _band(problem, frequency), krylov.pencil
    tolerance, rough = max(FINEST, min(COARSEST, (wanted / 50) ** 2)), None

    def short(found: Sweep) -> bool:
        return bool(found.bounds.max() > wanted and found.mesh_bounds.max() > AIM * wanted)

    while True:
        model = reduced(krylov, low, high, tolerance=tolerance, losses=LOSSES)
        found = _swept(problem, model, frequency, refinements, wanted)
        if short(found):
            found = _compared_closely(found)
        if short(found):
            if rough is None:
                below = replace(
                    pencil, discretisation=replace(pencil.discretisation, order=pencil.discretisation.order - 1)
                )
                rough = reduced(first_shift_basis(below), low, high, tolerance=COMPARED, certified=False)
            found = replace(found, coarse=Response(problem, rough, frequency))
        if found.bounds.max() <= wanted or found.mesh_bounds.max() > SPENT * wanted or tolerance <= FINEST:
            return found
        krylov, tolerance = first_shift_basis(pencil), max(FINEST, 0.01 * tolerance)


def _swept(problem: Problem, model: Reduced, frequency: FloatArray, refinements: int, wanted: float) -> Sweep:
    """With the same fields at the order below to compare with."""
    coarse = Reduced.of(model.basis.lowered(), model.factors)
    fine, below = (Response(problem, m, frequency) for m in (model, coarse))
    return Sweep(problem, frequency, fine, below, refinements, wanted)


def _compared_closely(found: Sweep) -> Sweep:
    """With fields of the order below that are nearer to the best of that order, if its bars are smaller for it."""
    model = found.fine.model
    nearer = Reduced.of(model.basis.lowered(SMOOTHED), model.factors)
    closer = replace(found, coarse=Response(found.problem, nearer, found.frequency))
    return min(found, closer, key=lambda one: float(one.bounds.max()))


def _metals(problem: Problem, high: float) -> tuple[RegionMetal, ...]:
    """With bundles over the whole band, whose delays must be told apart from rounding."""
    metals = smooth_metals(problem, high)
    if any(m.band and math.isinf(m.band.error) for m in metals):
        raise SweepError("a bundle whose strands need more room than its outline has: take fewer or thinner ones")
    if max((m.band.error for m in metals if m.band and m.given), default=0.0) > TOLD:
        raise SweepError(
            f"strands far thicker than the skin at {high:g} Hz: expected thinner ones or a lower end of the band; "
            "solve the frequencies one by one"
        )
    return metals


def _band(problem: Problem, frequency: FloatArray) -> tuple[float, float]:
    """Lowest and highest positive frequency [Hz]."""
    positive = frequency[frequency > 0]
    if not len(positive) or not np.isfinite(frequency).all() or (frequency < 0).any():
        raise SweepError(
            "frequencies: expected numbers of hertz, none negative and at least one positive, found "
            f"{frequency.tolist()}"
        )
    if why := obstacle(problem):
        raise SweepError(why)
    return float(positive.min()), float(positive.max())
