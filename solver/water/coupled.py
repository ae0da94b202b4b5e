"""Field and water in turn, until the metal is as warm as its own losses make it in that water."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.field.solution import Solution
from crosscurrent.solver.field.solve import Progress
from crosscurrent.solver.heat.balance import NoStableTemperature
from crosscurrent.solver.heat.cooling import Cooling
from crosscurrent.solver.heat.electrothermal import balance_of, guessed_exponent, solved_again

from .cooled import Supply, WaterHeat, cooled

ROUNDS = 8  # solves of the field at most
AGREED = 50.0  # temperature at which metal and water agree [K], times the wanted bound on resistances


def solved_in_water(
    solution: Solution, supplies: Sequence[Supply], air: Cooling | None = None, progress: Progress | None = None
) -> Solution:
    """The solution with every conductor that carries water at the temperature its own losses give it in that water.

    Where water boils at a wall there is no such temperature: nothing gets warmer then.

    Parameters
    ----------
    solution : Solution
        Its temperatures are where the search begins.
    supplies : sequence of Supply
    air : Cooling, optional
        What else takes heat.
    progress : callable, optional

    Raises
    ------
    WaterError
        As of `cooled`.

    Examples
    --------
    1000 A in a tube of 12 x 1 mm of 3 m with 3 l/min:

    >>> from crosscurrent.geometries.plane.shapes import tube
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.field.alone import alone
    >>> solution = solve(alone(tube(0.012, 0.001), 1000.0, "pipe"), 0.0)
    >>> warm = solved_in_water(solution, [Supply("water", ("pipe",), 3.0, 20.0, 2e5, flow=3e-3 / 60)])
    >>> round(warm.problem.conductors[0].temperature, 1)
    28.7
    """
    for _ in range(ROUNDS if supplies else 0):
        metal = {c.name: c.temperature for c in solution.problem.conductors}
        apart, heat = 0.0, WaterHeat.of(solution, to_air(solution, supplies, air))
        for supply in supplies:
            stream = cooled(supply, heat).stream
            for branch in stream.branches:
                name, before = branch.passage.name, metal[branch.passage.name]
                metal[name] = branch.metal if stream.margin > 0 else min(branch.metal, before)
                apart = max(apart, abs(metal[name] - before))
        if apart <= AGREED * solution.wanted:
            break
        solution = solved_again(solution, np.array(list(metal.values())), progress)
    return solution


def to_air(solution: Solution, supplies: Sequence[Supply], air: Cooling | None = None) -> FloatArray | None:
    """What every conductor gives to the air and to its neighbours, (conductors,) [W/m]; None where that is not known.

    For a solution whose temperatures are still to be found.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import tube
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.field.alone import alone
    >>> to_air(solve(alone(tube(0.012, 0.001), 10.0, "pipe"), 0.0), ()) is None
    True
    """
    if air is None:
        return None
    wet = frozenset(name for supply in supplies for name in supply.conductors)
    try:
        return balance_of(solution, air, guessed_exponent(solution), fixed=wet).lost
    except NoStableTemperature:  # so says the answer on air
        return None
