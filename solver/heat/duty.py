"""Duty cycles: the temperatures that on and off in turn lead to, with the conductors' thermal mass."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.geometries.arrays import BoolArray, FloatArray
from crosscurrent.solver.field.solution import Solution

from .ampacity import Rating, State
from .balance import CEILING, Balance, NoStableTemperature, Sources, steady
from .conduction import Conduction
from .cooling import Cooling, Exchange
from .electrothermal import conduction_in, measured_exponent, sources_in
from .lumped import Lumped

CYCLES = 60  # pairs followed at most until one is like the next
ALIKE = 0.005  # what may be left of the change to the cycle that repeats itself [K]
FLOOR = 1e-6  # the same in one cycle, for rounding [K]
MOST = 0.9999  # of a change that comes again in the next cycle
MELTED = 2000.0  # where a run is broken off [degC]
LEAST = 1e-2  # of a current that runs away, below which none is looked for
SAME = 5e-3  # of a factor on the currents
BAND = 1.5  # between the factors at the usual cooling and at its worst or best, at first


@dataclass(frozen=True, eq=False)
class Cycle:
    """A cycle that repeats itself.

    Attributes
    ----------
    time : (n,) float
        From switching on [s].
    temperature : (n, conductors) float
        [degC]
    constant : (conductors,) float
        Thermal mass times rise over heat at the mean temperature: time to cover 63 % of a change [s].
    """

    time: FloatArray
    temperature: FloatArray
    constant: FloatArray


def repeated(balance: Balance, mass: FloatArray, *, factor: float, on: float, off: float) -> Cycle:
    """The cycle that on and off in turn lead to.

    Parameters
    ----------
    balance : Balance
        Of the currents of the case; gives losses and cooling.
    mass : (conductors,) float
        [J/(m K)]
    factor : float
        On all currents while on.
    on, off : float [s]

    Raises
    ------
    NoStableTemperature
        The mean heat has none, or the temperature runs away during a cycle.
    """
    sources = balance.sources.scaled(factor)
    mean = steady(balance.conduction, balance.exchange, balance.sources.scaled(factor * (on / (on + off)) ** 0.5))
    lumped = Lumped(balance.exchange, balance.conduction.count)
    above, power = mean.mean - balance.exchange.cooling.air, np.maximum(np.abs(lumped.lost(mean.mean)), 1e-12)
    constant = np.asarray(mass * np.abs(above) / power)
    if balance.exchange.cooling.held:  # what hot pieces radiate is no part of what follows the temperature
        warmer = [lumped.lost(mean.mean + step) - lumped.lost(mean.mean) for step in np.eye(len(mass))]
        constant = mass / np.diag(warmer)
    # a cycle much shorter than that brings the state nearer by a small share of what is left
    alike = max(FLOOR, ALIKE * min(1.0, (on + off) / float(constant.max())))

    def once(state: FloatArray) -> tuple[FloatArray, FloatArray]:
        rise, warm = _run(sources, lumped, mass, state, on, heated=True)
        fall, cold = _run(sources, lumped, mass, warm[-1], off, heated=False)
        return np.concatenate((rise, on + fall)), np.concatenate((warm, cold))

    state = mean.mean
    for _ in range(CYCLES):
        time, found = once(state)
        first = found[-1] - state
        if np.abs(first).max() <= alike:
            break
        second = once(found[-1])[1][-1] - found[-1]
        # the changes fall as a geometric series: its sum, where it has one (A. C. Aitken)
        share = np.clip(second / np.where(first == 0, 1.0, first), 0.0, MOST)
        # which may lie far out where it hardly has one: nothing gets colder than the air and its own coldest
        coldest = min(balance.exchange.cooling.air, float(found.min()))
        state = np.where(sources.fixed, state, np.clip(state + first / (1 - share), coldest, CEILING))
    return Cycle(time, found, constant)


def peak_band(
    balance: Balance, mass: FloatArray, *, factor: float, on: float, off: float
) -> tuple[FloatArray, FloatArray]:
    """Highest temperatures of the cycle at the best and at the worst cooling that scatter and finish allow.

    Parameters are those of `repeated`.

    Returns
    -------
    coldest, hottest : (conductors,) float
        [degC]; infinite where the cycle has no end.
    """
    cooling = balance.exchange.cooling

    def peaks(other: Cooling) -> FloatArray:
        there = replace(balance, exchange=replace(balance.exchange, cooling=other))
        try:
            return np.asarray(repeated(there, mass, factor=factor, on=on, off=off).temperature.max(axis=0))
        except NoStableTemperature:
            return np.full(balance.conduction.count, np.inf)

    every = [peaks(other) for other in cooling.extremes]
    return (every[0], every[1]) if len(every) == 2 else (np.min(every, axis=0), np.max(every, axis=0))


def _run(
    sources: Sources, lumped: Lumped, mass: FloatArray, start: FloatArray, duration: float, *, heated: bool
) -> tuple[FloatArray, FloatArray]:
    from scipy.integrate import solve_ivp

    def slope(_: float, temperature: FloatArray) -> FloatArray:
        made = sources.power * sources.growth(temperature) if heated else 0.0
        return np.where(sources.fixed, 0.0, (made - lumped.lost(temperature)) / mass)

    def melted(_: float, temperature: FloatArray) -> float:
        return MELTED - float(temperature.max())

    melted.terminal = True  # type: ignore[attr-defined]
    if not np.isfinite(start).all():
        raise _lost(sources, ~np.isfinite(start))
    times = np.linspace(0, duration, 61)
    found = solve_ivp(slope, (0, duration), start, method="LSODA", t_eval=times, rtol=1e-8, atol=1e-7, events=melted)
    if found.status == 1 and found.y_events is not None:
        hottest = sources.conductors[int(np.argmax(found.y_events[0][0]))].name
        raise NoStableTemperature(
            f'"{hottest}" passes {MELTED:g} degC within a cycle; its resistance grows faster than the cooling',
            frozenset((hottest,)),
        )
    followed = np.asarray(found.y)
    if found.status == -1 or not np.isfinite(followed).all():
        raise _lost(sources, np.asarray(~np.isfinite(followed).all(axis=1)))
    return times, followed.T


def _lost(sources: Sources, which: BoolArray) -> NoStableTemperature:
    """No temperature can be followed through the cycle."""
    names = [c.name for c, lost in zip(sources.conductors, which, strict=True) if lost or not which.any()]
    quoted = ", ".join(f'"{name}"' for name in names)
    why = f"the temperature of {quoted} cannot be followed through a cycle; check its currents and times"
    return NoStableTemperature(why, frozenset(names))


@dataclass(frozen=True, eq=False)
class DutyCycle:
    """A cycle with what lies above its means, and with its band.

    Attributes
    ----------
    cycle : Cycle
    lowest, highest : (conductors,) float
        Lowest mean, and hottest point at the peak [degC].
    coldest, hottest : (conductors,) float
        The hottest point at the peak at the best and at the worst cooling [degC]; infinite where that has no end.
    """

    cycle: Cycle
    lowest: FloatArray
    highest: FloatArray
    coldest: FloatArray
    hottest: FloatArray


def duty_cycle(
    solution: Solution,
    cooling: Cooling,
    mass: FloatArray,
    *,
    factor: float,
    on: float,
    off: float,
    fixed: frozenset[str] = frozenset(),
    state: State | None = None,
) -> DutyCycle:
    """The cycle that a factor on all currents, on and off in turn, leads to.

    Parameters
    ----------
    solution : Solution
    cooling : Cooling
    mass : (conductors,) float
        [J/(m K)]
    factor : float
        On all currents while on.
    on, off : float [s]
    fixed : frozenset of str
        Conductors that something else, water, keeps at the temperature they have.
    state : State, optional
        The steady state of the solution, where it has one.

    Raises
    ------
    NoStableTemperature
        The mean heat has none, or the temperature runs away during a cycle.
    """
    balance, inside = _losses_and_cooling(solution, cooling, fixed, state, factor * (on / (on + off)) ** 0.5)
    cycle = repeated(balance, mass, factor=factor, on=on, off=off)
    above = factor**2 * inside
    coldest, hottest = (edge + above for edge in peak_band(balance, mass, factor=factor, on=on, off=off))
    lowest, highest = cycle.temperature.min(axis=0), cycle.temperature.max(axis=0) + above
    return DutyCycle(cycle, lowest, highest, coldest, hottest)


def _losses_and_cooling(
    solution: Solution, cooling: Cooling, fixed: frozenset[str], state: State | None, mean: float
) -> tuple[Balance, FloatArray]:
    """Losses and cooling of a solution, and how far its hottest points lie above the means (conductors,) [K].

    Where its own currents have no steady state, from that of the `mean` factor on them.
    """
    if state is not None:
        return state.balance, state.balance.hottest[0] - state.balance.mean
    conduction, exchange, sources = _heat_in(solution, cooling, fixed)
    balance = steady(conduction, exchange, sources.scaled(mean))
    return replace(balance, sources=sources), (balance.hottest[0] - balance.mean) / mean**2


def _heat_in(
    solution: Solution, cooling: Cooling, fixed: frozenset[str]
) -> tuple[Conduction, Exchange, Sources]:
    conduction = conduction_in(solution)
    exchange = Exchange(conduction.panels, solution.problem.outlines, cooling)
    return conduction, exchange, sources_in(solution, conduction, measured_exponent(solution), fixed | cooling.held)


def largest_duty(
    solution: Solution,
    cooling: Cooling,
    mass: FloatArray,
    limit: float | FloatArray,
    *,
    factor: float,
    on: float,
    off: float,
    fixed: frozenset[str] = frozenset(),
) -> Rating | None:
    """The factor on all currents while on, below one that runs away, at which a peak of the cycle reaches a limit.

    Parameters are those of `duty_cycle`; `limit` [degC] is one for all or one for each conductor, infinite where there
    is none; `CEILING` for the largest currents whose cycle holds at all.

    Returns
    -------
    Rating or None
        None where no conductor has a limit, or a hundredth of the current still passes it.
    """
    conduction, exchange, sources = _heat_in(solution, cooling, fixed)
    limits = np.where(sources.fixed, np.inf, limit)
    if np.isinf(limits).all():
        return None
    mean = (on / (on + off)) ** 0.5

    def over(times: float, other: Cooling) -> FloatArray:
        there = replace(exchange, cooling=other)
        try:
            found = steady(conduction, there, sources.scaled(times * mean))
            cycle = repeated(replace(found, sources=sources), mass, factor=times, on=on, off=off)
        except NoStableTemperature:
            return np.full(len(limits), MELTED)
        inside = (found.hottest[0] - found.mean) / mean**2
        return np.asarray(cycle.temperature.max(axis=0) + inside - limits)

    best = _last_below(over, cooling, LEAST * factor, factor)
    low = best and _last_below(over, cooling.at_its_worst(), best / BAND, best)
    high = best and _last_below(over, cooling.at_its_best(), best, min(BAND * best, factor))
    if best is None or low is None or high is None:
        return None
    first = int(over(best, cooling).argmax())
    return Rating(float(limits[first]), best, low, high, first if np.ptp(limits) else None)


def _last_below(
    over: Callable[[float, Cooling], FloatArray], cooling: Cooling, least: float, most: float
) -> float | None:
    """The largest factor found on the currents, up to `most`, at which nothing passes its limit."""
    from scipy.optimize import brentq

    below: list[float] = []

    def above(logarithm: float) -> float:
        times = float(np.exp(logarithm))
        highest = float(over(times, cooling).max())
        if highest <= 0:
            below.append(times)
        return highest

    if above(np.log(most)) <= 0:
        return most
    if above(np.log(least)) > 0:
        return None
    brentq(above, np.log(least), np.log(most), xtol=SAME)
    return max(below)
