"""What a stream of water through conductors means for the reader: tables, sentences, warnings."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from ..solver.pipe import WaterError
from ..solver.problem import Conductor
from ..solver.water import Leg, Stream, WaterCircuit
from ..solver.wetted import wet_metals
from .beyond import bound_warnings
from .chapter import Measured
from .tables import TextTable
from .units import concise, engineering

EROSION = 2.5  # speed above which water wears copper [m/s]; common practice (2 to 3), no source
HIGH_PRESSURE = 1e6  # above the atmosphere's, more than hoses and pumps of cooling water usually bear [Pa]; likewise
NARROW = 1e-3  # bore that dirt soon stops [m]; likewise
ROUGHEST = 0.05  # roughness over the diameter up to which Colebrook's equation holds; textbooks of hydraulics
UNEVEN = 50.0  # hottest metal over the mean that is warned of: a fifth of copper's resistivity [K]
ROUNDS, SAME = 8, 1e-4  # in which a flow for a limit is found, and its change that ends the search, relative
CLOSE_TO_BOILING = 10.0  # margin below which a warning is due [K]
NOTHING = 1e-6  # part of the flow that counts as none
LITRE = 1 / 60_000  # l/min in m3/s
ASSUMED = (
    "all loss of the named conductors goes into the water, but for what [cooling] lets go into the air; each is heated "
    "evenly along its length, at the mean temperature of its metal; bores of one conductor stand side by side and "
    "share its heat as conduction has it; pieces pressed together touch without resistance; film coefficients of "
    "developed flow (Gnielinski 1976 and 2013) at the mean temperature of the water: those of developing flow and of "
    "hotter water are higher, so that the hottest wall is rather cooler; friction after Colebrook, 0.9 velocity heads "
    "for each bend of 90 degrees and 1.5 for each conductor's inlet and outlet; boiling judged by the saturation of "
    "water, without the superheat it takes to begin; the flow for a limit with the loss it would leave, the picture "
    "over flow with the same loss; litres are counted at the inlet; every frequency by itself, and all harmonics of "
    "[waveform] together; joints and ends heat no water here"
)


@dataclass(frozen=True, eq=False)
class Cooled:
    """One stream of water at one frequency, or with a waveform.

    Attributes
    ----------
    name : str
        Of the conductors, as the user wrote them.
    circuit : WaterCircuit
    stream : Stream
    frequency : float or None
        [Hz]; None for all harmonics of the waveform.
    spread : float
        Frequency at which the loss is spread over the section as assumed here [Hz].
    loss_error : float
        Relative bound.
    gauge : float
        Pressure at the outlet above the atmosphere's [Pa].
    to_air : float or None
        Heat of its conductors that does not go into the water [W]; None without [cooling].
    conductors : mapping of str to Conductor
        At the temperatures they were computed at.
    limits : mapping of str to float
        "wall" and "outlet", where stated [degC].
    refitted : callable
        A circuit like `circuit` with losses and their spread as they would be at another flow [m3/s].
    """

    name: str
    circuit: WaterCircuit
    stream: Stream
    frequency: float | None
    spread: float
    loss_error: float
    gauge: float
    to_air: float | None
    conductors: Mapping[str, Conductor]
    limits: Mapping[str, float]
    refitted: Callable[[WaterCircuit, float], WaterCircuit]

    @property
    def at(self) -> str:
        """The frequency as text."""
        return "the waveform" if self.frequency is None else concise(self.frequency, "Hz")

    @property
    def when(self) -> str:
        """The same in a sentence."""
        return f"with {self.at}" if self.frequency is None else f"at {self.at}"

    @property
    def flow(self) -> float:
        """Stated, or found from the pressure drop [m3/s]."""
        return self.stream.flow

    @property
    def boils_away(self) -> Leg | None:
        """The first leg that the water leaves as steam."""
        return next((leg for leg in self.stream.legs if leg.outlet >= leg.boiling), None)

    @cached_property
    def needed(self) -> dict[str, float | None]:
        """Smallest flow for each stated limit [m3/s]; None where no flow in the correlations' range is enough."""
        ways = {"wall": WaterCircuit.flow_for_surface, "outlet": WaterCircuit.flow_for_outlet}
        return {what: self._flow_for(ways[what], limit) for what, limit in self.limits.items()}

    @cached_property
    def to_not_boil(self) -> float | None:
        """Smallest flow that leaves every wall `CLOSE_TO_BOILING` below boiling [m3/s]; None if there is none."""
        limit = min(leg.boiling for leg in self.stream.legs) - CLOSE_TO_BOILING
        return self._flow_for(WaterCircuit.flow_for_surface, limit)

    def _flow_for(self, way: Callable[[WaterCircuit, float], float], limit: float) -> float | None:
        circuit, before = self.circuit, math.inf
        try:
            for _ in range(ROUNDS):
                flow = way(circuit, limit)
                if abs(flow - before) <= SAME * flow:
                    break
                circuit, before = self.refitted(circuit, flow), flow
        except WaterError:
            return None
        return flow


