"""Solve a problem at one frequency: refine where the error sits until the bar is as small as wanted."""

from __future__ import annotations

import logging
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from ..geometries.bisect import bisect, largest_first
from ..geometries.corners import graded, sharp_corners
from ..geometries.errors import CrosscurrentError
from ..geometries.mesh import Mesh
from ..geometries.mesher import mesh_section
from ..geometries.outline import FloatArray
from ..geometries.recipe import Recipe
from ..geometries.sides import IntArray
from .field import Discretisation, Metal, is_lifted, solve_fields
from .flow import Flow
from .indicator import at_corners, changed_in_air, indicators, left_at_corners
from .layers import Layer, flat_surface
from .problem import Circuit, Conductor, Problem
from .roughness import Model, layered_roughening, roughening

Progress = Callable[[str, float], None]
log = logging.getLogger("crosscurrent")

LARGEST = 300_000  # unknowns at which refinement stops
HEAVIEST = 80_000_000  # unknowns times conductors: each conductor's unit current is a field of its own
LEAST = 400  # unknowns that a conductor takes at the very least
NOTABLE = 5.0  # seconds from which on a solve says beforehand what it takes
GROWTH = 2.5  # of the unknowns by refinement, for 1e-3
STEPS = 60  # solves at which it stops
FIRST, HIGHEST = 3, 7  # orders of the elements
FIRST_AT_REST = 5  # at 0 Hz the mesh is coarse and the field smooth
HIGH = 1e-4  # wanted bound from which on it begins an order higher, if the mesh leaves room for that
MOST = 0.9  # share of the error that refinement goes for
FEW = 0.2  # share of the triangles below which that error counts as local: then they are halved, else the order rises
UNGRADED = Recipe(corner=1.6, reentrant=math.inf)  # no smaller at corners than the skin asks for anywhere
PART = 0.1  # share of the wanted bound that all corners, and all the rest, may take
GAIN = {False: 0.5, True: 0.5**0.5}  # what halving its triangles leaves of a corner's error; permeability jumps there
HIDDEN = 0.1  # of that where permeability jumps: two orders see little of what is far smaller than triangles
DEEPEST = 40  # halvings at a corner at once
FLOOR = 2e-8  # what the finest comparison cannot see: curved sides, dark cores, rounding


class SolveError(CrosscurrentError, ValueError):
    """A problem that cannot be solved as it stands."""


