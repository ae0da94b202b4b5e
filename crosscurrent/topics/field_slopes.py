"""Slopes of a case from its fields: at its currents, or at those that the power it wants needs."""

from __future__ import annotations

from collections.abc import Sequence

from crosscurrent.casefile.case import Case
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.held_power import at_held_power
from crosscurrent.solver.field.slopes import Slope, slopes
from crosscurrent.solver.field.solution import Solution


def field_slopes(
    case: Case, solution: Solution, changes: Sequence[Change], *, each: bool, together: Sequence[int] = (),
    whole: bool = False,
) -> tuple[Slope, ...]:  # fmt: skip
    """Of a solution of the case; `each` conductor by itself as well, forces along the axis of those `together`.

    And those on bundles as a `whole`.
    """
    wanted = case.data.power is not None and case.data.power.wanted is not None
    found = slopes(solution, changes, each=each or wanted, together=together, whole=whole)
    if not wanted:
        return found
    pieces = [solution.problem.names.index(name) for name in case.heated]
    return tuple(at_held_power(one, solution, pieces) for one in found)