def rise(c: Cooled) -> Measured:
    """Of the water from inlet to outlet; its properties are known to about 0.1 %."""
    warmer = c.stream.outlet - c.circuit.inlet
    return Measured(warmer, abs(warmer) * (c.loss_error + 1e-3), "K", c.name, f"water {c.when}")


def wall(c: Cooled, leg: Leg) -> Measured:
    """Hottest place of a bore."""
    return Measured(leg.surface, wall_error(c, leg), "degC", leg.passage.label, f"water {c.when}")


def hottest_metal(c: Cooled) -> Iterator[Measured]:
    """Hottest place of every conductor."""
    for name, leg in _by_conductor(c).items():
        yield Measured(leg.hottest, wall_error(c, leg), "degC", name, f"water {c.when}")


def _litres(flow: float) -> str:
    """A flow [m3/s] in l/min."""
    return f"{flow / LITRE:.3g}" if flow < 1000 * LITRE else f"{flow / LITRE:.0f}"


def _unless_boiled(leg: Leg, value: float, digits: int = 4) -> str:
    """A temperature, where there still is water to give it a meaning."""
    return f"{value:.{digits}g}" if leg.outlet < leg.boiling else "boils"


def wall_error(c: Cooled, leg: Leg) -> float:
    """What the scatter of the film coefficient and the bar of the loss make of the hottest wall [K]."""
    return leg.scatter * abs(leg.surface - leg.outlet) + c.loss_error * abs(leg.surface - leg.inlet)


def record(c: Cooled) -> dict[str, Any]:
    """For results.json."""
    stream = c.stream
    return {
        "conductors": list(c.conductors),
        "frequency_hz": c.frequency,
        "heat_of": c.at,
        "coolant": c.circuit.coolant.name,
        "flow_m3_per_s": c.flow,
        "heat_w": stream.heat,
        "heat_to_air_w": c.to_air,
        "inlet_degc": c.circuit.inlet,
        "outlet_degc": stream.outlet,
        "pressure_drop_pa": stream.drop,
        "inlet_pressure_pa": c.circuit.outlet_pressure + stream.drop,
        "margin_to_boiling_k": stream.margin,
        "flow_needed_m3_per_s": {f"{what}_limit": flow for what, flow in c.needed.items()},
        "passages": {leg.passage.label: _leg(c, leg) for leg in stream.legs},
    }


def _leg(c: Cooled, leg: Leg) -> dict[str, Any]:
    return {
        "flow_m3_per_s": leg.flow,
        "heat_w": leg.passage.loss * leg.passage.length,
        "velocity_m_per_s": leg.velocity,
        "reynolds": leg.reynolds,
        "regime": leg.regime,
        "film_w_per_m2_k": leg.film,
        "inlet_degc": leg.inlet,
        "outlet_degc": leg.outlet,
        "wall_temperature_degc": leg.surface,
        "wall_temperature_error_k": wall_error(c, leg),
        "heat_crowding": leg.passage.crowding,
        "hottest_metal_degc": leg.hottest,
        "mean_metal_degc": leg.metal,
        "pressure_drop_pa": leg.drop,
        "outlet_pressure_pa": leg.pressure,
        "boiling_degc": leg.boiling,
        "margin_to_boiling_k": leg.margin,
    }


def stream_table(cooled: Sequence[Cooled]) -> TextTable:
    """One line per stream and frequency."""
    columns = ("water through", "at", "heat", "flow [l/min]", "inlet", "outlet [degC]", "drop [bar]", "to boiling [K]")
    rows = tuple(
        (
            _named(c),
            c.at,
            engineering(c.stream.heat, "W"),
            _litres(c.flow),
            f"{c.circuit.inlet:.4g}",
            f"{c.stream.outlet:.4g}" if c.boils_away is None else "boils",
            f"{c.stream.drop / 1e5:.3g}",
            f"{c.stream.margin:.3g}" if c.boils_away is None else "none",
        )
        for c in cooled
    )
    return TextTable("Water cooling (whole run)", columns, rows)


