"""A work piece of a solution heated by its own loss, which follows its temperature where the field is solved anew."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray, IntArray
from crosscurrent.solver.field.probe import Probe
from crosscurrent.solver.field.problem import Conductor, Problem
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import Progress, solve
from crosscurrent.solver.metals.materials import Material

from .heating import TIGHT, Heating, Source, heated
from .open_surface import OpenSurface, Surroundings
from .strand_heat import conduction_of
from .warm_metal import WarmMetal
from .work_piece import WorkPiece

HIGHEST = 3  # order of the functions
LOOSE = 10.0  # error of a step where only differences are looked for, in parts of the usual one
AT_CURIE = 15.0  # from the last field below the Curie temperature to the first above it, both ways [K]


@dataclass(frozen=True, eq=False)
class HeatedInCoil:
    """What became of a work piece, and how well that is known.

    Attributes
    ----------
    fine, coarse : Heating
        At two orders of the functions.
    less, more : Heating
        At the coarse order with as little and as much moving air as its correlations allow.
    surface : OpenSurface
    solutions : tuple of (float, Solution)
        The fields and the temperatures of the piece they are of [degC].
    scale : tuple of float
        What every loss is multiplied with, where a power is held.
    """

    fine: Heating
    coarse: Heating
    less: Heating
    more: Heating
    surface: OpenSurface
    solutions: tuple[tuple[float, Solution], ...]
    scale: tuple[float, ...]

    @property
    def number(self) -> int:
        """Of the conductor."""
        return self.surface.piece.number

    @property
    def conductor(self) -> Conductor:
        """As the first field has it."""
        return self.solutions[0][1].problem.conductors[self.number]

    @property
    def power_error(self) -> float:
        """Relative bound on the loss as solved for."""
        return max(float(solution.loss_errors[self.number]) for _, solution in self.solutions)


def warmed_metal(metal: Material, temperature: float) -> Material:
    """A metal at a temperature [degC], no more magnetic than air above its Curie temperature, with or without a curve.

    Examples
    --------
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> steel = MATERIALS["steel"]
    >>> warmed_metal(steel, 700.0).permeability, warmed_metal(steel, 800.0).permeability
    (200, 1.0)
    """
    if metal.is_magnetic and metal.curie is not None and temperature >= metal.curie:
        return replace(metal, permeability=1.0, magnetisation=None)
    return metal.warmed(temperature)


def at_temperature(problem: Problem, number: int, temperature: float) -> Problem:
    """The same problem with one conductor at another temperature [degC]."""
    one = problem.conductors[number]
    warm = replace(
        one,
        temperature=temperature,
        material=warmed_metal(one.material, temperature),
        coats=tuple(warmed_metal(m, temperature) for m in one.coats),
        pieces=tuple(warmed_metal(m, temperature) for m in one.pieces),
    )
    conductors = tuple(warm if k == number else c for k, c in enumerate(problem.conductors))
    return replace(problem, conductors=conductors)


def field_temperatures(conductor: Conductor, start: float, end: float, count: int) -> tuple[float, ...]:
    """At which the field is solved: evenly from start to end [degC], and on both sides of a Curie temperature.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.part import Part
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.metals.materials import MATERIALS
    >>> field_temperatures(Conductor(Part("rod", round_bar(0.01)), MATERIALS["steel"]), 20.0, 1000.0, 3)
    (20.0, 510.0, 755.0, 785.0, 1000.0)
    """
    even = set(np.linspace(start, end, count).tolist())
    for curie in {m.ends for m in conductor.all_metals if m.is_magnetic and m.ends is not None}:
        if start < curie - AT_CURIE and curie + AT_CURIE < end:
            even = {t for t in even if abs(t - curie) > AT_CURIE} | {curie - AT_CURIE, curie + AT_CURIE}
    return tuple(sorted(even))


def fields_at(
    solution: Solution, number: int, temperatures: tuple[float, ...], progress: Progress | None = None
) -> tuple[tuple[float, Solution], ...]:
    """The solution with a conductor at each temperature [degC], on the mesh that the first one ended with."""
    found: list[tuple[float, Solution]] = []
    start = solution.fine.discretisation.mesh
    for temperature in temperatures:
        problem = at_temperature(solution.problem, number, temperature)
        again = solve(problem, solution.frequency, accuracy=solution.wanted, progress=progress, start=start)
        found.append((temperature, again))
    return tuple(found)


def surface_of(
    solution: Solution, number: int, order: int, surroundings: Surroundings, metal: WarmMetal | None = None
) -> OpenSurface:
    """The surface of a conductor of a solution, on its mesh; a `metal` counts its heat with its own basis."""
    conductors, mesh = solution.problem.conductors, solution.fine.discretisation.mesh
    conduction = np.array([k for c in conductors for k in conduction_of(c)])
    capacity = np.array([(m.density or np.nan) * (m.heat_capacity or np.nan) for c in conductors for m in c.metals])
    parts = solution.problem.section.parts
    first = sum(len(part.all_outlines) for part in parts[:number])
    if metal is not None:
        region = sum(len(c.metals) for c in conductors[:number])
        capacity[region] = (conductors[number].material.density or np.nan) * metal.basis
    piece = WorkPiece.of(mesh, order, number, conduction, capacity, metal)
    return OpenSurface(piece, parts[number], first, surroundings)


def heated_in_coil(
    solutions: tuple[tuple[float, Solution], ...],
    number: int,
    surroundings: Surroundings,
    *,
    start: float,
    duration: float,
    power: float | None = None,
    metal: WarmMetal | None = None,
) -> HeatedInCoil:
    """A conductor heated by its loss for a time.

    Parameters
    ----------
    solutions : tuple of (float, Solution)
        At rising temperatures of the conductor [degC].
    number : int
    surroundings : Surroundings
    start : float [degC]
    duration : float [s]
    power : float, optional
        That is held in it [W]; else the currents are.
    metal : WarmMetal, optional
        Of the whole conductor, which has no layers.

    Raises
    ------
    StepsError
    """
    first = solutions[0][1]
    order = min(first.fine.discretisation.order, HIGHEST)
    losses = [float(solution.fine.powers.real[number]) for _, solution in solutions]
    scale = tuple(1.0 if power is None else power / loss if loss > 0 else 0.0 for loss in losses)
    wanted = [loss * factor for loss, factor in zip(losses, scale, strict=True)]

    here = Probe(first.fine)

    def run(order: int, tight: float) -> tuple[OpenSurface, Heating]:
        surface = surface_of(first, number, order, surroundings, metal)
        load = [surface.piece.load(s.fine, watts, here) for (_, s), watts in zip(solutions, wanted, strict=True)]
        source = Source(np.array([t for t, _ in solutions]), np.array(load))
        return surface, heated(surface, source, start, duration, tight=tight)

    surface, fine = run(order, TIGHT)
    low, coarse = run(order - 1, LOOSE * TIGHT)
    edges = coarse, coarse
    if surroundings.coefficient is None:
        less, more = (replace(low, surroundings=surroundings.scattered(more)) for more in (False, True))
        edges = tuple(heated(o, coarse.source, start, duration, tight=LOOSE * TIGHT) for o in (less, more))  # type: ignore[assignment]
    return HeatedInCoil(fine, coarse, *edges, surface, solutions, scale)


def values_at(heating: Heating, rows: IntArray, places: FloatArray, time: float) -> FloatArray:
    """Temperature at places (k, 2) of elements (k,) of the piece at a time [s], (k,) [degC]."""
    piece = heating.piece
    whole = np.full(piece.elements.count, np.nan)
    whole[piece.unknowns] = heating.temperatures(np.array([time]))[0]
    return np.array(
        [piece.elements.value(whole, rows[k : k + 1], places[k : k + 1])[0, 0] for k in range(len(rows))]
    )
