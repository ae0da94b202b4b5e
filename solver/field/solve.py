"""Solve a problem at one frequency: refine where the error sits until the bar is as small as wanted."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.meshing.bisect import bisect, largest_first
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.solver.metals.magnetisation import Sine

from .corner_layers import corner_layers
from .discretisation import Discretisation, RegionMetal, is_lifted
from .field_warning import FieldWarning
from .forecast import SolveError, forecast
from .problem import Problem
from .region_metals import any_magnetic, region_metals, region_skins
from .solution import DirectSolution, Solution
from .solved_flow import SolvedFlow
from .steel import SOLVES, SteelFlows, any_saturable, initial, settled, steel_mesh
from .unit_fields import Fields, solve_fields

Progress = Callable[[str, float], None]

LARGEST = 300_000  # unknowns at which refinement stops
HEAVIEST = 80_000_000  # unknowns times conductors: each conductor's unit current is a field of its own
KEPT = 150_000  # unknowns up to which factors are kept: about a gigabyte for both orders
LEAST = 400  # unknowns that a conductor takes at the very least
STEPS = 60  # solves at which it stops
FIRST, HIGHEST = 3, 7  # orders of the elements
FIRST_AT_REST = 5  # at 0 Hz the mesh is coarse and the field smooth
HIGH = 1e-4  # wanted bound from which on it begins an order higher, if the mesh leaves room for that
EVEN = 0.9  # area over half the perimeter, in skin depths, up to which that bound is met without (falls with it)
SOME, MOST = 0.5, 0.9  # share of the error that refinement goes for: the first time at least, then always
FEW = 0.2  # share of the triangles below which that error counts as local: then they are halved, else the order rises
UNGRADED = MeshOptions(corner=1.6, reentrant=math.inf)  # no smaller at corners than the skin asks for anywhere
SHARPER = replace(UNGRADED, corner=0.7)  # the same for `HIGH`: dearer than one mesh, cheaper than to refine it there
THICK = 1.2, 2.0, 1.0  # first layer, growth and slope round an axis, else: a fifth of the triangles less, same bars
PART = 0.1  # share of the wanted bound that all corners, and all the rest, may take
NEAR = 3.0  # times the wanted bound: from there the next order on the same mesh gets there


def solve(
    problem: Problem,
    frequency: float,
    *,
    accuracy: float = 1e-3,
    largest: int = LARGEST,
    progress: Progress | None = None,
    start: Mesh | None = None,
    keep: bool = False,
) -> DirectSolution:
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
    keep : bool
        Keep the factors until `DirectSolution.forget`: slopes of single conductors then cost a back-substitution each.

    Returns
    -------
    DirectSolution

    Raises
    ------
    SolveError
        A frequency that is none, or a section that needs more unknowns than `largest`.
    MeshError
        A section that cannot be meshed.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> rod = alone(round_bar(0.010), 100.0)
    >>> round(float(solve(rod, 50.0).fine.powers[0].real), 3)
    2.199
    """
    if not (np.isfinite(frequency) and frequency >= 0):
        raise SolveError(f"frequency: expected 0 or a positive number of hertz, found {frequency}")
    count = len(problem.conductors)
    largest = min(largest, HEAVIEST // count)
    if LEAST * count > largest:  # before a mesh that takes minutes
        forecast(LEAST * count, count, largest)
    metals, skins = region_metals(problem, frequency), region_skins(problem, frequency)
    say = progress or (lambda what, done: None)
    say("mesh", 0.1)
    mesh = start or _first_mesh(problem, skins, metals, accuracy)
    lifted = is_lifted([min(s) for s in skins], [c.part for c in problem.conductors])
    even = _most_skins(problem, skins) < EVEN * accuracy / HIGH
    return _Search(problem, frequency, metals, lifted, even, largest, accuracy, say, keep).found(mesh)


def _most_skins(problem: Problem, skins: list[list[float]]) -> float:
    """Most that any conductor's area over half its perimeter comes to, in its thinnest skin depths."""
    parts = [c.part for c in problem.conductors]
    half = [2 * part.area / sum(outline.perimeter for outline in part.all_outlines) for part in parts]
    return max(size / min(depths) for size, depths in zip(half, skins, strict=True))


def _first_mesh(problem: Problem, skins: list[list[float]], metals: tuple[RegionMetal, ...], accuracy: float) -> Mesh:
    if any_saturable(metals):
        return steel_mesh(problem.section, skins, metals)
    plain = SHARPER if accuracy <= HIGH else UNGRADED
    options = MeshOptions() if any_magnetic(metals) else plain
    if problem.axial and accuracy > HIGH:
        options = replace(options, first=THICK[0], growth=THICK[1], slope=THICK[2])
    return mesh_section(problem.section, skins, options)


@dataclass(frozen=True, eq=False)
class _Search:
    """For a mesh and an order whose solution is good enough."""

    problem: Problem
    frequency: float
    metals: tuple[RegionMetal, ...]
    lifted: bool
    even: bool
    largest: int
    accuracy: float
    say: Progress
    keep: bool

    def found(self, mesh: Mesh) -> DirectSolution:
        """Good enough a solution, with what stands beside steel at its field strength."""
        best = self.refined(mesh)
        return self._beside(best) if any_saturable(self.metals) else best

    def _beside(self, best: DirectSolution) -> DirectSolution:
        d = best.fine.discretisation
        self.say("steel: the linear answer and the band", 0.9)
        linear, effective = initial(d), d.effective
        fields = solve_fields(d.at(linear), self.frequency, lifted=self.lifted, like=best.fine.fields)
        other = self._settled(d, best.fine.fields, "B") if self.frequency else None
        warnings = best.warnings
        if effective is not None and effective.solves == SOLVES:
            text = f"the permeability of the steel did not come to rest in {SOLVES} solves: its answers are uncertain"
            warnings = (*warnings, FieldWarning("steel", text))
        return replace(best, steel=SteelFlows(SolvedFlow.of(self.problem, fields), other), warnings=warnings)

    def refined(self, mesh: Mesh) -> DirectSolution:
        """Solve at two orders on one mesh, refine, and again."""
        order, steps = self._first_order(mesh), 0
        best: DirectSolution | None = None
        coarse: SolvedFlow | None = None
        above: Discretisation | None = None
        while True:
            d, above = above or Discretisation(mesh, self.metals, order), None
            if best is not None and (d.elements.count > self.largest or steps > STEPS):
                return _unmet(best, self.largest)
            if coarse is None:
                above = Discretisation(mesh, self.metals, order + 1)
                if best is None:
                    forecast(above.elements.count, len(self.problem.conductors), self.largest, self.accuracy)
                if mesh.axial:  # whose matrices take as long as their factors
                    d.elements.within(above.elements)
            flow = self._solved(d, steps, None if coarse is None else coarse.fields)
            steps += 1
            if coarse is None:
                coarse, order = flow, order + 1
                continue
            found = DirectSolution(self.problem, self.frequency, flow, coarse, steps - 2, self.accuracy)
            best = found if best is None or found.bound < best.bound else best
            if best.bound <= self.accuracy and (steps > 2 or self._links(best)):
                return best
            mesh, order = (d.mesh, d.order) if self._nearly(found) else _finer(found, steps == 2)
            if mesh is d.mesh:
                coarse.fields.forget()
                coarse, order = flow, order + 1
            else:
                found.forget()
                coarse = None

    def _nearly(self, found: Solution) -> bool:
        """Whether the next order will do, cheaper than two on a finer mesh; jumps of permeability gain little by it."""
        d = found.fine.discretisation
        above = d.elements.count * (1 + 1 / d.order) ** 2
        return (
            found.bound <= NEAR * self.accuracy
            and above < self.largest
            and d.order < HIGHEST
            and not any_magnetic(self.metals)
        )

    def _links(self, found: Solution) -> bool:
        """Whether a first pair that was begun no higher, as currents are even, bounds every inductance as well."""
        high = self.accuracy <= HIGH and not any_magnetic(self.metals)
        driven = [c for c in self.problem.circuits if c.current and not c.shorted]
        wanted = (found.circuit_errors(c)[1] <= self.accuracy for c in driven)
        return not (high and self.even and self.frequency) or all(wanted)

    def _first_order(self, mesh: Mesh) -> int:
        if not self.frequency:
            return FIRST_AT_REST
        room = len(mesh.triangles) * (FIRST + 2) ** 2 < self.largest
        return FIRST + (self.accuracy <= HIGH and room and not self.even and not any_magnetic(self.metals))

    def _solved(self, d: Discretisation, steps: int, like: Fields | None) -> SolvedFlow:
        self.say(f"solve, order {d.order}, {d.elements.count} unknowns", min(0.9, 0.3 + 0.1 * steps))
        if any_saturable(self.metals):
            return self._settled(d, like)
        keep = self.keep and d.elements.count <= KEPT
        return SolvedFlow.of(self.problem, solve_fields(d, self.frequency, lifted=self.lifted, like=like, keep=keep))

    def _settled(self, d: Discretisation, like: Fields | None, sine: Sine = "H") -> SolvedFlow:
        """With the permeability of its field, begun with that of other fields on the same mesh."""
        start = None if like is None else like.discretisation.effective
        return settled(
            self.problem, d, self.frequency, lifted=self.lifted, accuracy=self.accuracy, sine=sine, start=start,
            like=like,
        )  # fmt: skip


def _finer(found: Solution, first: bool) -> tuple[Mesh, int]:
    """Mesh and order to solve at next, with the order above it; the same mesh comes with the order just solved.

    Corners that hold too much of the error get as many layers at once as their share asks for. What remains is local
    or not: then its triangles are halved, or the order rises. The first time that goes for what is too much of it only.
    """
    d, few = found.fine.discretisation, PART * found.wanted
    mesh, order = d.mesh, d.order - 1
    weights = found.indicators / found.scale
    at = corner_layers(d, weights, few)
    if at.wanted and at.rest.sum() < few:
        return at.graded(mesh), order
    much = 1 - few / at.rest.sum()  # below 0 where single losses are off although the energy is not
    chosen = largest_first(at.rest, min(MOST, max(SOME, much)) if first and much > 0 else MOST)
    if d.order < HIGHEST and chosen.mean() > FEW:
        order += 1
    else:
        mesh = bisect(mesh, chosen)
    return at.graded(mesh), order


def _unmet(best: DirectSolution, largest: int) -> DirectSolution:
    text = (
        f"the wanted bound of {100 * best.wanted:.2g} % was not reached: {100 * best.bound:.2g} % at "
        f"{best.fine.discretisation.elements.count} unknowns (limit {largest}); the error bars show what was reached"
    )
    return replace(best, warnings=(FieldWarning("accuracy", text),))
