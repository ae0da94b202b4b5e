"""What a stream of water through conductors means for the reader: tables, sentences, warnings."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from ..solver.pipe import SCATTER, WaterError
from ..solver.water import Leg, Stream, WaterCircuit
from .chapter import Measured
from .tables import TextTable
from .units import concise, engineering

EROSION = 2.5  # speed above which water wears copper [m/s]; common practice (2 to 3), no source
CLOSE_TO_BOILING = 10.0  # margin below which a warning is due [K]
LITRE = 1 / 60_000  # l/min in m3/s
ASSUMED = (
    "all loss of the named conductors goes into the water, each heated evenly along its length; film coefficients of "
    "developed flow (Gnielinski 1976 and 2013), friction after Colebrook, 0.9 velocity heads for each bend of 90 "
    "degrees and 1.5 for each conductor's inlet and outlet; boiling judged by the saturation of water, without the "
    "superheat it takes to begin; every frequency by itself"
)


@dataclass(frozen=True, eq=False)
class Cooled:
    """One stream of water at one frequency.

    Attributes
    ----------
    name : str
        Of the conductors, as the user wrote them.
    circuit : WaterCircuit
    stream : Stream
    frequency : float
        [Hz]
    loss_error : float
        Relative bound.
    metal : mapping of str to float
        Temperature each conductor was computed at [degC].
    limits : mapping of str to float
        "wall" and "outlet", where stated [degC].
    """

    name: str
    circuit: WaterCircuit
    stream: Stream
    frequency: float
    loss_error: float
    metal: Mapping[str, float]
    limits: Mapping[str, float]

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
        ways = {"wall": self.circuit.flow_for_surface, "outlet": self.circuit.flow_for_outlet}
        found: dict[str, float | None] = {}
        for what, limit in self.limits.items():
            with contextlib.suppress(WaterError):
                found[what] = None
                found[what] = ways[what](limit)
        return found

    @cached_property
    def to_not_boil(self) -> float | None:
        """Smallest flow that leaves every wall `CLOSE_TO_BOILING` below boiling [m3/s]; None if there is none."""
        try:
            limit = min(leg.boiling for leg in self.stream.legs) - CLOSE_TO_BOILING
            return self.circuit.flow_for_surface(limit)
        except WaterError:
            return None


def rise(c: Cooled) -> Measured:
    """Of the water from inlet to outlet; its properties are known to about 0.1 %."""
    warmer = c.stream.outlet - c.circuit.inlet
    return Measured(warmer, warmer * (c.loss_error + 1e-3), "K", c.name)


def wall(leg: Leg) -> Measured:
    """Hottest place of a bore."""
    return Measured(leg.surface, wall_error(leg), "degC", leg.passage.name)


def _litres(flow: float) -> str:
    """A flow [m3/s] in l/min."""
    return f"{flow / LITRE:.3g}" if flow < 1000 * LITRE else f"{flow / LITRE:.0f}"


def _unless_boiled(leg: Leg, value: float, digits: int = 4) -> str:
    """A temperature, where there still is water to give it a meaning."""
    return f"{value:.{digits}g}" if leg.outlet < leg.boiling else "boils"


def wall_error(leg: Leg) -> float:
    """What the scatter of the film coefficient makes of the hottest wall [K]."""
    return SCATTER * (leg.surface - leg.outlet)


def record(c: Cooled) -> dict[str, Any]:
    """For results.json."""
    stream = c.stream
    return {
        "conductors": [leg.passage.name for leg in stream.legs],
        "frequency_hz": c.frequency,
        "coolant": c.circuit.coolant.name,
        "flow_m3_per_s": c.flow,
        "heat_w": stream.heat,
        "inlet_degc": c.circuit.inlet,
        "outlet_degc": stream.outlet,
        "pressure_drop_pa": stream.drop,
        "margin_to_boiling_k": stream.margin,
        "flow_needed_m3_per_s": {f"{what}_limit": flow for what, flow in c.needed.items()},
        "passages": {leg.passage.name: _leg(leg) for leg in stream.legs},
    }


def _leg(leg: Leg) -> dict[str, Any]:
    return {
        "velocity_m_per_s": leg.velocity,
        "reynolds": leg.reynolds,
        "regime": leg.regime,
        "film_w_per_m2_k": leg.film,
        "inlet_degc": leg.inlet,
        "outlet_degc": leg.outlet,
        "wall_temperature_degc": leg.surface,
        "wall_temperature_error_k": wall_error(leg),
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
            concise(c.frequency, "Hz"),
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
    remarks: list[str] = [c.circuit.joined] if len(c.stream.legs) > 1 else []
    remarks += [f"{100 * glycol:g} % glycol"] if glycol else []
    return f"{c.name} ({', '.join(remarks)})" if remarks else c.name


def leg_table(cooled: Sequence[Cooled]) -> TextTable:
    """One line per conductor and frequency."""
    columns = ("conductor", "at", "[m/s]", "Re", "flow is", "h [W/m2K]", "bore wall [degC]", "+-", "hottest metal")
    rows = tuple(
        (
            leg.passage.name,
            concise(c.frequency, "Hz"),
            f"{leg.velocity:.3g}",
            f"{leg.reynolds:.0f}",
            leg.regime,
            f"{leg.film:.0f}",
            _unless_boiled(leg, leg.surface),
            _unless_boiled(leg, wall_error(leg), 2),
            _unless_boiled(leg, leg.hottest),
        )
        for c in cooled
        for leg in c.stream.legs
    )
    return TextTable("Each conductor where its water leaves", columns, rows)


def sentences(c: Cooled) -> Iterator[str]:
    """What the water does, and whether the flow is enough."""
    stream = c.stream
    head = f"{c.name} at {concise(c.frequency, 'Hz')}"
    becomes = f"warm from {c.circuit.inlet:.4g} to {c.stream.outlet:.4g} degC" if c.boils_away is None else "boil away"
    yield (
        f"{head}: {_litres(c.flow)} l/min take {engineering(stream.heat, 'W')} and {becomes}; pressure drop "
        f"{stream.drop / 1e5:.2g} bar"
    )
    for what, flow in c.needed.items():
        limit = c.limits[what]
        if flow is None:
            yield f"{head}: no flow within the range of the correlations keeps the {what} below {limit:g} degC"
            continue
        enough = "enough" if c.flow >= flow * (1 - 1e-9) else "not enough"
        yield (
            f"{head}: to keep the {what} below {limit:g} degC takes {_litres(flow)} l/min at least; "
            f"{_litres(c.flow)} l/min are {enough}"
        )
    if any(leg.regime == "transition" for leg in stream.legs):
        yield f"{head}: between laminar and turbulent (Re 2300 to 4000) film and pressure drop are known to 30 % only"
    for leg in stream.legs:
        used = c.metal[leg.passage.name]
        if leg.outlet >= leg.boiling:
            yield f"{leg.passage.name} was computed at {used:.4g} degC; without water it would get far hotter"
        elif abs(used - leg.metal) > 1:
            yield (
                f"{leg.passage.name} was computed at {used:.4g} degC; with this water its metal would be at "
                f"{leg.metal:.4g} degC in the mean"
            )
        else:
            yield f"{leg.passage.name}: its resistivity is that of {used:.4g} degC, the mean of its metal in this water"


def warnings(c: Cooled) -> Iterator[str]:
    """Boiling, wear, and where the correlations are weak."""
    head, legs = f"water at {concise(c.frequency, 'Hz')}", c.stream.legs
    worst, fastest = min(legs, key=lambda leg: leg.margin), max(legs, key=lambda leg: leg.velocity)
    where = f'in "{worst.passage.name}", where the wall would be at {worst.surface:.4g} degC'
    pressure = f"it boils at {worst.boiling:.4g} degC under {worst.pressure / 1e5:.3g} bar absolute"
    better = "" if c.to_not_boil is None else f"; {_litres(c.to_not_boil)} l/min would keep it from that"
    if c.boils_away is not None:
        yield f'{head}: the water boils away in "{c.boils_away.passage.name}" before it leaves ({pressure}){better}'
    elif worst.margin <= 0:
        yield f"{head}: the water boils at the wall {where}: {pressure}{better}"
    elif worst.margin < max(CLOSE_TO_BOILING, wall_error(worst)):
        yield f"{head}: the water is close to boiling at the wall {where}: {pressure}{better}"
    if fastest.velocity > EROSION:
        yield (
            f'{head}: {fastest.velocity:.2g} m/s in "{fastest.passage.name}" is more than the 2 to 3 m/s that copper '
            "stands without wear (common practice)"
        )
    for leg in legs:
        if leg.regime == "laminar" and not leg.passage.is_round:
            yield (
                f'{head}: laminar flow in the bore of "{leg.passage.name}", which is not round: its film and pressure '
                "drop, taken from a round one of the same hydraulic diameter, are known to a third only"
            )
