"""Temperatures in air as every output says them: numbers, table, sentences, warnings, what limits refer to."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..solver.balance import CEILING
from ..solver.convection import SCATTER, Correlation
from ..solver.cooling import Cooling
from ..solver.problem import Conductor
from ..solver.rated import Rating, State
from ..solver.solve import Solution
from .answers import Answers
from .chapter import Measured
from .tables import TextTable
from .units import concise, engineering

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True, eq=False)
class Warmth:
    """What was found at one frequency [Hz]: a steady state, or the words why there is none."""

    frequency: float
    conductors: tuple[Conductor, ...]
    state: State | None
    rating: Rating | None = None
    why: str = ""
    runaway: frozenset[str] = frozenset()  # conductors that have no stable temperature

    @property
    def at(self) -> str:
        """The frequency as text."""
        return concise(self.frequency, "Hz")


def assumptions(cooling: Cooling, found: Sequence[Warmth]) -> list[str]:
    """Everything that was taken for granted, with sources."""
    stream, finish = cooling.stream, cooling.finish
    lines = [
        f"air and surroundings at {cooling.air:g} degC, {stream.altitude:g} m above the sea",
        f"run {_orientation(stream.tilt)}" + (f", {stream.length:g} m long" if stream.tilt else ""),
        f"finish {finish.name}: emissivity {finish.emissivity:g} ({finish.low:g} to {finish.high:g}), {finish.source}",
        f"moving air: correlations good to +-{100 * SCATTER:.0f} %, each inside its range; the band takes them and the "
        "emissivity together at their worst and best",
    ]
    if stream.speed:
        lines.append(f"air blown across the run at {stream.speed:g} m/s")
    lines += [f"{c.name}: {c.source}; {c.number} {c.low:g} to {c.high:g}" for c in _correlations(found)]
    parts = {p.name: p for w in found for p in (c.part for c in w.conductors)}.values()
    if any(p.shape.holes for p in parts):
        lines.append("a bore with nothing in it lets no heat out")
    if any(w.state is not None and (w.state.balance.exchange.panels.sight.facing >= 0).any() for w in found):
        lines.append(
            "faces that face each other exchange radiation (view factors of the section) and conduct through the air "
            "between them; the room's air reaches one gap width into a gap, and beyond that only between upright "
            "faces, as A. Bar-Cohen and W. M. Rohsenow (J. Heat Transfer 106, 116, 1984) found for channels"
        )
    guessed = sorted({m.name for w in found for c in w.conductors for m in c.metals if m.thermal_conductivity is None})
    if guessed:
        lines.append(f"thermal conductivity of {', '.join(guessed)} from Wiedemann and Franz, good to about 20 %")
    return lines


def drawn(solution: Solution, answers: Answers, state: State, title: str) -> Callable[[], Figure]:
    """What draws the map of a state."""

    def draw() -> Figure:
        from .pictures.temperature import temperature_map

        return temperature_map(solution, answers, state, title)

    return draw


def taken(cooling: Cooling) -> str:
    """The assumptions that matter most, in one sentence."""
    stream, finish = cooling.stream, cooling.finish
    return (
        f"taken: air and surroundings at {cooling.air:g} degC, run {_orientation(stream.tilt)}, finish {finish.name} "
        f"(emissivity {finish.low:g} to {finish.high:g}), coefficients of moving air good to +-{100 * SCATTER:.0f} %; "
        "the band in brackets takes both at their best and at their worst"
    )


def _orientation(tilt: float) -> str:
    words = {0: "horizontal", 90: "vertical"}
    degrees = round(math.degrees(tilt), 3)
    return words.get(int(degrees), "") if degrees in words else f"{degrees:g} deg above the horizontal"


def _correlations(found: Sequence[Warmth]) -> list[Correlation]:
    used: dict[str, Correlation] = {}
    for point in found:
        if point.state is not None:
            balance = point.state.balance
            used |= {c.name: c for _, c in balance.exchange.films(balance.surface)}
    return list(used.values())


def record(point: Warmth) -> dict[str, Any]:
    """The numbers of one frequency."""
    found: dict[str, Any] = {"frequency_hz": point.frequency, "stable": point.state is not None}
    if point.state is None:
        return found | {"reason": point.why, "conductors": {}}
    state, balance = point.state, point.state.balance
    hottest, place = balance.hottest
    losses = balance.losses
    parts = {name: balance.by_conductor(getattr(losses, name)) for name in ("convection", "radiation", "exchange")}
    found["conductors"] = {
        c.name: {
            "temperature_degc": float(hottest[k]),
            "temperature_low_degc": float(state.coldest[k]),
            "temperature_high_degc": float(state.hottest[k]) if state.bounded else None,
            "hottest_at_m": [float(v) for v in place[k]],
            "mean_temperature_degc": float(balance.mean[k]),
            "surface_temperature_degc": float(balance.surface[k]),
            "loss_w_per_m": float(balance.power[k]),
            **{f"{name}_w_per_m": float(heat[k]) for name, heat in parts.items()},
        }
        for k, c in enumerate(point.conductors)
    }
    free = ~balance.sources.held
    made, lost = float(balance.power[free].sum()), float(balance.by_conductor(losses.total)[free].sum())
    found["heat_balance"] = abs(lost - made) / made if made else 0.0
    if point.rating is not None:
        found["rated"] = {
            "limit_degc": point.rating.limit,
            "factor_on_currents": point.rating.factor,
            "factor_low": point.rating.low,
            "factor_high": point.rating.high,
        }
    return found


def table(point: Warmth) -> TextTable:
    """One line per conductor."""
    assert point.state is not None
    state, balance = point.state, point.state.balance
    columns = ("conductor", "hottest", "from .. to", "mean", "surface", "loss", "to air", "radiated", "to others")
    hottest = balance.hottest[0]
    heat = [balance.by_conductor(h) for h in (balance.losses.convection, balance.losses.radiation)]
    exchanged = balance.by_conductor(balance.losses.exchange)
    rows = tuple(
        (
            c.name,
            f"{hottest[k]:.1f}",
            f"{state.coldest[k]:.0f} .. {_high(state, k)}",
            f"{balance.mean[k]:.1f}",
            f"{balance.surface[k]:.1f}",
            *(engineering(float(h[k]), "W/m", 3) for h in (balance.power, *heat)),
            "0 W/m" if abs(exchanged[k]) < 1e-6 * balance.power.sum() else engineering(exchanged[k], "W/m", 3),
        )
        for k, c in enumerate(point.conductors)
    )
    return TextTable(f"Temperatures at {point.at} (degC; heat per metre of run)", columns, rows)


def _high(state: State, k: int) -> str:
    return f"{state.hottest[k]:.0f}" if state.bounded else "no end"


def sentences(point: Warmth, answers: Answers) -> list[str]:
    """Which conductor is the hottest and what takes its heat; what the currents could be."""
    if point.state is None:
        return [f"{point.at}: {point.why}"]
    state, balance = point.state, point.state.balance
    hottest, place = balance.hottest
    k = int(hottest.argmax())
    x, y = (round(1e3 * float(v), 2) + 0.0 for v in place[k])
    shares = ", ".join(
        f"{100 * float(balance.by_conductor(heat)[k]) / balance.power[k]:.0f} % {words}"
        for heat, words in (
            (balance.losses.convection, "to the air"),
            (balance.losses.radiation, "radiated to the room"),
            (balance.losses.exchange, "to other conductors"),
        )
        if abs(float(balance.by_conductor(heat)[k])) > 0.005 * balance.power[k]
    )
    lines = [
        f"{point.at}: {point.conductors[k].name} is the hottest, {hottest[k]:.1f} degC ({state.coldest[k]:.0f} to "
        f"{_high(state, k)}) at ({x:.4g}, {y:.4g}) mm, {hottest[k] - balance.exchange.cooling.air:.1f} K above the "
        f"air; its {engineering(float(balance.power[k]), 'W/m', 3)} leave: {shares}"
    ]
    if point.rating is not None:
        r = point.rating
        currents = ", ".join(
            f"{c.name} {engineering(abs(c.current) * r.factor, 'A', 3)}" for c in answers.circuits.values() if c.current
        )
        lines.append(
            f"{point.at}: the hottest point reaches {r.limit:g} degC at {r.factor:.3g} times these currents "
            f"({r.low:.3g} to {r.high:.3g}): {currents}"
        )
    return lines


def warnings(point: Warmth, cooling: Cooling) -> list[str]:
    """What the reader must know before using the temperatures."""
    if point.state is None:
        return [f"{point.at}: {point.why}; the losses given are those at the temperatures stated in the case"]
    found = []
    if not point.state.bounded:
        found.append(
            f"{point.at}: with air and finish at their worst the temperature runs away (no stable one up to "
            f"{CEILING:g} degC); only the usual values hold it"
        )
    if cooling.stream.tilt and cooling.stream.length < 10 * max(c.part.shape.outer.size for c in point.conductors):
        found.append(f"{point.at}: a short run that is not horizontal: its ends cool too, which is left out")
    return found


def measured(found: Sequence[Warmth]) -> tuple[Measured, ...]:
    """The hottest point of every conductor at the frequency that makes it hottest, with its band.

    Where there is no steady state, the conductors that run away are at the ceiling, and nothing is known of the others.
    """
    rows: dict[str, Measured] = {}
    for point in found:
        for k, c in enumerate(point.conductors):
            value, error = (CEILING, 0.0) if c.name in point.runaway else (CEILING / 2, CEILING / 2)
            if point.state is not None:
                value = float(point.state.balance.hottest[0][k])
                error = max(float(point.state.hottest[k]) - value, value - float(point.state.coldest[k]))
            if c.name not in rows or rows[c.name].value < value:
                rows[c.name] = Measured(value, error, "degC", c.name)
    return tuple(rows.values())
