"""A stream of water through the bores of conductors: temperatures, pressures, and the flow for a wish.

Every conductor is heated evenly along its length; its film and friction are those of solver.pipe at the mean
temperature of its water.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal

from .coolant import ATMOSPHERE, Coolant, Liquid
from .pipe import HIGHEST, PRANDTL, Passage, Regime, WaterError, nusselt, regime, root, split

SEARCHED = (1e-8, 0.1)  # flows looked through: [m3/s], part of the flow at the highest Reynolds number


@dataclass(frozen=True)
class Leg:
    """What the water does in one conductor; temperatures in degC."""

    passage: Passage
    flow: float  # [m3/s]
    liquid: Liquid  # at its mean temperature
    inlet: float
    outlet: float
    drop: float  # [Pa]
    pressure: float  # absolute, at its outlet [Pa]
    boiling: float  # at that pressure

    @property
    def velocity(self) -> float:
        """Mean speed [m/s]."""
        return self.flow / self.passage.area

    @property
    def reynolds(self) -> float:
        """Reynolds number on the hydraulic diameter [-]."""
        return self.liquid.density * self.velocity * self.passage.diameter / self.liquid.viscosity

    @property
    def regime(self) -> Regime:
        """How it flows."""
        return regime(self.reynolds)

    @property
    def film(self) -> float:
        """Heat transfer coefficient at the bore's face [W/(m2 K)]."""
        return nusselt(self.reynolds, self.liquid.prandtl) * self.liquid.conductivity / self.passage.diameter

    @property
    def film_rise(self) -> float:
        """Of the bore's face above the water, in the mean [K]."""
        return self.passage.loss / (self.passage.perimeter * self.film)

    @property
    def surface(self) -> float:
        """Hottest place on the bore's face where the water leaves."""
        return self.outlet + self.film_rise * self.passage.crowding

    @property
    def hottest(self) -> float:
        """Hottest metal where the water leaves."""
        return self.surface + self.passage.loss * self.passage.wall

    @property
    def metal(self) -> float:
        """Mean of the metal in the middle of its length."""
        return 0.5 * (self.inlet + self.outlet) + self.film_rise + self.passage.loss * self.passage.body

    @property
    def margin(self) -> float:
        """From the bore's face to boiling [K]; negative where the water boils at the wall."""
        return self.boiling - self.surface


@dataclass(frozen=True)
class Stream:
    """One flow through all passages."""

    flow: float  # [m3/s]
    outlet: float  # mixed [degC]
    drop: float  # [Pa]
    legs: tuple[Leg, ...]

    @property
    def heat(self) -> float:
        """Into the water [W]."""
        return sum(leg.passage.loss * leg.passage.length for leg in self.legs)

    @property
    def in_range(self) -> bool:
        """Whether the film correlation covers every leg."""
        return all(leg.reynolds <= HIGHEST and PRANDTL[0] <= leg.liquid.prandtl <= PRANDTL[1] for leg in self.legs)

    @property
    def surface(self) -> float:
        """Hottest face of a bore [degC]."""
        return max(leg.surface for leg in self.legs)

    @property
    def margin(self) -> float:
        """Smallest margin to boiling at a wall [K]."""
        return min(leg.margin for leg in self.legs)


