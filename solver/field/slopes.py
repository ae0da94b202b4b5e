"""How resistance, inductance and loss change with anything of a problem, from the fields that were solved for.

No further solve: what a small change does is a dot product with what `slope_forms` finds on walls and in regions. The
forms are the derivative of the discrete impedance, so a slope is as accurate as the impedance itself; its bar is the
change from one order to the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.geometries.meshing.motion import Walls
from crosscurrent.solver.elements.following import Following
from crosscurrent.solver.elements.operators import Elements

from .adjoint import Adjoint
from .changes import Change, Difference
from .circuits import Connections
from .loss_forms import LossForms
from .problem import Problem
from .slope_forms import SlopeForms
from .solution import Solution

BAR = 4.0  # of the change from one order to the next: 1.6 of twice that was seen at corners of iron
BUNDLED, STEEL = "a bundle of strands", "steel at its field strength"  # as messages name them
LEAST = 1e-6  # of the parts that a slope is the sum of: what two orders cannot tell


@dataclass(frozen=True, eq=False)
class Slope:
    """How the circuits change with one thing, per unit of it.

    Attributes
    ----------
    key : str
    resistance, inductance : (circuits,) float
        [ohm/m], [H/m]; nan where no current flows.
    loss : float
        Of all conductors together at the given currents [W/m].
    resistance_error, inductance_error : (circuits,) float
    loss_error : float
        Bounds on their errors.
    losses, losses_error : (conductors,) float, optional
        Of every conductor alone [W/m], and bounds on their errors; where asked for.
    """

    key: str
    resistance: FloatArray
    inductance: FloatArray
    loss: float
    resistance_error: FloatArray
    inductance_error: FloatArray
    loss_error: float
    losses: FloatArray | None = None
    losses_error: FloatArray | None = None


class SlopeError(CrosscurrentError):
    """Slopes of what has none."""


def unsloped(problem: Problem) -> str | None:
    """What in it keeps its fields from giving slopes; None where they do.

    Strands that count as a medium or share a current by their lay; steel whose permeability goes with the currents.
    """
    if any(conductor.is_saturable for conductor in problem.conductors):
        return STEEL
    mediums = any(conductor.strands for conductor in problem.conductors)
    plain = not mediums and Connections.of(problem.names, problem.circuits, problem.bundles).plain
    return None if plain else BUNDLED


def sloped(problem: Problem) -> bool:
    """Whether its fields give slopes."""
    return unsloped(problem) is None


def slopes(solution: Solution, changes: Sequence[Change], *, each: bool = False) -> tuple[Slope, ...]:
    """How resistance, inductance and loss of a solution change, with error bars from the order below.

    Parameters
    ----------
    solution : Solution
    changes : sequence of Change
    each : bool
        Also the loss of every conductor alone, for one more solve with the same factors at each order (`adjoint`).

    Raises
    ------
    GeometryError
        A part of a change has other sides.
    SlopeError
        The section has bundles, or steel with a magnetisation curve (`unsloped`).

    Examples
    --------
    The resistance of a rod at 0 Hz falls with the square of its diameter:

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> from crosscurrent.solver.field.solve import solve
    >>> solution = solve(alone(round_bar(0.010), 1.0), 0.0)
    >>> (slope,) = slopes(solution, [Change("diameter", alone(round_bar(0.010 + 1e-9), 1.0), 1e-9)])
    >>> round(float(slope.resistance[0] / solution.fine.circuit(solution.problem.circuits[0]).real), 4)
    -200.0
    """
    if why := unsloped(solution.problem):
        expected = "solid conductors" if why == BUNDLED else "metals of constant permeability"
        raise SlopeError(f"slopes: expected {expected}, found {why}; solve twice for their difference")
    mesh = solution.fine.discretisation.mesh
    walls = Walls.of(mesh, [c.part for c in solution.problem.conductors])
    follow = Following(Elements(mesh, 1), walls.nodes)
    fine, coarse = (SlopeForms(flow, follow) for flow in (solution.fine, solution.coarse))
    differences = [Difference.of(change, solution, walls) for change in changes]
    found = tuple(_slope(one, fine, coarse, solution.left) for one in differences)
    if not each:
        return found
    after, before = (LossForms(Adjoint.of(flow), follow) for flow in (solution.fine, solution.coarse))
    return tuple(_with_losses(*row, after, before, solution.left) for row in zip(found, differences, strict=True))


def _slope(step: Difference, fine: SlopeForms, coarse: SlopeForms, left: float) -> Slope:
    now, before, sizes = fine.changed(step), coarse.changed(step), fine.sizes(step)
    moved = [np.abs(a - b) for a, b in zip(now, before, strict=True)]
    if omega := fine.omega:  # one of both may cross zero, both together do not
        together = np.hypot(moved[0], omega * moved[1])
        moved[:2] = together, together / omega
    wrong = [BAR * left * a + LEAST * b for a, b in zip(moved, sizes, strict=True)]
    return Slope(step.key, now[0], now[1], float(now[2]), wrong[0], wrong[1], float(wrong[2]))


def _with_losses(slope: Slope, step: Difference, fine: LossForms, coarse: LossForms, left: float) -> Slope:
    now = fine.changed(step)
    wrong = BAR * left * np.abs(now - coarse.changed(step)) + LEAST * fine.sizes(step)
    return replace(slope, losses=now, losses_error=wrong)
