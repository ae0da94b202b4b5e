"""What the conductors lose that belong to one circuit alone: never negative, whatever circuits pass to each other."""

from __future__ import annotations

from typing import TypedDict

import numpy as np

from crosscurrent.solver.field.circuits import carried
from crosscurrent.solver.field.problem import Circuit
from crosscurrent.solver.field.solution import Solution


class OwnFigures(TypedDict):
    """Figures of a circuit's own conductors, under the names of its answer."""

    own_loss: float
    own_loss_error: float
    own_resistance: float | None
    own_resistance_error: float | None
    own_dc_resistance: float
    own_ratio: float | None
    shared: tuple[str, ...]


def own_figures(solution: Solution, circuit: Circuit) -> OwnFigures:
    """Loss and resistance of the conductors that a circuit shares with no other, and which it shares.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> from crosscurrent.solver.field.solve import solve
    >>> rod = alone(round_bar(0.025), 10.0)
    >>> found = own_figures(solve(rod, 0.0), rod.circuits[0])
    >>> round(found["own_loss"], 6), round(found["own_ratio"], 9), found["shared"]
    (0.003512, 1.0, ())
    """
    problem, flow = solution.problem, solution.fine
    shared = tuple(name for name in circuit.members if len(problem.feeds[name]) > 1)
    number = {name: k for k, name in enumerate(problem.names)}
    own = [number[name] for name in circuit.members if name not in shared]
    loss, missed = float(flow.powers.real[own].sum()), float(solution.power_errors[own].sum())
    error, square, dc = missed / loss if loss else 0.0, abs(carried(circuit, problem.names, flow.currents)) ** 2, 0.0
    together = dict(zip(circuit.members, circuit.parallel or (1,) * len(circuit.members), strict=True))
    for side in (circuit.out, circuit.back):
        alone = [name for name in side if name not in shared]
        conductance = flow.discretisation.conductance[[number[name] for name in alone]]
        if len(alone):
            strands = np.array([together[name] for name in alone])  # of one bundle share its current evenly
            evenly = (1 / conductance).mean() / len(side) if circuit.sharing == "equal" else 1 / conductance.sum()
            dc += float((1 / conductance / strands**2).sum() if circuit.sharing == "series" else evenly)
    return {
        "own_loss": loss,
        "own_loss_error": error,
        "own_resistance": loss / square if square else None,
        "own_resistance_error": error if square else None,
        "own_dc_resistance": dc,
        "own_ratio": loss / square / dc if square and dc else None,
        "shared": shared,
    }