@dataclass(frozen=True)
class WaterCircuit:
    """Passages in the order the water takes them.

    Parameters
    ----------
    passages : tuple of Passage
    inlet : float
        [degC]
    coolant : Coolant
    joined : "series" or "parallel"
    outlet_pressure : float
        Absolute [Pa].

    Examples
    --------
    Heating 10 l/min from 15 to 65 degC in a 30 mm tube of 5 m (a textbook's example; see the tests):

    >>> tube = Passage("tube", math.pi * 0.015**2, math.pi * 0.03, 5.0, 34.6e3 / 5)
    >>> stream = WaterCircuit((tube,), 15.0, outlet_pressure=ATMOSPHERE).at(10e-3 / 60)
    >>> round(stream.outlet, 1), round(stream.legs[0].velocity, 3)
    (64.7, 0.237)
    """

    passages: tuple[Passage, ...]
    inlet: float
    coolant: Coolant = field(default_factory=Coolant)
    joined: Literal["series", "parallel"] = "series"
    outlet_pressure: float = 2 * ATMOSPHERE

    def at(self, flow: float) -> Stream:
        """The stream of a total flow [m3/s], counted at the inlet.

        Raises
        ------
        WaterError
            The correlations do not reach so far.
        """
        return self._in_series(flow) if self.joined == "series" else self._in_parallel(flow)

    def flow_for_drop(self, drop: float) -> float:
        """Total flow [m3/s] that a pressure drop [Pa] pushes through."""
        return self._searched(lambda flow: self.at(flow).drop - drop, f"a pressure drop of {drop / 1e5:.3g} bar")

    def flow_for_outlet(self, temperature: float) -> float:
        """Smallest flow [m3/s] whose mixed outlet stays below a temperature [degC]."""
        self._above_inlet(temperature)
        return self._searched(lambda flow: temperature - self.at(flow).outlet, f"an outlet at {temperature:.4g} degC")

    def flow_for_surface(self, temperature: float) -> float:
        """Smallest flow [m3/s] that keeps the face of every bore below a temperature [degC]."""
        self._above_inlet(temperature)
        return self._searched(lambda flow: temperature - self.at(flow).surface, f"a wall at {temperature:.4g} degC")

    def _searched(self, excess: Callable[[float], float], what: str) -> float:
        """The flow at which a function that rises with it is zero."""
        liquid = self.coolant.at(self.inlet, self.outlet_pressure)
        widths = [p.area / p.diameter for p in self.passages]
        width = min(widths) if self.joined == "series" else sum(widths)
        fastest = width * HIGHEST * liquid.viscosity / liquid.density
        low, high = SEARCHED[0], SEARCHED[1] * fastest
        if excess(low) >= 0:
            return low
        if excess(high) < 0:
            raise WaterError(f"no flow up to {high * 6e4:.3g} l/min gives {what}")
        return root(excess, low, high)

    def _above_inlet(self, temperature: float) -> None:
        if temperature <= self.inlet:
            raise WaterError(f"expected a limit above the inlet's {self.inlet:g} degC, found {temperature:g} degC")

    def _in_series(self, flow: float) -> Stream:
        temperature, legs = self.inlet, []
        mass = flow * self.coolant.at(self.inlet, self.outlet_pressure).density
        for passage in self.passages:
            legs.append(self._leg(passage, mass, temperature))
            temperature = legs[-1].outlet
        below = 0.0
        for k in reversed(range(len(legs))):
            legs[k] = self._under(legs[k], below)
            below += legs[k].drop
        return Stream(flow, temperature, below, tuple(legs))

    def _in_parallel(self, flow: float) -> Stream:
        density = self.coolant.at(self.inlet, self.outlet_pressure).density
        flows = (flow / len(self.passages),) * len(self.passages)
        for _ in range(4):  # the share depends on the temperatures through the viscosity, a little
            legs = [self._leg(p, part * density, self.inlet) for p, part in zip(self.passages, flows, strict=True)]
            flows = split(self.passages, flow, [leg.liquid for leg in legs])
        mixed = sum(leg.outlet * part for leg, part in zip(legs, flows, strict=True)) / flow
        return Stream(flow, mixed, max(leg.drop for leg in legs), tuple(self._under(leg, 0.0) for leg in legs))

    def _leg(self, passage: Passage, mass: float, inlet: float) -> Leg:
        """A mass flow [kg/s] through one passage; pressure and boiling are filled in by `_under`."""
        rise = 0.0
        for _ in range(4):  # the heat capacity hardly changes: each turn gains three digits
            liquid = self.coolant.at(inlet + 0.5 * rise, self.outlet_pressure)
            rise = passage.loss * passage.length / (mass * liquid.heat_capacity)
        flow = mass / liquid.density
        return Leg(passage, flow, liquid, inlet, inlet + rise, passage.drop(flow, liquid), math.nan, math.nan)

    def _under(self, leg: Leg, below: float) -> Leg:
        pressure = self.outlet_pressure + below
        boiling = self.coolant.boiling(min(pressure, 2e7))
        return Leg(leg.passage, leg.flow, leg.liquid, leg.inlet, leg.outlet, leg.drop, pressure, boiling)
