"""What an uncertain permeability of magnetic metal leaves open of the losses."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.metals.materials import Material

from .problem import Problem
from .solution import Solution
from .solve import solve

TRIED = 3  # permeabilities of the band that are solved for


@dataclass(frozen=True, eq=False)
class PermeabilityBand:
    """Losses of all conductors for several permeabilities of the magnetic metals.

    Attributes
    ----------
    conductors : list of str
        Names of all.
    magnetic : list of str
        Names of those of magnetic metal.
    tried : list of float
        Relative permeabilities, rising.
    losses : (tried, conductors) float
        [W/m]
    stated : (conductors,) float
        With the metals' own [W/m].
    """

    conductors: list[str]
    magnetic: list[str]
    tried: list[float]
    losses: FloatArray
    stated: FloatArray


def permeability_band(solution: Solution, low: float, high: float, *, accuracy: float) -> PermeabilityBand | None:
    """Losses with the permeability of every magnetic metal from its lowest to its highest; None without such metal.

    A wall about as thick as its skin loses most in between, so the ends alone are no band.

    Parameters
    ----------
    solution : Solution
        With the metals' own permeability.
    low, high : float
        Relative permeabilities.
    accuracy : float
        Wanted relative bound on the losses.

    Raises
    ------
    SolveError
        A section that is too large for it.
    """
    problem = solution.problem
    magnetic = [c.name for c in problem.conductors if c.is_strongly_magnetic]
    if not magnetic:
        return None
    tried = np.geomspace(low, high, TRIED).tolist()
    others = [solve(_with(problem, mu), solution.frequency, accuracy=accuracy) for mu in tried]
    losses = np.array([other.fine.powers.real for other in others])
    return PermeabilityBand([c.name for c in problem.conductors], magnetic, tried, losses, solution.fine.powers.real)


def _with(problem: Problem, permeability: float) -> Problem:
    """The problem with another relative permeability of all magnetic metals."""

    def other(metal: Material) -> Material:
        return replace(metal, permeability=permeability, magnetisation=None) if metal.is_strongly_magnetic else metal

    def all_of(metals: tuple[Material, ...]) -> tuple[Material, ...]:
        return tuple(map(other, metals))

    conductors = tuple(
        replace(
            c,
            material=other(c.material),
            coats=all_of(c.coats),
            bore_coats=all_of(c.bore_coats),
            pieces=all_of(c.pieces),
        )
        for c in problem.conductors
    )
    return replace(problem, conductors=conductors)