def _named(c: Cooled) -> str:
    glycol = c.circuit.coolant.glycol
    remarks: list[str] = [c.circuit.joined] if len(c.conductors) > 1 else []
    remarks += [f"{100 * glycol:g} % glycol"] if glycol else []
    return f"{c.name} ({', '.join(remarks)})" if remarks else c.name


def leg_table(cooled: Sequence[Cooled]) -> TextTable:
    """One line per conductor and frequency."""
    columns = ("conductor", "at", "[m/s]", "Re", "flow is", "h [W/m2K]", "bore wall [degC]", "+-", "hottest metal")
    rows = tuple(
        (
            leg.passage.label,
            c.at,
            f"{leg.velocity:.3g}",
            f"{leg.reynolds:.0f}",
            leg.regime,
            f"{leg.film:.0f}",
            _unless_boiled(leg, leg.surface),
            _unless_boiled(leg, wall_error(c, leg), 2),
            _unless_boiled(leg, leg.hottest),
        )
        for c in cooled
        for leg in c.stream.legs
    )
    return TextTable("Each conductor where its water leaves", columns, rows)


def sentences(c: Cooled) -> Iterator[str]:
    """What the water does, and whether the flow is enough."""
    stream = c.stream
    head = f"{c.name} {c.when}"
    becomes = f"warm from {c.circuit.inlet:.4g} to {c.stream.outlet:.4g} degC" if c.boils_away is None else "boil away"
    if stream.heat < 0:
        becomes = f"cool from {c.circuit.inlet:.4g} to {c.stream.outlet:.4g} degC"
    yield (
        f"{head}: {_litres(c.flow)} l/min {'take' if stream.heat >= 0 else 'give'} "
        f"{engineering(abs(stream.heat), 'W')} and {becomes}; pressure drop {stream.drop / 1e5:.2g} bar, from "
        f"{(c.gauge + stream.drop) / 1e5:.3g} to {c.gauge / 1e5:.3g} bar above the atmosphere's"
    )
    yield from _shares(c, head)
    for what, flow in c.needed.items():
        limit = c.limits[what]
        if flow is None:
            yield f"{head}: no flow within the range of the correlations keeps the {what} below {limit:g} degC"
            continue
        if flow < NOTHING * c.flow:
            yield f"{head}: any flow keeps the {what} below {limit:g} degC"
            continue
        enough = "enough" if c.flow >= flow * (1 - 1e-9) else "not enough"
        yield (
            f"{head}: to keep the {what} below {limit:g} degC takes {_litres(flow)} l/min at least; "
            f"{_litres(c.flow)} l/min are {enough}"
        )
    if any(leg.regime == "transition" for leg in stream.legs):
        yield f"{head}: between laminar and turbulent (Re 2300 to 4000) film and pressure drop are known to 30 % only"
    yield from _metals(c)


def _shares(c: Cooled, head: str) -> Iterator[str]:
    """Where heat comes from and goes, if not from one frequency into the water."""
    if c.frequency is None:
        spread = concise(c.spread, "Hz")
        yield f"{head}: the losses of all its harmonics together, spread over the sections as at {spread}"
    if c.to_air is not None:
        air = engineering(abs(c.to_air), "W")
        made = engineering(c.stream.heat + c.to_air, "W")
        yield (
            f"{head}: of the {made} made there, {air} go into the air and to other conductors, not into the water"
            if c.to_air >= 0
            else f"{head}: besides the {made} made there, {air} come from the air and from other conductors"
        )


def _metals(c: Cooled) -> Iterator[str]:
    """Which temperature every conductor was computed at."""
    legs = _by_conductor(c)
    for name, conductor in c.conductors.items():
        leg, used = legs[name], conductor.temperature
        if leg.outlet >= leg.boiling:
            yield f"{name} was computed at {used:.4g} degC; without water it would get far hotter"
        elif abs(used - leg.metal) > 1:
            yield (
                f"{name} was computed at {used:.4g} degC; with this water its metal would be at "
                f"{leg.metal:.4g} degC in the mean"
            )
        else:
            yield f"{name}: its resistivity is that of {used:.4g} degC, the mean of its metal in this water"


