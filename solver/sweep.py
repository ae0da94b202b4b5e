"""Solve a problem over a band of frequencies: one mesh, two orders, a reduced model of each."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..geometries.mesh import Mesh
from ..geometries.mesher import mesh_section
from ..geometries.outline import FloatArray
from ..geometries.recipe import Recipe
from .field import Discretisation, is_lifted
from .flow import Flow
from .krylov import SweepError, reduce
from .ports import ports_of, terminal
from .problem import Circuit, Problem
from .response import Response
from .solve import FLOOR, LARGEST, Progress, Solution, solve

# of the reduced models, on R and L; the loss of one conductor is off by up to twice the square root of it
FINEST, COARSEST = 1e-11, 1e-6
AIM = 0.7  # share of the wanted bound that the refinement goes for at the frequencies it is done at
ATTEMPTS = 4


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
        Solves that refined the mesh, beyond the first pair.
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
        """What the mesh leaves open of every conductor's complex power, (m, conductors) [W/m]."""
        powers = self.fine.powers
        return np.asarray(np.abs(powers - self.coarse.powers) + FLOOR * powers.real)

    @cached_property
    def loss_errors(self) -> FloatArray:
        """Relative bound on the error of every conductor's loss, (m, conductors)."""
        loss = self.fine.losses
        return np.where(loss > 0, self.power_errors / np.where(loss > 0, loss, 1), 0.0)

    def circuit_errors(self, circuit: Circuit) -> tuple[FloatArray, FloatArray]:
        """Relative bounds on a circuit's resistance and inductance, both (m,)."""
        omega = 2 * np.pi * self.frequency
        inner = self._moved.sum(axis=1) / abs(circuit.current) ** 2
        missed = self._missed(circuit)
        resistance, inductance = self.fine.resistance(circuit), self.fine.inductance(circuit)
        moved = np.maximum(np.abs(resistance - self.coarse.resistance(circuit)), inner) + missed
        turned = np.abs(inductance - self.coarse.inductance(circuit))
        positive = np.where(omega > 0, omega, 1.0)
        turned = np.maximum(turned, np.where(omega > 0, inner / positive, 0.0)) + missed / positive
        return moved / np.abs(resistance) + FLOOR, turned / np.abs(inductance) + FLOOR

    def _missed(self, circuit: Circuit) -> FloatArray:
        """Bound on what the reduced model misses of a circuit's voltage over its current, (m,) [ohm/m]."""
        ports = self.fine.model.ports
        own = ports.pattern.T @ (ports.member.T @ terminal(circuit, self.problem))
        if not ports.matrix:
            own = np.array([float(c is circuit) for c in self.problem.circuits])
        bound = np.einsum("i,mij,j->m", own, self.fine.model.bound(self.frequency), own, optimize=True).real
        return np.asarray(np.sqrt(np.maximum(bound * self.fine.reduction, 0))) / abs(circuit.current)

    @cached_property
    def bounds(self) -> FloatArray:
        """Largest relative bound on any loss that matters and on any circuit's resistance, (m,)."""
        bars = [self.circuit_errors(c)[0] for c in self.problem.circuits if c.current]
        return np.asarray(np.max([self._worst(self.power_errors), *bars], axis=0))

    @cached_property
    def mesh_bounds(self) -> FloatArray:
        """The part of the losses' bounds that a finer mesh would lower, (m,)."""
        return self._worst(self._moved)

    def _worst(self, errors: FloatArray) -> FloatArray:
        """Largest relative error of any loss that matters, (m,)."""
        loss = self.fine.losses
        matters = loss > 1e-3 * loss.sum(axis=1, keepdims=True)
        return np.asarray(np.where(matters, errors / np.where(matters, loss, 1), 0.0).max(axis=1))

    def at(self, frequency: Sequence[float]) -> Sweep:
        """The same models at other frequencies of the band."""
        wanted = np.asarray(frequency, dtype=float)
        fine, coarse = (Response(self.problem, r.model, wanted) for r in (self.fine, self.coarse))
        return Sweep(self.problem, wanted, fine, coarse, self.refinements, self.wanted, self.warnings)

    def flow_at(self, frequency: float) -> Flow:
        """The flow at any frequency of the band, without a new solve."""
        return self.solution_at(frequency).fine

    def solution_at(self, frequency: float) -> Solution:
        """What a solve at a frequency of the band returns, without a new solve."""
        here = self.at([frequency])
        skins = [min(m.skin_depth(frequency, c.temperature) for m in c.metals) for c in self.problem.conductors]
        lifted = is_lifted(skins, [c.part.shape.outer.inscribed_radius for c in self.problem.conductors])
        fine, coarse = (r.flow(0, lifted=lifted) for r in (here.fine, here.coarse))
        return Solution(self.problem, frequency, fine, coarse, self.refinements, self.wanted, self.warnings)


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
        No positive frequency, or a rough conductor.

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
    ports = ports_of(problem, matrix=matrix)
    # refined where one frequency asks for it, which costs single solves only
    pilot = solve(problem, high, accuracy=AIM * accuracy, largest=largest, start=band_mesh(problem, low, high))
    refinements, tolerance = pilot.refinements, max(FINEST, min(COARSEST, (accuracy / 25) ** 2))
    for attempt in range(ATTEMPTS):
        d = pilot.fine.discretisation
        say(f"reduced models, order {d.order}, {d.elements.count} unknowns", 0.3 + 0.2 * attempt)
        below = Discretisation(d.mesh, d.metals, d.order - 1)
        fine, coarse = (
            Response(problem, reduce(at, ports, low, high, tolerance=tolerance), frequency) for at in (d, below)
        )
        found = Sweep(problem, frequency, fine, coarse, refinements, accuracy)
        if found.bounds.max() <= accuracy or pilot.warnings or attempt == ATTEMPTS - 1:
            break
        tolerance = max(FINEST, 0.01 * tolerance)
        if found.mesh_bounds.max() > AIM * accuracy:
            worst, aim = float(frequency[found.mesh_bounds.argmax()]), AIM ** (attempt + 2) * accuracy
            pilot = solve(problem, worst, accuracy=aim, largest=largest, start=d.mesh)
            refinements += pilot.refinements
    return found if found.bounds.max() <= accuracy else _unmet(found, largest)


def band_mesh(problem: Problem, low: float, high: float) -> Mesh:
    """A mesh for a band [Hz]: layers and corners for its thinnest skin, a stack as deep as its thickest reaches."""
    skins = [[m.skin_depth(high, c.temperature) for m in c.metals] for c in problem.conductors]
    return mesh_section(problem.section, skins, Recipe(reach=Recipe().reach * math.sqrt(high / low)))


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
    return Sweep(best.problem, best.frequency, best.fine, best.coarse, best.refinements, best.wanted, (text,))
