"""Temperatures in air as every output says them: numbers, table, sentences, warnings, what limits refer to."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ..solver.balance import CEILING
from ..solver.cooling import Cooling
from ..solver.problem import Conductor
from ..solver.rated import Rating, State
from ..solver.solve import Solution
from .answers import Answers
from .beyond import beyond, bound_warnings
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

    def figure(self, k: int) -> Measured:
        """The hottest point of a conductor, with its band.

        Where there is no steady state, the conductors that run away have no end, and nothing is known of the others.
        """
        name, load = self.conductors[k].name, f"steady, {self.at}"
        if self.state is None:
            return Measured(math.inf, 0.0 if name in self.runaway else math.inf, "degC", name, load)
        value = float(self.state.balance.hottest[0][k])
        error = max(float(self.state.hottest[k]) - value, value - float(self.state.coldest[k]))
        return Measured(value, error, "degC", name, load)


def drawn(solution: Solution, answers: Answers, state: State, title: str) -> Callable[[], Figure]:
    """What draws the map of a state."""

    def draw() -> Figure:
        from .pictures.temperature import temperature_map

        return temperature_map(solution, answers, state, title)

    return draw


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
            "does_not_hold": past.words if (past := beyond(c, float(hottest[k]))) else None,
        }
        for k, c in enumerate(point.conductors)
    }
    free = ~balance.sources.held
    made, lost = float(balance.power[free].sum()), float(balance.by_conductor(losses.total)[free].sum())
    found["heat_balance"] = abs(lost - made) / made if made else 0.0
    if point.rating is not None:
        found["rated"] = {
            "limit_degc": point.rating.limit,
            "of": None if point.rating.first is None else point.conductors[point.rating.first].name,
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
            f"{hottest[k]:.1f}{past.mark if (past := beyond(c, float(hottest[k]))) else ''}",
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
    losses = balance.losses
    ways = {
        "to the air": losses.convection,
        "radiated to the room": losses.radiation,
        "to other conductors": losses.exchange,
    }
    parts = {words: float(balance.by_conductor(heat)[k]) / balance.power[k] for words, heat in ways.items()}
    if balance.sources.held[k]:
        parts["to the water"] = 1 - sum(parts.values())
    shares = ", ".join(f"{100 * part:.0f} % {words}" for words, part in parts.items() if abs(part) > 0.005)
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
        which = "the hottest point" if r.first is None else f"{point.conductors[r.first].name} is the first that"
        lines.append(
            f"{point.at}: {which} reaches {_allowed(r)} at {r.factor:.3g} times these currents "
            f"({r.low:.3g} to {r.high:.3g}): {currents}"
        )
    return lines


def _allowed(rating: Rating) -> str:
    return f"{'' if rating.first is None else 'its limit of '}{rating.limit:g} degC"


def warnings(point: Warmth, cooling: Cooling) -> list[str]:
    """What the reader must know before using the temperatures."""
    if point.state is None:
        return [f"{point.at}: {point.why}; the losses given are those at the temperatures stated in the case"]
    found = bound_warnings(point.conductors, [point.figure(k) for k in range(len(point.conductors))])
    if not point.state.bounded:
        found.append(
            f"{point.at}: with air and finish at their worst the temperature runs away (no stable one up to "
            f"{CEILING:g} degC); only the usual values hold it"
        )
    balance = point.state.balance
    if cooling.stream.speed and not any(c.forced for _, c in balance.exchange.films(balance.surface)):
        found.append(
            f"{point.at}: air blown at {cooling.stream.speed:g} m/s is not counted: air that rises by itself cools "
            "more, or the correlations do not reach so far"
        )
    if cooling.stream.tilt and cooling.stream.length < 10 * max(c.part.shape.outer.size for c in point.conductors):
        found.append(f"{point.at}: a short run that is not horizontal: its ends cool too, which is left out")
    return found


def measured(found: Sequence[Warmth]) -> tuple[Measured, ...]:
    """The hottest point of every conductor at every frequency."""
    return tuple(point.figure(k) for point in found for k in range(len(point.conductors)))
