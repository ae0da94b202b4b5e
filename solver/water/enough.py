"""The flow that a limit takes: rounded up as it is told, and solved for there, so that the limit holds."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from .cooled import WaterCooling
from .pipe import WaterError

LITRE = 1 / 60_000  # l/min in m3/s
TOLD = 3  # digits of a flow in l/min
SLACK = 2e-3  # of the rise to a limit, for what two solves may differ by
TRIES = 5  # solves of field and water for one limit
NEXT = 2e-3  # what is added where the estimate says no more is needed
NOTHING = 1e-6  # part of the flow that counts as none


@dataclass(frozen=True)
class Aim:
    """What is wanted of the water.

    Attributes
    ----------
    estimate : callable
        Smallest flow for it [m3/s], from the water at another flow; None where there is none.
    holds : callable
        Whether some water has it.
    """

    estimate: Callable[[WaterCooling], float | None]
    holds: Callable[[WaterCooling], bool]


def below(what: Literal["wall", "outlet"], limit: float) -> Aim:
    """The hottest wall, or the outlet, below a temperature [degC]."""

    def estimate(water: WaterCooling) -> float | None:
        return water.flow_for(what, limit - SLACK * max(limit - water.circuit.inlet, 0.0))

    def holds(water: WaterCooling) -> bool:
        return (water.stream.surface if what == "wall" else water.stream.outlet) <= limit

    return Aim(estimate, holds)


NOT_BOILING = Aim(WaterCooling.flow_to_not_boil, lambda water: not water.is_close_to_boiling)


def rounded_up(flow: float) -> float:
    """A flow [m3/s] up to the digits it is told with in l/min.

    Examples
    --------
    >>> [round(rounded_up(f / 60000) * 60000, 9) for f in (5.7712, 5.77, 1234.0)]
    [5.78, 5.77, 1234.0]
    """
    litres = flow / LITRE
    place = min(0, math.floor(math.log10(litres)) + 1 - TOLD)
    return math.ceil(litres / 10.0**place * (1 - 1e-9)) * 10.0**place * LITRE


def enough(water: WaterCooling, aim: Aim, again: Callable[[float], WaterCooling] | None) -> float | None:
    """Smallest flow [m3/s], rounded up, at which an aim holds; None where no flow does.

    Parameters
    ----------
    water : WaterCooling
        At some flow.
    aim : Aim
    again : callable or None
        Field and water solved at another flow; None: the flow is the estimate's alone.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from crosscurrent.geometries.plane.shapes import tube
    >>> from crosscurrent.solver.field.solve import solve
    >>> from crosscurrent.solver.field.alone import alone
    >>> from crosscurrent.solver.water.cooled import Supply, WaterHeat, cooled
    >>> solution = solve(alone(tube(0.012, 0.001), 1000.0, "pipe"), 0.0)
    >>> supply = Supply("water through pipe", ("pipe",), 3.0, 20.0, 2e5, flow=3 * LITRE)
    >>> def again(flow): return cooled(replace(supply, flow=flow), WaterHeat.of(solution))
    >>> found = enough(again(3 * LITRE), below("outlet", 30.0), again)
    >>> bool(29.0 < again(found).stream.outlet <= 30.0)
    True
    """
    flow = aim.estimate(water)
    if flow is None or flow <= NOTHING * water.stream.flow:
        return flow
    told, best = rounded_up(flow), None
    if again is None:
        return told
    try:
        for _ in range(TRIES):
            there = again(told)
            flow = aim.estimate(there)
            better = math.inf if flow is None else rounded_up(flow)
            if aim.holds(there):
                best = min(told, best or told)
                if better >= best:
                    break
            elif better <= told:
                better = rounded_up(told * (1 + NEXT))
            if not math.isfinite(better):
                break
            told = better
    except WaterError:  # more than any pump gives
        pass
    return best
