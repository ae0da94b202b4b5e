"""Heat in time: a short overload in which no heat gets away, and duty cycles with the conductors' thermal mass.

Every conductor is as warm all over its section: metal evens out its temperature in seconds, air cools it in minutes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from ..geometries.outline import FloatArray
from .balance import Balance, NoStableTemperature, Sources, steady
from .convection import ZERO
from .cooling import STEFAN_BOLTZMANN, Cooling, Exchange
from .operators import Elements
from .problem import Conductor

CYCLES = 60  # pairs followed at most until one is like the next
ALIKE = 0.005  # what may be left of the change to the cycle that repeats itself [K]
FLOOR = 1e-6  # the same in one cycle, for rounding [K]
MOST = 0.9999  # of a change that comes again in the next cycle
TABLE = np.concatenate((np.arange(-40.0, 40.0, 2.0), np.arange(40.0, 401.0, 10.0)))  # above the air [K]
MELTED = 2000.0  # where a run is broken off [degC]


def thermal_mass(elements: Elements, conductors: tuple[Conductor, ...]) -> FloatArray:
    """Heat that one degree takes, per metre of run, (conductors,) [J/(m K)]; nan where a metal's is not known."""
    mesh = elements.mesh
    area = np.bincount(mesh.region[elements.metal], elements.mass_blocks.sum(axis=(1, 2)), minlength=len(mesh.regions))
    metals = [m for c in conductors for m in c.metals]
    each = np.array([(m.density or np.nan) * (m.heat_capacity or np.nan) for m in metals])
    return np.bincount([p for p, _ in mesh.regions], area * each, minlength=len(conductors)).astype(float)


def adiabatic(sources: Sources, mass: FloatArray, start: FloatArray, duration: float) -> FloatArray:
    """Temperatures after a time in which no heat gets away, (conductors,) [degC].

    Parameters
    ----------
    sources : Sources
        Scaled to the current.
    mass : (conductors,) float
        [J/(m K)]
    start : (conductors,) float
        [degC]
    duration : float [s]

    Notes
    -----
    With r the resistivity over that at the computed temperature, r' = b r^e: r^(1-e) grows linearly, or ln r for
    e = 1. That is the formula behind the k values of IEC 60364-5-54 and the rated short-time densities of IEC 60865-1,
    with the resistance to alternating current in place of the other.
    """
    rises = sources.scale * sources.power * duration / mass
    rows = zip(sources.conductors, rises, start, sources.exponent, strict=True)
    return np.array([warmed_by(c, float(rise), float(t), exponent=float(e)) for c, rise, t, e in rows])


def warmed_by(conductor: Conductor, rise: float, start: float, *, exponent: float = 1.0) -> float:
    """Temperature after a heat that would bring a rise if the resistance did not grow.

    Parameters
    ----------
    conductor : Conductor
        At the temperature the heat was computed for.
    rise : float
        Heat over thermal mass [K].
    start : float [degC]
    exponent : float
        Of the heat over the resistivity.

    Examples
    --------
    >>> from crosscurrent.geometries.section import Part
    >>> from crosscurrent.geometries.shapes import round_bar
    >>> from crosscurrent.solver.materials import MATERIALS
    >>> round(warmed_by(Conductor(Part("rod", round_bar(0.01)), MATERIALS["copper"], 20.0), 100.0, 20.0), 1)
    142.5
    """
    metal, now = conductor.material, conductor.temperature
    slope = metal.temperature_coefficient * metal.conductivity_at(now) / metal.conductivity
    if not slope:
        return start + rise
    ratio = 1 + slope * (start - now)
    if abs(1 - exponent) < 1e-9:
        ratio *= np.exp(slope * rise)
    else:
        power = ratio ** (1 - exponent) + (1 - exponent) * slope * rise
        ratio = power ** (1 / (1 - exponent)) if power > 0 else np.inf
    return float(now + (ratio - 1) / slope)


@dataclass(frozen=True, eq=False)
class Lumped:
    """The cooling of a section as one temperature for every conductor sees it.

    Attributes
    ----------
    exchange : Exchange
    count : int
    """

    exchange: Exchange
    count: int

    def _summed(self, of: FloatArray) -> FloatArray:
        part = self.exchange.panels.part
        belongs = (part[:, None] == np.arange(self.count)).astype(float)
        return np.asarray(belongs.T @ of @ belongs if of.ndim == 2 else belongs.T @ of)

    @cached_property
    def air(self) -> FloatArray:
        """Conductance to moving air at the temperatures of `TABLE`, (len(TABLE), conductors) [W/(m K)]."""
        rows = []
        for above in TABLE:
            level = np.full(self.count, self.exchange.cooling.air + above)
            links = self.exchange.links(level[self.exchange.panels.part], self.exchange.coefficients(level))
            rows.append(self._summed(links.air))
        return np.array(rows)

    @cached_property
    def radiating(self) -> tuple[FloatArray, FloatArray]:
        """Total exchange areas between conductors, and to the room [m]."""
        between, room = self.exchange.radiating
        return self._summed(between), self._summed(room)

    @cached_property
    def across(self) -> FloatArray:
        """Conductances of the air in gaps, (conductors, conductors) [W/(m K)]."""
        warm = self.exchange.cooling.air + 40.0
        return self._summed(self.exchange.gaps(self.exchange.coefficients(np.full(self.count, warm)), warm)[1])

    def lost(self, temperature: FloatArray) -> FloatArray:
        """Heat of the conductors at temperatures [degC], (conductors,) [W/m]."""
        air = self.exchange.cooling.air
        above, fourth = temperature - air, (temperature + ZERO) ** 4
        film = np.array([np.interp(a, TABLE, self.air[:, k]) for k, a in enumerate(above)])
        between, room = self.radiating
        radiated = room * (fourth - (air + ZERO) ** 4) + between.sum(axis=1) * fourth - between @ fourth
        crossed = self.across.sum(axis=1) * temperature - self.across @ temperature
        return np.asarray(film * above + STEFAN_BOLTZMANN * radiated + crossed)


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
        state = state + first / (1 - share)
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

    return peaks(cooling.at_its_best()), peaks(cooling.at_its_worst())


def _run(
    sources: Sources, lumped: Lumped, mass: FloatArray, start: FloatArray, duration: float, *, heated: bool
) -> tuple[FloatArray, FloatArray]:
    from scipy.integrate import solve_ivp

    def slope(_: float, temperature: FloatArray) -> FloatArray:
        made = sources.power * sources.growth(temperature) if heated else 0.0
        return np.where(sources.held, 0.0, (made - lumped.lost(temperature)) / mass)

    def melted(_: float, temperature: FloatArray) -> float:
        return MELTED - float(temperature.max())

    melted.terminal = True  # type: ignore[attr-defined]
    times = np.linspace(0, duration, 61)
    found = solve_ivp(slope, (0, duration), start, method="LSODA", t_eval=times, rtol=1e-8, atol=1e-7, events=melted)
    if found.status == 1 and found.y_events is not None:
        hottest = sources.conductors[int(np.argmax(found.y_events[0][0]))].name
        raise NoStableTemperature(
            f'"{hottest}" passes {MELTED:g} degC within a cycle; its resistance grows faster than the cooling',
            frozenset((hottest,)),
        )
    return times, np.asarray(found.y.T)