def warnings(c: Cooled) -> Iterator[str]:
    """Boiling, melting, pressure, wear, and where the correlations are weak."""
    head = f"water {c.when}"
    yield from _boiling(c, head)
    if c.boils_away is None:
        yield from bound_warnings(c.conductors.values(), hottest_metal(c))
        yield from _uneven(c, head)
    if c.gauge + c.stream.drop > HIGH_PRESSURE:
        yield (
            f"{head}: {(c.gauge + c.stream.drop) / 1e5:.3g} bar at the inlet of {c.name} are more than the 10 bar that "
            "hoses and pumps of cooling water usually bear (common practice)"
        )
    fastest = max(c.stream.legs, key=lambda leg: leg.velocity)
    if fastest.velocity > EROSION:
        yield (
            f'{head}: {fastest.velocity:.2g} m/s in "{fastest.passage.label}" is more than the 2 to 3 m/s that copper '
            "stands without wear (common practice)"
        )
    for leg in c.stream.legs:
        yield from _out_of_range(leg, head)


def _boiling(c: Cooled, head: str) -> Iterator[str]:
    worst = min(c.stream.legs, key=lambda leg: leg.margin)
    if worst.margin >= max(CLOSE_TO_BOILING, wall_error(c, worst)):
        return
    where = f'in "{worst.passage.label}", where the wall would be at {worst.surface:.4g} degC'
    pressure = f"it boils at {worst.boiling:.4g} degC under {worst.pressure / 1e5:.3g} bar absolute"
    better = "" if c.to_not_boil is None else f"; {_litres(c.to_not_boil)} l/min would keep it from that"
    if c.boils_away is not None:
        yield f'{head}: the water boils away in "{c.boils_away.passage.label}" before it leaves ({pressure}){better}'
    else:
        how = "boils" if worst.margin <= 0 else "is close to boiling"
        yield f"{head}: the water {how} at the wall {where}: {pressure}{better}"


def _uneven(c: Cooled, head: str) -> Iterator[str]:
    """Conductors too far from one temperature for one resistivity."""
    for leg in _by_conductor(c).values():
        above = leg.hottest - leg.metal - 0.5 * (leg.outlet - leg.inlet)
        if above > UNEVEN:
            yield (
                f'{head}: the metal of "{leg.passage.name}" is at {leg.hottest:.4g} degC where it is hottest, '
                f"{above:.3g} K above the mean of that section, whose resistivity it has all over: cold places carry "
                "more current than computed, hot ones less"
            )


def _by_conductor(c: Cooled) -> dict[str, Leg]:
    """The leg of every conductor, that of the hottest metal where it has several bores."""
    return {leg.passage.name: leg for leg in sorted(c.stream.legs, key=lambda leg: leg.hottest)}


def _out_of_range(leg: Leg, head: str) -> Iterator[str]:
    passage = leg.passage
    if leg.regime == "laminar" and not passage.is_round:
        yield (
            f'{head}: laminar flow in the bore of "{passage.label}", which is not round: its film and pressure '
            "drop, taken from a round one of the same hydraulic diameter, are known to a third only"
        )
    if passage.roughness > ROUGHEST * passage.diameter:
        rough, wide = concise(passage.roughness, "m"), concise(passage.diameter, "m", 3)
        yield (
            f'{head}: a roughness of {rough} in the bore of "{passage.label}", {wide} wide, is more than the twentieth '
            "up to which the friction is known"
        )
    if passage.diameter < NARROW:
        yield (
            f'{head}: the bore of "{passage.label}" is {concise(passage.diameter, "m", 3)} wide: dirt soon stops it, '
            "so filter the water (common practice)"
        )


def mixed_metals(cooled: Sequence[Cooled]) -> Iterator[str]:
    """Aluminium and copper that water touches in one case."""
    wet = {metal: name for c in cooled for name, part in c.conductors.items() for metal in wet_metals(part)}
    light = next((metal for metal in wet if metal.startswith("aluminium")), None)
    red = next((metal for metal in wet if metal in ("copper", "brass", "bronze")), None)
    if light and red:
        yield (
            f'water touches {light} ("{wet[light]}") and {red} ("{wet[red]}"): in one circuit copper dissolved in the '
            "water eats holes into aluminium; keep their circuits apart, or use an inhibitor (common practice)"
        )
