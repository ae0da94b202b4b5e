"""The steady state of a solution with its band, and the currents at which it would reach a limit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from scipy.optimize import brentq

from ..geometries.outline import FloatArray
from .balance import CEILING, Balance, NoStableTemperature, Sources, steady
from .cooling import Cooling, Exchange
from .heat import Conduction
from .solve import Solution
from .warm import AGREED, balance_of, conduction_in, exponents, measured_exponent, solved_again, sources_in

LARGEST = 1e4  # factor on the currents, and one over the smallest
ROUNDS = 12  # solves of the field at most
SAME = 1e-4  # change of the factor that ends the search, relative


@dataclass(frozen=True, eq=False)
class State:
    """The steady state of one frequency, and its band.

    Attributes
    ----------
    balance : Balance
    coldest, hottest : (conductors,) float
        Of each conductor's hottest point, at the best and the worst cooling that scatter and finish allow [degC];
        `CEILING` where that cooling leaves no stable temperature.
    """

    balance: Balance
    coldest: FloatArray
    hottest: FloatArray

    @property
    def bounded(self) -> bool:
        """Whether the worst cooling still has a stable temperature."""
        return bool((self.hottest < CEILING).all())


@dataclass(frozen=True)
class Rating:
    """Factor on all currents at which the hottest point reaches a limit.

    Parameters
    ----------
    limit : float [degC]
    factor, low, high : float
        At the usual, the worst and the best cooling.
    """

    limit: float
    factor: float
    low: float
    high: float


@lru_cache(maxsize=8)
def state_of(solution: Solution, cooling: Cooling, held: frozenset[str] = frozenset()) -> State:
    """The steady state a solution was made for.

    Raises
    ------
    NoStableTemperature
        There is none, or the solution was not made for it.
    """
    balance = balance_of(solution, cooling, measured_exponent(solution), held=held)
    apart = float(np.abs(balance.mean - balance.sources.computed_at).max())
    if apart > max(1.0, 2 * AGREED * solution.wanted):
        raise NoStableTemperature(
            f"no temperatures were found that losses and cooling agree on: they are {apart:.3g} K apart"
        )
    cold, hot = (_hottest(balance, other) for other in (cooling.at_its_best(), cooling.at_its_worst()))
    return State(balance, cold, hot)


def _hottest(balance: Balance, cooling: Cooling) -> FloatArray:
    try:
        return steady(balance.conduction, replace(balance.exchange, cooling=cooling), balance.sources).hottest[0]
    except NoStableTemperature:
        return np.full(balance.conduction.count, CEILING)


def rating(solution: Solution, cooling: Cooling, limit: float, held: frozenset[str] = frozenset()) -> Rating | None:
    """The factor on all currents at which the hottest point reaches a limit [degC]; None if all conductors are held.

    Every conductor's temperature and its part in the current follow; so the field is solved again until the factor
    stays the same.

    Raises
    ------
    NoStableTemperature
        There is no steady state to begin with.
    ValueError
        The limit is not above the air, or above `CEILING`.
    """
    if not cooling.air < limit <= CEILING:
        raise ValueError(f"expected a limit above {cooling.air:g} degC and up to {CEILING:g} degC, found {limit:g}")
    state = state_of(solution, cooling, held)
    if state.balance.sources.held.all():
        return None
    conduction, exchange, sources = state.balance.conduction, state.balance.exchange, state.balance.sources
    latest, before = solution, 0.0
    for _ in range(ROUNDS):
        factor, found = factor_for(conduction, exchange, sources, limit)
        if abs(factor - before) <= SAME * factor:
            break
        before = factor
        latest = solved_again(latest, found.mean)
        conduction = conduction_in(latest, conduction)
        exchange = replace(exchange, panels=conduction.panels)
        sources = sources_in(latest, conduction, exponents(solution, latest, sources.exponent), held)
    low, high = (
        factor_for(conduction, replace(exchange, cooling=other), sources, limit)[0]
        for other in (cooling.at_its_worst(), cooling.at_its_best())
    )
    return Rating(limit, factor, low, high)


def factor_for(conduction: Conduction, exchange: Exchange, sources: Sources, limit: float) -> tuple[float, Balance]:
    """As `rating`, with the losses of one solution; where no steady state reaches the limit, the largest stable factor.

    Returns
    -------
    factor, balance : float, Balance
        And the temperatures at that factor.
    """
    reached: dict[float, Balance] = {}

    def over(logarithm: float) -> float:
        try:
            found = steady(conduction, exchange, sources.scaled(float(np.exp(logarithm))))
        except NoStableTemperature:
            return CEILING
        above = float(found.hottest[0][~sources.held].max()) - limit
        if above <= 1e-3:
            reached[logarithm] = found
        return above

    brentq(over, -np.log(LARGEST), np.log(LARGEST), xtol=1e-7)
    best = max(reached)
    return float(np.exp(best)), reached[best]
