"""Solve a problem over a band of frequencies: one mesh, a reduced model, and one of the order below for its bars."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..geometries.bisect import bisected, largest_first
from ..geometries.mesh import Mesh
from ..geometries.mesher import mesh_section
from ..geometries.outline import FloatArray
from ..geometries.recipe import Recipe
from .factor import one_thread
from .field import Discretisation, Metal
from .flow import Flow
from .indicator import indicators, left_at_corners
from .krylov import Growth, SweepError, glimpse, lead, reduced
from .pencil import Pencil
from .ports import ports_of, terminal
from .problem import Circuit, Problem
from .reduced import Reduced
from .response import Response
from .solve import FEW, FIRST, FLOOR, HIGHEST, LARGEST, MOST, Progress, Solution, any_magnetic

# of the reduced model, on R and L; the loss of one conductor is off by up to twice the square root of it
FINEST, COARSEST = 1e-11, 4e-10
LOSSES = 1e-6  # how far that loss may still move
COMPARED = 1e-8  # the same, of the model it is compared with
AIM = 0.7  # share of the wanted bound that the refinement goes for at the frequencies it is done at
SPENT = 0.9  # share that the mesh may take before it is refined
ATTEMPTS = 4  # reduced models of the whole band
STEPS = 60  # meshes
# fewer layers than for one frequency do for a band; the circle outside is no coarser than what lies between
BAND = Recipe(growth=1.7, slope=0.55, rim=48)


@dataclass(frozen=True, eq=False)
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
    warnings : tuple of str
    """

    problem: Problem
    frequency: FloatArray
    fine: Response
    coarse: Response
    refinements: int
    wanted: float
    warnings: tuple[str, ...] = ()

    @cached_property
    def power_errors(self) -> FloatArray:
        """Bound on the error of every conductor's loss, (m, conductors) [W/m]."""
        missed, loss = self.fine.reduction[:, None], np.maximum(self.fine.losses, 0.0)
        # the field that is missed has at most the power `missed`; with the field that is there it makes a cross term
        return np.asarray(self._moved + 2 * np.sqrt(loss * missed) + missed)

    @cached_property
    def _moved(self) -> FloatArray:
        """What the mesh leaves open of every conductor's loss, (m, conductors) [W/m]; see Solution.power_errors."""
        powers = self.fine.powers
        changed = self._left * np.abs(powers - self.coarse.powers)
        elsewhere = changed.sum(axis=1) / np.abs(powers).sum(axis=1)
        return np.asarray(changed + (elsewhere + FLOOR)[:, None] * powers.real)

    @cached_property
    def _left(self) -> float:
        """What the finer order may still miss over what it changed, at the ends of the band or between them."""
        if not any_magnetic(self.fine.model.discretisation.metals):
            return 1.0
        count = len(self.frequency)
        flows = [[r.flow(n) for r in (self.fine, self.coarse)] for n in {0, count // 2, count - 1}]
        return max(left_at_corners(fine, indicators(fine, coarse)) for fine, coarse in flows)

    @cached_property
    def loss_errors(self) -> FloatArray:
        """Relative bound on the error of every conductor's loss, (m, conductors)."""
        loss = self.fine.losses
        return np.where(loss > 0, self.power_errors / np.where(loss > 0, loss, 1), 0.0)

    @cached_property
    def force_errors(self) -> FloatArray:
        """Bound on the error of every conductor's force, (m, conductors) [N/m]."""
        change = self.fine.force - self.coarse.force
        moved, size = np.hypot(*np.moveaxis(change, -1, 0)), np.hypot(*np.moveaxis(self.fine.force, -1, 0))
        missed = np.sqrt(self.fine.reduction / np.abs(self.fine.powers).sum(axis=1))
        # the energy of the change cannot cross zero, as the change of the force itself may
        energy = self._moved.sum(axis=1) / np.abs(self.fine.powers).sum(axis=1)
        largest = size.max(axis=1, keepdims=True)
        return np.asarray(2 * self._left * moved + (energy + 2 * missed)[:, None] * largest)

    def circuit_errors(self, circuit: Circuit) -> tuple[FloatArray, FloatArray]:
        """Relative bounds on a circuit's resistance and inductance, both (m,)."""
        resistance, inductance = self._turned(circuit)
        missed, omega = self._missed(circuit), 2 * np.pi * self.frequency
        resistance += missed / np.abs(self.fine.resistance(circuit))
        inductance += missed / np.where(omega > 0, omega, 1.0) / np.abs(self.fine.inductance(circuit))
        return resistance + FLOOR, inductance + FLOOR

    def _turned(self, circuit: Circuit) -> tuple[FloatArray, FloatArray]:
        """What the mesh leaves open of a circuit's resistance and inductance, relative; see Solution.circuit_errors."""
        omega, inner = 2 * np.pi * self.frequency, self._moved.sum(axis=1) / abs(circuit.current) ** 2
        resistance, inductance = self.fine.resistance(circuit), self.fine.inductance(circuit)
        moved = np.maximum(self._left * np.abs(resistance - self.coarse.resistance(circuit)), inner)
        inner = np.where(omega > 0, inner / np.where(omega > 0, omega, 1.0), 0.0)
        turned = np.maximum(2 * self._left * np.abs(inductance - self.coarse.inductance(circuit)), inner)
        return moved / np.abs(resistance), turned / np.abs(inductance)

    def _missed(self, circuit: Circuit) -> FloatArray:
        """Bound on what the reduced model misses of a circuit's voltage over its current, (m,) [ohm/m]."""
        ports = self.fine.model.ports
        own = ports.pattern.T @ (ports.member.T @ terminal(circuit, self.problem))
        if not ports.matrix:
            own = np.array([float(c is circuit) for c in self.problem.circuits])
        bound = np.einsum("i,mij,j->m", own, self.fine.bound, own, optimize=True).real
        return np.asarray(np.sqrt(np.maximum(bound * self.fine.reduction, 0))) / abs(circuit.current)

    @cached_property
    def bounds(self) -> FloatArray:
        """Largest relative bound on any loss that matters and on any circuit's resistance, (m,)."""
        bars = [self.circuit_errors(c)[0] * self._counts(c) for c in self.problem.circuits if c.current]
        return np.asarray(np.max([self._worst(self.power_errors), *bars], axis=0))

    @cached_property
    def mesh_bounds(self) -> FloatArray:
        """The part of the bounds that a finer mesh would lower, (m,)."""
        bars = [self._turned(c)[0] * self._counts(c) for c in self.problem.circuits if c.current]
        return np.asarray(np.max([self._worst(self._moved), *bars], axis=0))

    def _counts(self, circuit: Circuit) -> FloatArray:
        """Share of a circuit's resistance in that of its own conductors' losses, at most 1, (m,).

        Circuits that pass power to each other have resistances that cross zero somewhere in the band: no mesh is fine
        enough for a relative bound there.
        """
        own = [c.name in (*circuit.out, *circuit.back) for c in self.problem.conductors]
        least = self.fine.losses[:, own].sum(axis=1) / abs(circuit.current) ** 2
        resistance = np.abs(self.fine.resistance(circuit))
        return np.asarray(resistance / np.maximum(resistance, least))

    def _worst(self, errors: FloatArray) -> FloatArray:
        """Largest relative error of any loss that matters, (m,)."""
        loss = self.fine.losses
        matters = loss > 1e-3 * loss.sum(axis=1, keepdims=True)
        return np.asarray(np.where(matters, errors / np.where(matters, loss, 1), 0.0).max(axis=1))

    def at(self, frequency: Sequence[float]) -> Sweep:
        """The same models at other frequencies of the band."""
        wanted = np.asarray(frequency, dtype=float)
        fine, coarse = (Response(self.problem, r.model, wanted) for r in (self.fine, self.coarse))
        return replace(self, frequency=wanted, fine=fine, coarse=coarse)

    def solution(self, number: int) -> SweptSolution:
        """What a solve at frequency number `number` returns, without a new solve."""
        fine, coarse = (r.flow(number) for r in (self.fine, self.coarse))
        warnings = self.warnings if self.bounds[number] > self.wanted else ()
        return SweptSolution(
            self.problem, float(self.frequency[number]), fine, coarse, self.refinements, self.wanted, warnings,
            sweep=self, number=number,
        )  # fmt: skip

    def solution_at(self, frequency: float) -> SweptSolution:
        """What a solve at any frequency of the band [Hz] returns, without a new solve."""
        return self.at([frequency]).solution(0)

    def flow_at(self, frequency: float) -> Flow:
        """The flow at any frequency of the band [Hz], without a new solve."""
        return self.solution_at(frequency).fine


@dataclass(frozen=True, eq=False, kw_only=True)
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
        No positive frequency, a rough conductor, or a band that needs more unknowns than `largest`.

    Examples
    --------
    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> from crosscurrent.solver.problem import Conductor
    >>> rod = Conductor(Part("rod", round_bar(0.010)), MATERIALS["copper"])
    >>> alone = Problem((rod,), (Circuit("feed", 100.0, ("rod",)),))
    >>> found = sweep(alone, [0.0, 50.0, 500.0])
    >>> [round(float(p), 3) for p in found.fine.losses[:, 0]]
    [2.195, 2.199, 2.525]
    """
    frequency = np.asarray(frequencies, dtype=float)
    low, high = _band(problem, frequency)
    say = progress or (lambda what, done: None)
    ports, aim = ports_of(problem, matrix=matrix), AIM * accuracy
    d = Discretisation(band_mesh(problem, low, high), smooth_metals(problem), FIRST + 1)
    if d.elements.count > largest:
        raise SweepError(
            f"a mesh for {low:g} to {high:g} Hz needs {d.elements.count} unknowns; the limit is {largest}: sweep a "
            "narrower band or solve the frequencies one by one"
        )
    worst, refinements, attempts = high, 0, 0
    with one_thread():
        while True:
            done = min(0.9, 0.1 + 0.1 * refinements)
            say(f"mesh for the band, order {d.order}, {d.elements.count} unknowns", done)
            growth = glimpse(Pencil(d, ports, lead(worst)))
            found = _swept(problem, growth.model(), np.array([worst]), refinements, accuracy)
            finer = _finer(found, aim, largest) if found.bounds[0] > accuracy and refinements < STEPS else None
            if finer is None:
                say(f"reduced model, order {d.order}, {d.elements.count} unknowns", done)
                attempts += 1
                found = _banded(problem, growth, frequency, refinements, accuracy)
                if found.bounds.max() <= accuracy:
                    return found
                before = found.at([float(frequency[found.bounds.argmax()])])
                finer = _finer(before, aim, largest) if refinements < STEPS and attempts < ATTEMPTS else None
                if finer is None:
                    return _unmet(found, largest)
                worst, aim = float(before.frequency[0]), AIM * aim
            d, refinements = finer, refinements + 1


def _banded(problem: Problem, growth: Growth, frequency: FloatArray, refinements: int, wanted: float) -> Sweep:
    """The sweep on one mesh; compared with a true model of the order below only where the cheap one falls short."""
    (low, high), pencil = _band(problem, frequency), growth.pencil
    tolerance, rough = max(FINEST, min(COARSEST, (wanted / 50) ** 2)), None
    while True:
        model = reduced(growth, low, high, tolerance=tolerance, losses=LOSSES)
        found = _swept(problem, model, frequency, refinements, wanted)
        if found.bounds.max() > wanted and found.mesh_bounds.max() > AIM * wanted:
            if rough is None:
                below = replace(
                    pencil, discretisation=replace(pencil.discretisation, order=pencil.discretisation.order - 1)
                )
                rough = reduced(glimpse(below), low, high, tolerance=COMPARED, certified=False)
            found = replace(found, coarse=Response(problem, rough, frequency))
        if found.bounds.max() <= wanted or found.mesh_bounds.max() > SPENT * wanted or tolerance <= FINEST:
            return found
        growth, tolerance = glimpse(pencil), max(FINEST, 0.01 * tolerance)


def _swept(problem: Problem, model: Reduced, frequency: FloatArray, refinements: int, wanted: float) -> Sweep:
    """With the same fields at the order below to compare with."""
    coarse = Reduced.of(model.space.lowered(), model.factors)
    fine, below = (Response(problem, m, frequency) for m in (model, coarse))
    return Sweep(problem, frequency, fine, below, refinements, wanted)


def _finer(found: Sweep, aim: float, largest: int) -> Discretisation | None:
    """Finer where the error of a sweep's only frequency sits; None where that would be too large."""
    flow, coarse = found.fine.flow(0), found.coarse.flow(0)
    d, weights = flow.discretisation, indicators(flow, coarse)
    if d.order < HIGHEST and largest_first(weights, MOST).mean() > FEW:
        finer = replace(d, order=d.order + 1)
    else:
        finer = replace(d, mesh=_halved(d.mesh, weights, aim / float(found.bounds[0]), 0.5 ** (d.order - 1)))
    return finer if finer.elements.count <= largest else None


def _halved(mesh: Mesh, weights: FloatArray, share: float, gain: float) -> Mesh:
    """Halve triangles until their weights should add up to a share of what they were.

    The weight of a smooth field falls by the gain with each halving: sides shrink by the root of two, and at order p
    the square of the error goes with the power 2 (p - 1) of them. A corner gains less, which the next trial shows.
    """
    wanted = share * weights.sum()
    while True:
        mesh, parent = bisected(mesh, largest_first(weights, MOST))
        parts = np.bincount(parent)[parent]
        weights = weights[parent] / parts * np.where(parts > 1, gain, 1.0)
        if weights.sum() <= wanted:
            return mesh


def smooth_metals(problem: Problem) -> tuple[Metal, ...]:
    """One for every region, in the mesher's order: part by part, base metal first."""
    return tuple(Metal(m.conductivity_at(c.temperature), m.permeability) for c in problem.conductors for m in c.metals)


def band_mesh(problem: Problem, low: float, high: float) -> Mesh:
    """A mesh for a band [Hz]: layers and corners for its thinnest skin, a stack as deep as its thickest reaches."""
    skins = [[m.skin_depth(high, c.temperature) for m in c.metals] for c in problem.conductors]
    return mesh_section(problem.section, skins, replace(BAND, reach=BAND.reach * math.sqrt(high / low)))


def _band(problem: Problem, frequency: FloatArray) -> tuple[float, float]:
    """Lowest and highest positive frequency [Hz]."""
    positive = frequency[frequency > 0]
    if not len(positive) or not np.isfinite(frequency).all() or (frequency < 0).any():
        raise SweepError(
            "frequencies: expected numbers of hertz, none negative and at least one positive, found "
            f"{frequency.tolist()}"
        )
    for conductor in problem.conductors:
        if conductor.roughness:
            raise SweepError(
                f'conductor "{conductor.name}" is rough, which changes its metal with frequency: a sweep by a reduced '
                "model needs smooth surfaces; set its roughness to 0 or solve the frequencies one by one"
            )
    return float(positive.min()), float(positive.max())


def _unmet(best: Sweep, largest: int) -> Sweep:
    worst = int(best.bounds.argmax())
    text = (
        f"the wanted bound of {best.wanted:.2g} was not reached: {best.bounds[worst]:.2g} at "
        f"{best.frequency[worst]:.6g} Hz and {best.fine.model.discretisation.elements.count} unknowns "
        f"(limit {largest}); the error bars show what was reached"
    )
    return replace(best, warnings=(text,))
