"""Flow through pipes: friction, film coefficient, and how a flow shares between pipes side by side.

Nusselt numbers: laminar 4.36 (fully developed, even heating); turbulent V. Gnielinski, Int. Chem. Eng. 16, 359-368,
1976, with the friction of a smooth pipe; between Reynolds 2300 and 4000 a straight line in Re (V. Gnielinski, Int. J.
Heat Mass Transfer 63, 134-140, 2013). Measurements scatter about them by 10 to 20 %. Friction: Colebrook's equation
for the wall's roughness, 64/Re when laminar.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from crosscurrent.geometries.errors import CrosscurrentError

from .bend import laminar_bend, turbulent_bend
from .coolant import Liquid

Regime = Literal["laminar", "transition", "turbulent"]

LAMINAR, TURBULENT = 2300.0, 4000.0  # Reynolds numbers where the flow begins to be unsteady, and is turbulent
HIGHEST = 5e6  # Reynolds number up to which the correlation holds
PRANDTL = (0.5, 2000.0)  # range of the correlation
EVEN_HEATING = 4.36  # laminar Nusselt number of a round pipe
INTO, OUT_OF = 0.5, 1.0  # loss coefficients of a sharp inlet and of an outlet; textbooks of hydraulics
BEND = 0.9  # of a threaded 90 degree bend, a smooth one has 0.3; textbooks of hydraulics
DRAWN = 1.5e-6  # roughness of drawn copper [m]; textbooks of hydraulics
ROUGHEST = 0.05  # roughness over the diameter up to which Colebrook's equation holds; textbooks of hydraulics
SCATTER = 0.2  # of film coefficients, relative
UNSURE = 0.3  # the same between laminar and turbulent
NOT_ROUND = 0.35  # the same of laminar flow in a bore that is not round


class WaterError(CrosscurrentError, ValueError):
    """A flow outside the range of the correlations, or one that cannot do what is asked."""


@dataclass(frozen=True)
class Passage:
    """The water's way through one bore of a conductor.

    Parameters
    ----------
    name : str
        Of the conductor.
    area, perimeter : float
        [m2], [m]
    length : float
        [m]
    loss : float
        Heat into the water [W/m].
    bends : int
        Turns of 90 degrees along it.
    roughness : float
        [m]
    bore : int
        Its number in a conductor with several bores, from 1; else 0.
    crowding : float
        Largest heat flux through its face over the mean.
    wall, body : float
        Thermal resistance from there to the hottest metal, and from the mean face to the mean metal [K m/W].
    turn : float
        Diameter of the turn that it goes round [m]; 0 where it is straight.
    ends : float
        How many sharp inlets, and outlets, belong to it: less than one for a turn of a longer tube.
    """

    name: str
    area: float
    perimeter: float
    length: float
    loss: float
    bends: int = 0
    roughness: float = DRAWN
    bore: int = 0
    crowding: float = 1.0
    wall: float = 0.0
    body: float = 0.0
    turn: float = 0.0
    ends: float = 1.0

    @property
    def label(self) -> str:
        """The conductor's name, with the bore where it has several."""
        return f"{self.name}, bore {self.bore}" if self.bore else self.name

    @property
    def diameter(self) -> float:
        """Hydraulic diameter 4 A / P [m]."""
        return 4 * self.area / self.perimeter

    @property
    def is_round(self) -> bool:
        """Whether it is a circle."""
        return 4 * math.pi * self.area > 0.99 * self.perimeter**2

    def drop(self, flow: float, liquid: Liquid) -> float:
        """Pressure drop of a flow [m3/s] over friction, bends, inlet and outlet [Pa]."""
        speed = flow / self.area
        reynolds = liquid.density * speed * self.diameter / liquid.viscosity
        straight = friction(reynolds, self.roughness / self.diameter)
        heads = straight * self.bend(reynolds) * self.length / self.diameter
        return (heads + self.ends * (INTO + OUT_OF) + BEND * self.bends) * 0.5 * liquid.density * speed**2

    def bend(self, reynolds: float) -> float:
        """Its friction over that of a straight tube at a Reynolds number."""
        if not self.turn:
            return 1.0
        ratio = self.diameter / self.turn
        straight = friction(reynolds, self.roughness / self.diameter)
        laminar = 64 / max(reynolds, 1e-9) * laminar_bend(reynolds, ratio) / straight
        return max(laminar, turbulent_bend(reynolds, ratio) if reynolds > LAMINAR else 1.0)


def regime(reynolds: float) -> Regime:
    """How a pipe flow of a Reynolds number behaves.

    Examples
    --------
    >>> regime(2000.0), regime(3000.0), regime(1e4)
    ('laminar', 'transition', 'turbulent')
    """
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
            f"found Re = {reynolds:.3g}, Pr = {prandtl:.3g}; take less flow or a wider bore"
        )
    if reynolds <= LAMINAR:
        return EVEN_HEATING
    whole = max(reynolds, TURBULENT)
    smooth = (0.790 * math.log(whole) - 1.64) ** -2
    return _blend(reynolds, EVEN_HEATING, float(turbulent_Gnielinski(Re=whole, Pr=prandtl, fd=smooth)))


def split(passages: Sequence[Passage], flow: float, liquids: Sequence[Liquid]) -> tuple[float, ...]:
    """How a total flow [kg/s] shares between passages joined at both ends: all have the same pressure drop.

    Examples
    --------
    Two like passages take half of it each:

    >>> from crosscurrent.solver.water.coolant import Coolant
    >>> tube = Passage("tube", 7.9e-5, 0.0314, 2.0, 0.0)
    >>> split((tube, tube), 0.1, [Coolant().at(30.0)] * 2)
    (0.05, 0.05)
    """
    pairs = list(zip(passages, liquids, strict=True))
    # with the even share everywhere, the drop lies between the smallest and the largest of these
    even = [p.drop(flow / len(pairs) / liquid.density, liquid) for p, liquid in pairs]
    if max(even) < (1 + 1e-9) * min(even):
        return (flow / len(pairs),) * len(pairs)

    def through(passage: Passage, liquid: Liquid, drop: float) -> float:
        most = max(1.0, drop / passage.drop(flow / liquid.density, liquid))  # the drop rises at least in proportion
        return root(lambda m: passage.drop(m / liquid.density, liquid) - drop, 1e-9 * flow, 1.001 * most * flow)

    drop = root(lambda d: sum(through(*pair, d) for pair in pairs) - flow, 0.999 * min(even), 1.001 * max(even))
    return tuple(through(*pair, drop) for pair in pairs)


def _blend(reynolds: float, laminar: float, turbulent: float) -> float:
    part = min(1.0, (reynolds - LAMINAR) / (TURBULENT - LAMINAR))
    return (1 - part) * laminar + part * turbulent


def root(function: Callable[[float], float], low: float, high: float) -> float:
    """The zero of a rising function between two positive ends."""
    from scipy.optimize import brentq

    return float(math.exp(brentq(lambda x: function(math.exp(x)), math.log(low), math.log(high), xtol=1e-10)))
