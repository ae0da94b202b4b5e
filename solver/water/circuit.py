"""A stream of water through the bores of conductors: temperatures, pressures, and the flow for a wish.

Every bore is heated evenly along its length; its film and friction are those of `pipe` at the mean temperature
of its water. Bores of one conductor stand side by side: they have the same pressure drop.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import groupby
from typing import Literal

from .coolant import ATMOSPHERE, Coolant, Liquid
from .pipe import (
    HIGHEST,
    NOT_ROUND,
    PRANDTL,
    SCATTER,
    UNSURE,
    Passage,
    Regime,
    WaterError,
    nusselt,
    regime,
    root,
    split,
)

SEARCHED = (1e-15, 0.1)  # flows looked through: parts of that at the highest Reynolds number
ROUNDS = 6  # flows side by side depend on the temperatures through the viscosity, a little


@dataclass(frozen=True)
class Branch:
    """What the water does in one bore; temperatures in degC."""

    passage: Passage
    flow: float  # [m3/s]
    liquid: Liquid  # at its mean temperature
    inlet: float
    outlet: float
    drop: float  # [Pa]
    pressure: float = math.nan  # absolute, at its outlet [Pa]
    boiling: float = math.nan  # at that pressure

    @property
    def mass(self) -> float:
        """Flow [kg/s]."""
        return self.flow * self.liquid.density

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
    def scatter(self) -> float:
        """How far off the film coefficient may be, relative."""
        if self.regime == "transition":
            return UNSURE
        return SCATTER if self.regime == "turbulent" or self.passage.is_round else NOT_ROUND

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
    def spread(self) -> float:
        """How far the hottest metal lies above the mean of its section where the water leaves [K]."""
        return self.hottest - self.metal - 0.5 * (self.outlet - self.inlet)

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
    stages: tuple[tuple[Branch, ...], ...]  # one after the other, in each those side by side

    @property
    def branches(self) -> tuple[Branch, ...]:
        """All of them."""
        return tuple(branch for stage in self.stages for branch in stage)

    @property
    def heat(self) -> float:
        """Into the water [W]."""
        return sum(branch.passage.loss * branch.passage.length for branch in self.branches)

    @property
    def in_range(self) -> bool:
        """Whether the film correlation covers every branch."""
        return all(b.reynolds <= HIGHEST and PRANDTL[0] <= b.liquid.prandtl <= PRANDTL[1] for b in self.branches)

    @property
    def surface(self) -> float:
        """Hottest face of a bore [degC]."""
        return max(branch.surface for branch in self.branches)

    @property
    def margin(self) -> float:
        """Smallest margin to boiling at a wall [K]."""
        return min(branch.margin for branch in self.branches)

    @property
    def closest_to_boiling(self) -> Branch:
        """The branch with that margin."""
        return min(self.branches, key=lambda branch: branch.margin)


@dataclass(frozen=True)
class WaterCircuit:
    """Passages in the order the water takes them, the bores of one conductor next to one another.

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
    >>> round(stream.outlet, 1), round(stream.branches[0].velocity, 3)
    (64.7, 0.237)
    """

    passages: tuple[Passage, ...]
    inlet: float
    coolant: Coolant = field(default_factory=Coolant)
    joined: Literal["series", "parallel"] = "series"
    outlet_pressure: float = 2 * ATMOSPHERE

    @cached_property
    def stages(self) -> tuple[tuple[Passage, ...], ...]:
        """The passages one after the other, in each those side by side."""
        if self.joined == "parallel":
            return (self.passages,)
        return tuple(tuple(bores) for _, bores in groupby(self.passages, key=lambda p: p.name))

    def at(self, flow: float) -> Stream:
        """The stream of a total flow [m3/s], counted at the inlet."""
        mass = flow * self.coolant.at(self.inlet, self.outlet_pressure).density
        temperature, stages, below = self.inlet, [], 0.0
        for passages in self.stages:
            stages.append(self._side_by_side(passages, mass, temperature))
            temperature = sum(branch.outlet * branch.mass for branch in stages[-1]) / mass
        for k in reversed(range(len(stages))):
            drop = max(branch.drop for branch in stages[k])
            pressure = self.outlet_pressure + below
            boiling = self.coolant.boiling(min(pressure, 2e7))
            stages[k] = tuple(replace(branch, pressure=pressure, boiling=boiling) for branch in stages[k])
            below += drop
        return Stream(flow, temperature, below, tuple(stages))

    def flow_for_drop(self, drop: float) -> float:
        """Total flow [m3/s] that a pressure drop [Pa] pushes through.

        Raises
        ------
        WaterError
            It lies beyond the correlations.
        """
        return self.flow_where(lambda stream: stream.drop - drop, f"a pressure drop of {drop / 1e5:.3g} bar")

    def flow_for_outlet(self, temperature: float) -> float:
        """Smallest flow [m3/s] whose mixed outlet stays below a temperature [degC]."""
        self._above_inlet(temperature)
        return self.flow_where(lambda stream: temperature - stream.outlet, f"an outlet at {temperature:.4g} degC")

    def flow_for_surface(self, temperature: float) -> float:
        """Smallest flow [m3/s] that keeps the face of every bore below a temperature [degC]."""
        self._above_inlet(temperature)
        return self.flow_where(lambda stream: temperature - stream.surface, f"a wall at {temperature:.4g} degC")

    def flow_where(self, excess: Callable[[Stream], float], what: str) -> float:
        """Smallest flow [m3/s] at which something that rises with it is not negative; `what` it is, for messages.

        Raises
        ------
        WaterError
            It lies beyond the correlations.
        """
        liquid = self.coolant.at(self.inlet, self.outlet_pressure)
        width = min(sum(p.area / p.diameter for p in passages) for passages in self.stages)
        fastest = width * HIGHEST * liquid.viscosity / liquid.density
        low, high = (part * fastest for part in SEARCHED)
        if excess(self.at(low)) >= 0:
            return low
        if excess(self.at(high)) < 0:
            raise WaterError(f"no flow up to {high * 6e4:.3g} l/min gives {what}; ask for less")
        return root(lambda flow: excess(self.at(flow)), low, high)

    def _above_inlet(self, temperature: float) -> None:
        if temperature <= self.inlet:
            raise WaterError(f"expected a limit above the inlet's {self.inlet:g} degC, found {temperature:g} degC")

    def _side_by_side(self, passages: tuple[Passage, ...], mass: float, inlet: float) -> tuple[Branch, ...]:
        """The branches of a total mass flow [kg/s] through passages with the same pressure drop."""
        shares = (mass / len(passages),) * len(passages)
        branches = tuple(self._branch(p, share, inlet) for p, share in zip(passages, shares, strict=True))
        for _ in range(ROUNDS if len(passages) > 1 else 0):
            shares = split(passages, mass, [branch.liquid for branch in branches])
            branches = tuple(self._branch(p, share, inlet) for p, share in zip(passages, shares, strict=True))
            drops = [branch.drop for branch in branches]
            if max(drops) < (1 + 1e-6) * min(drops):
                break
        return branches

    def _branch(self, passage: Passage, mass: float, inlet: float) -> Branch:
        """A mass flow [kg/s] through one passage; pressure and boiling are not known yet."""
        rise = 0.0
        for _ in range(4):  # the heat capacity hardly changes: each turn gains three digits
            liquid = self.coolant.at(inlet + 0.5 * rise, self.outlet_pressure)
            rise = passage.loss * passage.length / (mass * liquid.heat_capacity)
        flow = mass / liquid.density
        return Branch(passage, flow, liquid, inlet, inlet + rise, passage.drop(flow, liquid))