@dataclass(frozen=True, eq=False)
class Solution:
    """The finest flow, and the next coarser one on the same mesh that its error bars come from.

    Attributes
    ----------
    problem : Problem
    frequency : float [Hz]
    fine, coarse : Flow
    refinements : int
        Solves beyond the first pair.
    wanted : float
        Relative bound asked for.
    warnings : tuple of str
    """

    problem: Problem
    frequency: float
    fine: Flow
    coarse: Flow
    refinements: int
    wanted: float
    warnings: tuple[str, ...] = ()

    @cached_property
    def power_errors(self) -> FloatArray:
        """Bound on the error of every conductor's loss [W/m].

        What changed from one order to the next in its own volume, and its part of what changed elsewhere: an error in
        one conductor shifts current into the others.
        """
        changed = self._left * np.abs(self.fine.powers - self.coarse.powers)
        elsewhere = changed.sum() / np.abs(self.fine.powers).sum() if changed.any() else 0.0
        return np.asarray(changed + (elsewhere + FLOOR) * self.fine.powers.real)

    @cached_property
    def indicators(self) -> FloatArray:
        """Where the error sits: energy of the change from one order to the next, by triangle, (t,) [W/m]."""
        return indicators(self.fine, self.coarse)

    @cached_property
    def _left(self) -> float:
        """What the finer order may still miss over what it changed."""
        return left_at_corners(self.fine, self.indicators) if any_magnetic(self.fine.discretisation.metals) else 1.0

    @cached_property
    def _changed_in_air(self) -> float:
        return self._left * changed_in_air(self.fine, self.coarse)

    @cached_property
    def loss_errors(self) -> FloatArray:
        """Relative bound on the error of every conductor's loss."""
        loss = self.fine.powers.real
        return np.where(loss > 0, self.power_errors / np.where(loss > 0, loss, 1), 0.0)

    def circuit_errors(self, circuit: Circuit) -> tuple[float, float]:
        """Relative bounds on a circuit's resistance and inductance."""
        square = abs(circuit.current) ** 2
        impedance = self.fine.circuit(circuit) / circuit.current
        before = self.coarse.circuit(circuit) / circuit.current
        inner = float(self.power_errors.sum()) / square
        resistance = max(self._left * abs(impedance.real - before.real), inner) / abs(impedance.real)
        inductance, earlier = self.fine.inductance(circuit), self.coarse.inductance(circuit)
        omega = 2 * np.pi * self.frequency
        # the energy of the change cannot cross zero, as the change of the inductance itself may
        energy = (inner + self._changed_in_air / square) / omega if omega else 0.0
        moved = max(2 * self._left * abs(inductance - earlier), energy)
        return resistance + FLOOR, moved / abs(inductance) + FLOOR

    @cached_property
    def bound(self) -> float:
        """Largest relative bound on any loss that matters and on any circuit's resistance; at 0 Hz on inductance."""
        loss = self.fine.powers.real
        matters = loss > 1e-3 * loss.sum()
        which = 0 if self.frequency else 1
        bars = [self.circuit_errors(c)[which] for c in self.problem.circuits if c.current]
        return float(max([*self.loss_errors[matters], *bars]))

    @cached_property
    def force_errors(self) -> FloatArray:
        """Bound on the error of every conductor's force [N/m].

        Twice what changed, and the largest force's part of the energy that changed, which cannot cross zero.
        """
        largest = np.hypot(*self.fine.force.T).max()
        moved = self._changed_in_air + (self.power_errors.sum() if self.frequency else 0.0)
        turned = self.fine.force_errors(self.coarse)
        return np.asarray(self._left * turned + largest * moved / (self._reactive or 1.0))

    @property
    def scale(self) -> float:
        """What the indicators are to be small against [W/m]."""
        return float(np.abs(self.fine.powers).sum()) if self.frequency else self._reactive

    @cached_property
    def _reactive(self) -> float:
        """Angular frequency, 1 at 0 Hz, times twice the energy of the field [W/m]."""
        omega = 2 * np.pi * self.frequency or 1.0
        driven = [c for c in self.problem.circuits if c.current]
        return omega * sum(abs(self.fine.inductance(c)) * abs(c.current) ** 2 for c in driven)


