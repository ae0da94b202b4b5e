"""The steady state of a solution with its band, and the currents at which it would reach a limit."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.field.solution import Solution

from .balance import CEILING, Balance, NoStableTemperature, Sources, steady
from .conduction import Conduction
from .cooling import Cooling, Exchange
from .electrothermal import AGREED, balance_of, conduction_in, exponents, measured_exponent, solved_again, sources_in

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
    def doubt(self) -> FloatArray:
        """Half-width of the band about every conductor's hottest point, the wider half, (conductors,) [K]."""
        usual = self.balance.hottest[0]
        return np.maximum(self.hottest - usual, usual - self.coldest)

    @property
    def bounded(self) -> bool:
        """Whether the worst cooling still has a stable temperature."""
        return bool((self.hottest < CEILING)[~self.balance.sources.fixed].all())


@dataclass(frozen=True)
class Unstable:
    """Why a frequency has no steady state.

    Attributes
    ----------
    why : str
    names : frozenset of str
        Conductors that make more than they lose at the highest temperature; empty where that is not known.
    largest : Rating or None
        The largest currents that still have stable temperatures, where that was asked.
    within : Rating or None
        Those at which the first conductor reaches its limit, where it has one.
    """

    why: str
    names: frozenset[str] = frozenset()
    largest: Rating | None = None
    within: Rating | None = None


@dataclass(frozen=True)
class Rating:
    """Factor on all currents at which the first conductor reaches its limit.

    Parameters
    ----------
    limit : float [degC]
        Of that conductor.
    factor, low, high : float
        At the usual, the worst and the best cooling.
    first : int or None
        Number of that conductor; None where one limit holds for all.
    """

    limit: float
    factor: float
    low: float
    high: float
    first: int | None = None


def state_of(solution: Solution, cooling: Cooling, fixed: frozenset[str] = frozenset()) -> State:
    """The steady state a solution was made for.

    Raises
    ------
    NoStableTemperature
        There is none, or the solution was not made for it.
    """
    balance = balance_of(solution, cooling, measured_exponent(solution), fixed=fixed)
    apart = float(np.abs(balance.mean - balance.sources.computed_at).max())
    if apart > max(1.0, 2 * AGREED * solution.wanted):
        raise NoStableTemperature(
            f"no temperatures were found that losses and cooling agree on: they are {apart:.3g} K apart"
        )
    every = [_hottest(balance, other) for other in cooling.extremes]
    cold, hot = every[:2] if len(every) == 2 else (np.min(every, axis=0), np.max(every, axis=0))
    return State(balance, cold, hot)


def state_or_reason(solution: Solution, cooling: Cooling, fixed: frozenset[str] = frozenset()) -> State | Unstable:
    """As `state_of`; where there is none, why."""
    try:
        return state_of(solution, cooling, fixed)
    except NoStableTemperature as error:
        return Unstable(str(error), error.names)


def _hottest(balance: Balance, cooling: Cooling) -> FloatArray:
    try:
        return steady(balance.conduction, replace(balance.exchange, cooling=cooling), balance.sources).hottest[0]
    except NoStableTemperature:
        return np.full(balance.conduction.count, CEILING)


def rating(
    solution: Solution,
    cooling: Cooling,
    limit: float | FloatArray,
    fixed: frozenset[str] = frozenset(),
    *,
    state: State | None = None,
) -> Rating | None:
    """The factor on all currents at which a hottest point reaches a limit [degC]; None if all are fixed.

    `limit` is one for all or one for each conductor, infinite where there is none. Every conductor's temperature and
    its part in the current follow; so the field is solved again until the factor stays the same. `state` is the steady
    state of the solution where it is known already; the solution need not have one. Where the limit is `CEILING`, the
    factor is the largest that leaves a stable temperature.

    Raises
    ------
    ValueError
        A limit is not above the air, or above `CEILING`.

    Examples
    --------
    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> from crosscurrent.solver.heat.electrothermal import electrothermal
    >>> air = Cooling(35.0)
    >>> problem = alone(round_bar(0.020), 600.0)
    >>> found = rating(electrothermal(problem, 0.0, air), air, 90.0)
    >>> round(found.low, 2), round(found.factor, 2), round(found.high, 2)
    (1.05, 1.2, 1.33)
    """
    limits, fixed = np.broadcast_to(limit, len(solution.problem.conductors)), fixed | cooling.held
    for one in limits[np.isfinite(limits)]:
        if not cooling.air < one <= CEILING:
            raise ValueError(f"expected a limit above {cooling.air:g} degC and up to {CEILING:g} degC, found {one:g}")
    bound = np.isfinite(limits) & np.array([c.name not in fixed for c in solution.problem.conductors])
    if not bound.any():
        return None
    if state is not None:
        conduction, exchange, sources = state.balance.conduction, state.balance.exchange, state.balance.sources
    else:
        conduction = conduction_in(solution)
        exchange = Exchange(conduction.panels, solution.problem.outlines, cooling)
        sources = sources_in(solution, conduction, measured_exponent(solution), fixed)
    latest, before = solution, 0.0
    for _ in range(ROUNDS):
        factor, found = factor_for(conduction, exchange, sources, limits)
        if abs(factor - before) <= SAME * factor:
            break
        before = factor
        latest = solved_again(latest, found.mean)
        conduction = conduction_in(latest, conduction)
        exchange = replace(exchange, panels=conduction.panels)
        sources = sources_in(latest, conduction, exponents(solution, latest, sources.exponent), fixed)
    every = [factor_for(conduction, replace(exchange, cooling=o), sources, limits)[0] for o in cooling.extremes]
    high, low = every if len(every) == 2 else (max(every), min(every))
    first = int(np.where(bound, found.hottest[0] - limits, -np.inf).argmax())
    return Rating(float(limits[first]), factor, low, high, first if np.ptp(limits) else None)


def factor_for(
    conduction: Conduction, exchange: Exchange, sources: Sources, limit: float | FloatArray
) -> tuple[float, Balance]:
    """As `rating`, with the losses of one solution; where no steady state reaches the limit, the largest stable factor.

    Returns
    -------
    factor, balance : float, Balance
        And the temperatures at that factor.
    """
    from scipy.optimize import brentq

    reached: dict[float, Balance] = {}

    def over(logarithm: float) -> float:
        try:
            found = steady(conduction, exchange, sources.scaled(float(np.exp(logarithm))))
        except NoStableTemperature:
            return CEILING
        above = float((found.hottest[0] - limit)[~sources.fixed].max())
        if above <= 1e-3:
            reached[logarithm] = found
        return above

    if over(-np.log(LARGEST)) > 0:  # what is held hot alone warms it so far
        return 0.0, steady(conduction, exchange, sources.scaled(0.0))
    brentq(over, -np.log(LARGEST), np.log(LARGEST), xtol=1e-7)
    best = max(reached)
    return float(np.exp(best)), reached[best]
