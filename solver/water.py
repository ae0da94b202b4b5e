"""Water through the bores of conductors: flow, pressure drop, film and temperatures along the run.

Every conductor is heated evenly along its length. Nusselt numbers: laminar 4.36 (fully developed, even heating);
turbulent V. Gnielinski, Int. Chem. Eng. 16, 359-368, 1976, with the friction of a smooth pipe; between Reynolds
2300 and 4000 a straight line in Re (V. Gnielinski, Int. J. Heat Mass Transfer 63, 134-140, 2013). Measurements
scatter about them by 10 to 20 %. Friction: Colebrook's equation for the wall's roughness, 64/Re when laminar.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Literal

from ..geometries.errors import CrosscurrentError
from .coolant import ATMOSPHERE, Coolant, Liquid

Regime = Literal["laminar", "transition", "turbulent"]

LAMINAR, TURBULENT = 2300.0, 4000.0  # Reynolds numbers where the flow begins to be unsteady, and is turbulent
HIGHEST = 5e6  # Reynolds number up to which the correlation holds
PRANDTL = (0.5, 2000.0)  # range of the correlation
EVEN_HEATING = 4.36  # laminar Nusselt number of a round pipe
INTO, OUT_OF = 0.5, 1.0  # loss coefficients of a sharp inlet and of an outlet; textbooks of hydraulics
BEND = 0.9  # of a threaded 90 degree bend, a smooth one has 0.3; textbooks of hydraulics
DRAWN = 1.5e-6  # roughness of drawn copper [m]; textbooks of hydraulics
SCATTER = 0.2  # of film coefficients, relative
SEARCHED = (1e-8, 0.1)  # flows looked through: [m3/s], part of the flow at the highest Reynolds number


class WaterError(CrosscurrentError, ValueError):
    """A flow outside the range of the correlations, or one that cannot do what is asked."""


@dataclass(frozen=True)
class Passage:
    """The water's way through one conductor.

    Parameters
    ----------
    name : str
    area, perimeter : float
        Of its bores together [m2], [m]; unlike bores count as alike.
    length : float
        [m]
    loss : float
        Heat into the water [W/m].
    bends : int
        Turns of 90 degrees along it.
    roughness : float
        Of the bore [m].
    bores : int
    crowding : float
        Largest heat flux through the bores' faces over the mean.
    wall, body : float
        Thermal resistance from there to the hottest metal, and from the mean face to the mean metal [K m/W].
    """

    name: str
    area: float
    perimeter: float
    length: float
    loss: float
    bends: int = 0
    roughness: float = DRAWN
    bores: int = 1
    crowding: float = 1.0
    wall: float = 0.0
    body: float = 0.0

    @property
    def diameter(self) -> float:
        """Hydraulic diameter 4 A / P [m]."""
        return 4 * self.area / self.perimeter

    @property
    def is_round(self) -> bool:
        """Whether its bores are circles."""
        return 4 * math.pi * self.area * self.bores > 0.99 * self.perimeter**2

    def drop(self, flow: float, liquid: Liquid) -> float:
        """Pressure drop of a flow [m3/s] over friction, bends, inlet and outlet [Pa]."""
        speed = flow / self.area
        reynolds = liquid.density * speed * self.diameter / liquid.viscosity
        heads = friction(reynolds, self.roughness / self.diameter) * self.length / self.diameter
        return (heads + INTO + OUT_OF + BEND * self.bends) * 0.5 * liquid.density * speed**2


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
        return _root(excess, low, high)

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


def regime(reynolds: float) -> Regime:
    """How a pipe flow of a Reynolds number behaves."""
    if reynolds < LAMINAR:
        return "laminar"
    return "transition" if reynolds < TURBULENT else "turbulent"


def friction(reynolds: float, roughness: float = 0.0) -> float:
    """Darcy friction factor for a roughness relative to the diameter; a straight line between laminar and turbulent.

    Examples
    --------
    >>> round(friction(126400, 4.2e-5), 4)
    0.0174
    """
    from fluids.friction import friction_factor

    if reynolds <= LAMINAR:
        return 64 / max(reynolds, 1e-9)
    turbulent = float(friction_factor(Re=max(reynolds, TURBULENT), eD=roughness))
    return _blend(reynolds, 64 / LAMINAR, turbulent)


def nusselt(reynolds: float, prandtl: float) -> float:
    """Nusselt number of fully developed flow in an evenly heated pipe.

    Raises
    ------
    WaterError
        Reynolds above 5e6 or Prandtl outside 0.5 to 2000.

    Examples
    --------
    >>> round(nusselt(10760, 4.32), 1), nusselt(1000, 5.0)
    (70.6, 4.36)
    """
    from ht.conv_internal import turbulent_Gnielinski

    if reynolds > HIGHEST or not PRANDTL[0] <= prandtl <= PRANDTL[1]:
        raise WaterError(
            f"the film correlation holds up to Re = {HIGHEST:.0g} and for Pr from {PRANDTL[0]:g} to {PRANDTL[1]:g}, "
            f"found Re = {reynolds:.3g}, Pr = {prandtl:.3g}"
        )
    if reynolds <= LAMINAR:
        return EVEN_HEATING
    whole = max(reynolds, TURBULENT)
    smooth = (0.790 * math.log(whole) - 1.64) ** -2
    return _blend(reynolds, EVEN_HEATING, float(turbulent_Gnielinski(Re=whole, Pr=prandtl, fd=smooth)))


def split(passages: Sequence[Passage], flow: float, liquids: Sequence[Liquid]) -> tuple[float, ...]:
    """How a total flow [m3/s] shares between passages joined at both ends: all have the same pressure drop."""
    pairs = list(zip(passages, liquids, strict=True))
    # with the even share everywhere, the drop lies between the smallest and the largest of these
    even = [p.drop(flow / len(pairs), liquid) for p, liquid in pairs]
    if max(even) < (1 + 1e-9) * min(even):
        return (flow / len(pairs),) * len(pairs)

    def through(passage: Passage, liquid: Liquid, drop: float) -> float:
        most = max(1.0, drop / passage.drop(flow, liquid))  # the drop rises at least in proportion
        return _root(lambda part: passage.drop(part, liquid) - drop, 1e-9 * flow, 1.001 * most * flow)

    drop = _root(lambda d: sum(through(*pair, d) for pair in pairs) - flow, 0.999 * min(even), 1.001 * max(even))
    return tuple(through(*pair, drop) for pair in pairs)


def _blend(reynolds: float, laminar: float, turbulent: float) -> float:
    part = min(1.0, (reynolds - LAMINAR) / (TURBULENT - LAMINAR))
    return (1 - part) * laminar + part * turbulent


def _root(function: Callable[[float], float], low: float, high: float) -> float:
    """The zero of a rising function between two positive ends."""
    from scipy.optimize import brentq

    return float(math.exp(brentq(lambda x: function(math.exp(x)), math.log(low), math.log(high), xtol=1e-10)))