def solve(
    problem: Problem,
    frequency: float,
    *,
    accuracy: float = 1e-3,
    largest: int = LARGEST,
    progress: Progress | None = None,
    start: Mesh | None = None,
) -> Solution:
    """Solve a problem at one frequency.

    Parameters
    ----------
    problem : Problem
    frequency : float
        [Hz]; 0 for direct current.
    accuracy : float
        Wanted relative bound on the error of every loss and resistance.
    largest : int
        Number of unknowns at which refinement stops, with a warning; fewer for very many conductors.
    progress : callable, optional
        Called with what is being done and the fraction done.
    start : Mesh, optional
        To begin with; else one made for the frequency.

    Returns
    -------
    Solution

    Raises
    ------
    SolveError
        A frequency that is none, or a section that needs more unknowns than `largest`.
    MeshError
        A section that cannot be meshed.

    Examples
    --------
    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> from crosscurrent.solver.problem import Conductor
    >>> rod = Conductor(Part("rod", round_bar(0.010)), MATERIALS["copper"])
    >>> alone = Problem((rod,), (Circuit("feed", 100.0, ("rod",)),))
    >>> round(float(solve(alone, 50.0).fine.powers[0].real), 3)
    2.199
    """
    if not (np.isfinite(frequency) and frequency >= 0):
        raise SolveError(f"frequency: expected 0 or a positive number of hertz, found {frequency}")
    metals = _metals(problem, frequency)
    skins = _skins(problem, frequency)
    count = len(problem.conductors)
    largest = min(largest, HEAVIEST // count)
    if LEAST * count > largest:  # before a mesh that takes minutes
        _forecast(LEAST * count, count, largest)
    radii = [c.part.shape.outer.inscribed_radius for c in problem.conductors]
    lifted = is_lifted([min(s) for s in skins], radii)
    say = progress or (lambda what, done: None)
    say("mesh", 0.1)
    mesh = start or mesh_section(problem.section, skins, Recipe() if any_magnetic(metals) else UNGRADED)
    order, steps = FIRST if frequency else FIRST_AT_REST, 0
    if frequency and accuracy <= HIGH and not any_magnetic(metals) and len(mesh.triangles) * (FIRST + 2) ** 2 < largest:
        order += 1
    best: Solution | None = None
    coarse: Flow | None = None
    while True:
        d = Discretisation(mesh, metals, order)
        if best is not None and (d.elements.count > largest or steps > STEPS):
            return _unmet(best, largest)
        if coarse is None and best is None:
            _forecast(Discretisation(mesh, metals, order + 1).elements.count, count, largest, accuracy)
        say(f"solve, order {order}, {d.elements.count} unknowns", min(0.9, 0.3 + 0.1 * steps))
        flow = Flow.of(problem, solve_fields(d, frequency, lifted=lifted))
        steps += 1
        if coarse is None:
            coarse, order = flow, order + 1
            continue
        found = Solution(problem, frequency, flow, coarse, steps - 2, accuracy)
        best = found if best is None or found.bound < best.bound else best
        if best.bound <= accuracy:
            return best
        mesh, order = _finer(found)
        if mesh is d.mesh:
            coarse, order = flow, order + 1
        else:
            coarse = None


def any_magnetic(metals: Sequence[Metal]) -> bool:
    """Whether permeability jumps anywhere: fields at corners are then singular, and orders slow."""
    return any(m.permeability != 1 for m in metals)


def _finer(found: Solution) -> tuple[Mesh, int]:
    """Mesh and order to solve at next, with the order above it; the same mesh comes with the order just solved.

    Corners that hold too much of the error get as many layers at once as their share asks for. What remains is local
    or not: then its triangles are halved, or the order rises.
    """
    d = found.fine.discretisation
    mesh, order = d.mesh, d.order - 1
    weights = found.indicators / found.scale
    corners = sharp_corners(mesh, mesh.region)
    own = at_corners(mesh, corners)
    share = np.bincount(own[own >= 0], weights[own >= 0], minlength=len(corners))
    layers = _layers(np.asarray(share, dtype=float), found)
    rest = np.where(own >= 0, 0.0, weights) if layers.any() else weights
    if layers.any() and rest.sum() < PART * found.wanted:
        return graded(mesh, corners, layers), order
    chosen = largest_first(rest, MOST)
    if d.order < HIGHEST and chosen.mean() > FEW:
        order += 1
    else:
        mesh = bisect(mesh, chosen)
    return graded(mesh, corners, layers), order


def _layers(share: FloatArray, found: Solution) -> IntArray:
    """How many times over the triangles at each corner are to be halved, from its share of the error, (k,)."""
    magnetic = any_magnetic(found.fine.discretisation.metals)
    wanted = (HIDDEN if magnetic else 1.0) * PART * found.wanted
    many = share > wanted / max(len(share), 1)
    layers = np.zeros(len(share), dtype=np.int64)
    halvings = np.log(share[many] * many.sum() / wanted) / -math.log(GAIN[magnetic])
    layers[many] = np.clip(np.ceil(halvings), 0, DEEPEST)
    return layers


def _forecast(unknowns: int, conductors: int, largest: int, accuracy: float = 1e-3) -> None:
    """Say beforehand what a large section takes; refuse one that is too large.

    Measured on one core: a factorisation takes 30 us and 7 kB for each unknown, each conductor 5 us and 0.1 kB more.
    """
    seconds = (3e-5 + 5e-6 * conductors) * unknowns
    many = f" with {conductors} conductors" if conductors > 1 else ""
    if unknowns > largest:
        raise SolveError(
            f"the section{many} needs {unknowns} unknowns or more and about {_memory(unknowns, conductors):.1f} GB of "
            f"memory; the limit is {largest} unknowns: leave out parts that are far from the others, merge outline "
            "points that lie close together, widen or close gaps far narrower than the parts, or solve it in pieces"
        )
    if seconds > NOTABLE:
        took = f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} minutes"
        memory = _memory(min(_refined(unknowns, accuracy), largest), conductors)
        log.info("%d unknowns%s: up to %.1f GB of memory, %s or more for each frequency", unknowns, many, memory, took)


