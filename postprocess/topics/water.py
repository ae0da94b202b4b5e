"""What a stream of water through conductors comes to: its figures and its record."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.units import concise
from crosscurrent.solver.water.circuit import Branch, Stream, WaterCircuit
from crosscurrent.solver.water.cooled import WaterCooling
from crosscurrent.solver.water.enough import LITRE, rounded_up

ASSUMED = (
    "all loss of the named conductors goes into the water, but for what [cooling] lets go into the air; each is "
    "heated evenly along its length, at the mean temperature of its metal; bores of one conductor stand side by side "
    "and share its heat as conduction has it; pieces pressed together touch without resistance; film coefficients of "
    "developed flow (Gnielinski 1976 and 2013) at the mean temperature of the water: those of developing flow and of "
    "hotter water are higher, so that the hottest wall is rather cooler; friction after Colebrook, 0.9 velocity heads "
    "for each bend of 90 degrees and 1.5 for each conductor's inlet and outlet; boiling judged by the saturation of "
    "water, without the superheat it takes to begin; the flow for a limit rounded up and solved for (with a waveform "
    "estimated), the picture over flow with the same loss; litres are counted at the inlet; every frequency by "
    "itself, and all harmonics of [waveform] together; joints and ends heat no water here"
)


@dataclass(frozen=True, eq=False)
class WaterAnswer:
    """One stream of water at one frequency, or with a waveform.

    Attributes
    ----------
    name : str
        Of the conductors, as the user wrote them.
    water : WaterCooling
    frequency : float or None
        [Hz]; None for all harmonics of the waveform.
    gauge : float
        Pressure at the outlet above the atmosphere's [Pa].
    limits : mapping of str to float
        "wall" and "outlet", where stated [degC].
    needed : mapping of str to float or None
        Smallest flow for each of them, rounded up [m3/s]; None where none in the correlations' range is enough.
    to_not_boil : float or None
        Smallest flow that keeps every wall well below boiling, rounded up [m3/s], where one is close to it.
    """

    name: str
    water: WaterCooling
    frequency: float | None
    gauge: float
    limits: Mapping[Literal["wall", "outlet"], float]
    needed: Mapping[Literal["wall", "outlet"], float | None]
    to_not_boil: float | None

    @property
    def at(self) -> str:
        """The frequency as text."""
        return "the waveform" if self.frequency is None else concise(self.frequency, "Hz")

    @property
    def when(self) -> str:
        """The same in a sentence."""
        return f"with {self.at}" if self.frequency is None else f"at {self.at}"

    @property
    def circuit(self) -> WaterCircuit:
        """The passages, with the heat of each bore."""
        return self.water.circuit

    @property
    def stream(self) -> Stream:
        """What the water does in them."""
        return self.water.stream

    @property
    def flow(self) -> float:
        """Stated, or found from the pressure drop [m3/s]."""
        return self.stream.flow

    @property
    def boils_away(self) -> Branch | None:
        """The first branch that the water leaves as steam."""
        return next((branch for branch in self.stream.branches if branch.outlet >= branch.boiling), None)


def rise(c: WaterAnswer) -> Measured:
    """Of the water from inlet to outlet; its properties are known to about 0.1 %."""
    warmer = c.stream.outlet - c.circuit.inlet
    return Measured(warmer, abs(warmer) * (c.water.loss_error + 1e-3), "K", c.name, f"water {c.when}", c.frequency)


def wall(c: WaterAnswer, branch: Branch) -> Measured:
    """Hottest place of a bore."""
    return _hot(c, branch, branch.surface, branch.passage.label)


def hottest_metal(c: WaterAnswer) -> Iterator[Measured]:
    """Hottest place of every conductor."""
    for name, branch in branch_of_each(c).items():
        yield _hot(c, branch, branch.hottest, name)


def _hot(c: WaterAnswer, branch: Branch, temperature: float, place: str) -> Measured:
    """A temperature at a bore; without end where its water leaves as steam and cools no longer."""
    gone = branch.outlet >= branch.boiling
    value, error = (math.inf, 0.0) if gone else (temperature, c.water.wall_error(branch))
    return Measured(value, error, "degC", place, f"water {c.when}", c.frequency)


def litres(flow: float) -> str:
    """A flow [m3/s] in l/min."""
    return f"{flow / LITRE:.3g}" if flow < 1000 * LITRE else f"{flow / LITRE:.0f}"


def litres_at_least(flow: float) -> str:
    """A flow [m3/s] in l/min, rounded up: what needs it holds at the flow that is told.

    Examples
    --------
    >>> litres_at_least(5.7712 / 60000), litres(5.7712 / 60000)
    ('5.78', '5.77')
    """
    return litres(rounded_up(flow))


def record(c: WaterAnswer) -> dict[str, Json]:
    """For results.json."""
    stream = c.stream
    return {
        "conductors": [one.name for one in c.water.conductors],
        "frequency_hz": c.frequency,
        "heat_of": c.at,
        "coolant": c.circuit.coolant.name,
        "flow_m3_per_s": c.flow,
        "heat_w": stream.heat,
        "heat_to_air_w": c.water.to_air,
        "inlet_degc": c.circuit.inlet,
        "outlet_degc": stream.outlet,
        "pressure_drop_pa": stream.drop,
        "inlet_pressure_pa": c.circuit.outlet_pressure + stream.drop,
        "margin_to_boiling_k": stream.margin,
        "flow_needed_m3_per_s": {f"{what}_limit": flow for what, flow in c.needed.items()},
        "passages": {branch.passage.label: _branch(c, branch) for branch in stream.branches},
    }


def _branch(c: WaterAnswer, branch: Branch) -> dict[str, Json]:
    return {
        "flow_m3_per_s": branch.flow,
        "heat_w": branch.passage.loss * branch.passage.length,
        "velocity_m_per_s": branch.velocity,
        "reynolds": branch.reynolds,
        "regime": branch.regime,
        "film_w_per_m2_k": branch.film,
        "inlet_degc": branch.inlet,
        "outlet_degc": branch.outlet,
        "wall_temperature_degc": branch.surface,
        "wall_temperature_error_k": c.water.wall_error(branch),
        "heat_crowding": branch.passage.crowding,
        "hottest_metal_degc": branch.hottest,
        "mean_metal_degc": branch.metal,
        "pressure_drop_pa": branch.drop,
        "outlet_pressure_pa": branch.pressure,
        "boiling_degc": branch.boiling,
        "margin_to_boiling_k": branch.margin,
    }


def branch_of_each(c: WaterAnswer) -> dict[str, Branch]:
    """The branch of every conductor, that of the hottest metal where it has several bores."""
    return {branch.passage.name: branch for branch in sorted(c.stream.branches, key=lambda branch: branch.hottest)}
