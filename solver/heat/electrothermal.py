"""The loop around one frequency: solve, heat, new temperatures, solve again, until both agree."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.solution import DirectSolution, Solution
from crosscurrent.solver.field.solve import Progress, solve

from .balance import Balance, Sources, resistivity_ratio, steady
from .conduction import Conduction
from .cooling import Cooling, Exchange
from .strand_heat import conduction_of
from .view_factors import panels_of

ROUNDS = 12  # solves of the field at most
AGREED = 10.0  # temperature at which both agree [K], times the wanted bound on resistances
STEP = 40.0  # between two solutions that tell how losses change with temperature [K]
STEEPEST = 1.5  # exponent of a loss over resistivity


def at_temperatures(problem: Problem, temperature: FloatArray) -> Problem:
    """The same problem with its conductors at other temperatures (conductors,) [degC]."""
    rows = zip(problem.conductors, temperature, strict=True)
    return replace(problem, conductors=tuple(replace(c, temperature=float(t)) for c, t in rows))


def conduction_in(solution: Solution, like: Conduction | None = None) -> Conduction:
    """Conduction on the mesh and order of a solution; an earlier one again where both are the same."""
    elements = solution.fine.discretisation.elements
    if elements.mesh.axial:  # on the field's mesh, with functions that need not fall to the axis
        elements = Elements(elements.mesh, elements.order, Weight.VOLUME)
    if like is not None and like.elements.mesh is elements.mesh and like.elements.order == elements.order:
        return like
    conductors = solution.problem.conductors
    panels = panels_of(elements.mesh, solution.problem.outlines)
    return Conduction(elements, panels, np.array([k for c in conductors for k in conduction_of(c)]))


def balance_of(
    solution: Solution,
    cooling: Cooling,
    exponent: FloatArray,
    *,
    fixed: frozenset[str] = frozenset(),
    like: Conduction | None = None,
) -> Balance:
    """Steady temperatures for the losses of a solution; conductors in `fixed` and held ones keep theirs.

    `like` as `conduction_in`.

    Raises
    ------
    NoStableTemperature
    """
    conduction = conduction_in(solution, like)
    exchange = Exchange(conduction.panels, solution.problem.outlines, cooling)
    return steady(conduction, exchange, sources_in(solution, conduction, exponent, fixed | cooling.held))


def sources_in(
    solution: Solution, conduction: Conduction, exponent: FloatArray, fixed: frozenset[str] = frozenset()
) -> Sources:
    """The heat of a solution."""
    conductors = solution.problem.conductors
    kept = np.array([c.name in fixed for c in conductors])
    return Sources(conductors, conduction.load(solution.fine), exponent, kept)


def exponents(first: Solution, second: Solution, otherwise: FloatArray) -> FloatArray:
    """How the losses follow the resistivity between two solutions at different temperatures, (conductors,)."""
    a, b = first.fine.powers.real, second.fine.powers.real
    ratio = resistivity_ratio(first.problem.conductors, np.array([c.temperature for c in second.problem.conductors]))
    known = (np.abs(np.log(ratio)) > 1e-4) & (a > 0) & (b > 0)
    safe = np.where(known, ratio, math.e)
    found = np.log(np.where(known, b / np.where(known, a, 1.0), 1.0)) / np.log(safe)
    return np.where(known, np.clip(found, -STEEPEST, STEEPEST), otherwise)


def guessed_exponent(solution: Solution) -> FloatArray:
    """1 for direct current, 1/2 for thin skins."""
    return np.full(len(solution.problem.conductors), 0.5 if solution.fine.lifted else 1.0)


def measured_exponent(solution: Solution) -> FloatArray:
    """From a second solution, all conductors `STEP` warmer."""
    warmer = np.array([c.temperature for c in solution.problem.conductors]) + STEP
    return exponents(solution, solved_again(solution, warmer), guessed_exponent(solution))


def solved_again(solution: Solution, temperature: FloatArray, progress: Progress | None = None) -> Solution:
    """The same solved at other temperatures, on the mesh it ended with."""
    problem = at_temperatures(solution.problem, temperature)
    mesh = solution.fine.discretisation.mesh
    keep = isinstance(solution, DirectSolution) and solution.keeps
    found = solve(problem, solution.frequency, accuracy=solution.wanted, progress=progress, start=mesh, keep=keep)
    if isinstance(solution, DirectSolution):
        solution.forget()
    return found


def electrothermal(
    problem: Problem,
    frequency: float,
    cooling: Cooling,
    *,
    fixed: frozenset[str] = frozenset(),
    accuracy: float = 1e-3,
    progress: Progress | None = None,
    keep: bool = False,
) -> Solution:
    """The solution at the temperatures that its own losses keep up.

    Parameters
    ----------
    problem : Problem
        Its temperatures are where the search begins.
    frequency : float [Hz]
    cooling : Cooling
    fixed : frozenset of str
        Conductors that something else keeps at the temperature they have.
    accuracy : float
        As of `solve`; temperatures agree to `AGREED` times this.
    progress : callable, optional
    keep : bool
        As of `solve`.

    Raises
    ------
    NoStableTemperature
        There are none below `CEILING`.

    Examples
    --------
    800 A in a rod of 20 mm, oxidised, in air of 35 degC:

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> problem = alone(round_bar(0.020), 800.0)
    >>> from crosscurrent.solver.heat.cooling import FINISHES
    >>> warm = electrothermal(problem, 50.0, Cooling(35.0, FINISHES["oxidised"]))
    >>> round(warm.problem.conductors[0].temperature, 1)
    87.3
    """
    solution: Solution = solve(problem, frequency, accuracy=accuracy, progress=progress, keep=keep)
    exponent, found = guessed_exponent(solution), None
    for _ in range(ROUNDS):
        found = balance_of(solution, cooling, exponent, fixed=fixed, like=found.conduction if found else None)
        if np.abs(found.mean - found.sources.computed_at).max() <= AGREED * accuracy:
            break
        following = solved_again(solution, found.mean, progress)
        exponent = exponents(solution, following, exponent)
        solution = following
    return solution