def _memory(unknowns: float, conductors: int) -> float:
    """Of the solve of a section [GB]."""
    return 0.15 + (7e-6 + 1e-7 * conductors) * unknowns


def _refined(unknowns: int, accuracy: float) -> float:
    """What refinement makes of a first number of unknowns at most: 1.9, 2.2, 4.4 measured for 1e-3 .. 1e-5."""
    return float(unknowns * GROWTH * (1e-3 / min(accuracy, 1e-3)) ** 0.2)


def _unmet(best: Solution, largest: int) -> Solution:
    text = (
        f"the wanted bound of {100 * best.wanted:.2g} % was not reached: {100 * best.bound:.2g} % at "
        f"{best.fine.discretisation.elements.count} unknowns (limit {largest}); the error bars show what was reached"
    )
    return Solution(best.problem, best.frequency, best.fine, best.coarse, best.refinements, best.wanted, (text,))


def _metals(problem: Problem, frequency: float) -> tuple[Metal, ...]:
    """One for every region, in the mesher's order: part by part, base metal first."""
    metals = []
    for c in problem.conductors:
        surface = surface_factor(c, frequency, problem.roughness_model)
        for material in c.metals:
            metals.append(Metal(material.conductivity_at(c.temperature), material.permeability, surface))
    return tuple(metals)


def surface_factor(conductor: Conductor, frequency: float, model: Model = "gradient") -> complex:
    """What the roughness of a conductor multiplies its surface impedance with; 1 if it is smooth, or at 0 Hz.

    The gradient model sees the layers below the rough one; the fits know the outermost metal's skin only.
    """
    if conductor.roughness == 0 or frequency == 0:
        return 1.0
    temperature = conductor.temperature
    if model == "gradient" and conductor.coats:
        thicknesses = (math.inf, *conductor.part.coats)
        metals = (conductor.material, *conductor.coats)
        stack = [Layer(metal, thickness) for metal, thickness in zip(metals, thicknesses, strict=True)]
        rough = layered_roughening(stack, frequency, conductor.roughness, temperature=temperature)
        smooth = complex(flat_surface(stack, frequency, temperature=temperature).impedance)
        return complex(rough.resistance * smooth.real, rough.reactance * smooth.imag) / smooth
    return complex(roughening(roughness_in_depths(conductor, frequency), model).factor)


def roughness_in_depths(conductor: Conductor, frequency: float) -> float:
    """Rq over the skin depth of the outermost metal."""
    outermost = (conductor.material, *conductor.coats)[-1]
    return conductor.roughness / outermost.skin_depth(frequency, conductor.temperature)


def _skins(problem: Problem, frequency: float) -> list[list[float]]:
    return [[m.skin_depth(frequency, c.temperature) for m in c.metals] for c in problem.conductors]
