"""Temperatures in air as every output says them: numbers, table, sentences, warnings, what limits refer to."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.answers import Answers
from crosscurrent.postprocess.answers.bundle_sums import share_by_lay
from crosscurrent.postprocess.answers.bundles import NAMED
from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.metal_limits import bound_warnings, broken_bound
from crosscurrent.postprocess.answers.noise import LEAST_LOSS, figure
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.solver.field.problem import Conductor
from crosscurrent.solver.heat.ampacity import Rating, State
from crosscurrent.solver.heat.balance import CEILING
from crosscurrent.solver.heat.cooling import Cooling

NOISE = 1e-6  # of the whole heat, below which what leaves a conductor one way is none


@dataclass(frozen=True, eq=False)
class CoolingAnswer:
    """What was found at one frequency [Hz]: a steady state, or the words why there is none."""

    frequency: float
    conductors: tuple[Conductor, ...]
    state: State | None
    rating: Rating | None = None
    why: str = ""
    runaway: frozenset[str] = frozenset()  # conductors that have no stable temperature
    largest: Rating | None = None  # without a steady state: the largest currents that have one
    held: frozenset[str] = frozenset()  # conductors that keep the temperature stated
    coils: tuple[tuple[str, tuple[str, ...]], ...] = ()  # names of coils and of their turns

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
            return Measured(math.inf, 0.0 if name in self.runaway else math.inf, "degC", name, load, self.frequency)
        value = float(self.state.balance.hottest[0][k])
        error = max(float(self.state.hottest[k]) - value, value - float(self.state.coldest[k]))
        return Measured(value, error, "degC", name, load, self.frequency)


    @property
    def sought(self) -> tuple[int, ...]:
        """Numbers of the conductors whose temperature is to be found."""
        return tuple(k for k, c in enumerate(self.conductors) if c.name not in self.held)

    @property
    def kept_by_water(self) -> frozenset[str]:
        """Names of conductors that are here as warm as their metal is on average in its water."""
        if self.state is None:
            return frozenset()
        fixed = self.state.balance.sources.fixed
        return frozenset(c.name for c, kept in zip(self.conductors, fixed, strict=True) if kept) - self.held


@dataclass(frozen=True)
class CoilWarmth:
    """Temperatures of the turns of a coil [degC], and their heat [W]."""

    name: str
    turns: int
    hottest: str
    highest: float
    mean: float
    heat: float


def of_coils(point: CoolingAnswer) -> list[CoilWarmth]:
    """Every coil with its hottest turn and the mean of all its turns."""
    found = []
    index = {c.name: k for k, c in enumerate(point.conductors)}
    for name, turns in point.coils if point.state is not None else ():
        assert point.state is not None
        balance, rows = point.state.balance, [index[turn] for turn in turns]
        hottest = balance.hottest[0][rows]
        worst = int(hottest.argmax())
        mean, heat = float(balance.mean[rows].mean()), float(balance.power[rows].sum())
        found.append(CoilWarmth(name, len(turns), turns[worst], float(hottest[worst]), mean, heat))
    return found


def record(point: CoolingAnswer) -> dict[str, Json]:
    """The numbers of one frequency."""
    found: dict[str, Json] = {"frequency_hz": point.frequency, "stable": point.state is not None}
    for key, rating in (("rated", point.rating), ("largest_stable", point.largest)):
        if rating is not None:
            found[key] = {
                "limit_degc": rating.limit,
                "of": None if rating.first is None else point.conductors[rating.first].name,
                "factor_on_currents": rating.factor,
                "factor_low": rating.low,
                "factor_high": rating.high,
            }
    if point.state is None:
        return found | {"reason": point.why, "conductors": {}}
    state, balance, kept = point.state, point.state.balance, point.kept_by_water
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
            "does_not_hold": past.words if (past := broken_bound(c, float(hottest[k]))) else None,
            **({"held": True} if c.name in point.held else {}),
            **({"kept_by_water": True} if c.name in kept else {}),
        }
        for k, c in enumerate(point.conductors)
    }
    if point.coils:
        found["coils"] = {
            coil.name: {
                "hottest_turn": coil.hottest, "temperature_degc": coil.highest, "mean_temperature_degc": coil.mean,
                "loss_w": coil.heat,
            }
            for coil in of_coils(point)
        }  # fmt: skip
    free = ~balance.sources.fixed
    made, lost = float(balance.power[free].sum()), float(balance.by_conductor(losses.total)[free].sum())
    found["heat_balance"] = abs(lost - made) / made if made else 0.0
    return found


def table(point: CoolingAnswer) -> TextTable:
    """One line per conductor."""
    assert point.state is not None
    state, balance, kept = point.state, point.state.balance, point.kept_by_water
    columns = ("conductor", "hottest", "from .. to", "mean", "surface", "loss", "to air", "radiated", "to others")
    losses = balance.losses
    made, ways = balance.power, (losses.convection, losses.radiation, losses.exchange)
    heat = [(made, LEAST_LOSS), *((balance.by_conductor(way), NOISE) for way in ways)]
    whole = float(made.sum())
    rows = tuple(
        (
            c.name,
            *(("see water", "-") if c.name in kept else _hottest(point, state, k)),
            f"{balance.mean[k]:.1f}",
            f"{balance.surface[k]:.1f}",
            *(_passed(float(h[k]), noise * whole) for h, noise in heat),
        )
        for k, c in enumerate(point.conductors)
    )
    return TextTable(f"Temperatures at {point.at} (degC; heat per metre of run)", columns, rows)


def _passed(heat: float, noise: float) -> str:
    """Heat per metre [W/m] that a conductor makes or gives away; what it takes is said in a word, not by a sign."""
    return f"{'takes ' if heat < -noise else ''}{figure(abs(heat), noise, 'W/m', 3)}"


def _hottest(point: CoolingAnswer, state: State, k: int) -> tuple[str, str]:
    """The hottest point of a conductor, and its band."""
    conductor, value = point.conductors[k], float(state.balance.hottest[0][k])
    past = broken_bound(conductor, value)
    band = "held" if conductor.name in point.held else f"{state.coldest[k]:.0f} .. {_high(state, k)}"
    return f"{value:.1f}{past.mark if past else ''}", band


def _high(state: State, k: int) -> str:
    return f"{state.hottest[k]:.0f}" if state.bounded else "no end"


def sentences(point: CoolingAnswer, answers: Answers) -> list[str]:
    """Which conductor is the hottest and what takes its heat; what the currents could be."""
    if point.state is None:
        return [f"{point.at}: {point.why}", *_holding(point, answers)]
    state, balance = point.state, point.state.balance
    hottest, place = balance.hottest
    kept = point.kept_by_water
    in_air = [k for k in point.sought if point.conductors[k].name not in kept]
    k = max(in_air or point.sought, key=lambda k: float(hottest[k]))
    x, y = (round(1e3 * float(v), 2) + 0.0 for v in place[k])
    how = f"is the hottest{' of those that water does not keep' if kept else ''}, {hottest[k]:.1f} degC "
    band = f"({state.coldest[k]:.0f} to {_high(state, k)}) at ({x:.4g}, {y:.4g}) mm"
    on_average = f"is the warmest on average, {hottest[k]:.1f} degC (its hottest metal: see water)"
    said = f"{how}{band}" if in_air else on_average
    lines = [
        f"{point.at}: {point.conductors[k].name} {said}, {hottest[k] - balance.exchange.cooling.air:.1f} K above the "
        f"air; its {_leaving(point, state, k)}"
    ]
    lines += [
        f"{point.at}: {coil.name}, {coil.turns} turns: {coil.hottest} is the "
        f"{'warmest on average' if coil.hottest in kept else 'hottest'}, {coil.highest:.1f} degC; "
        f"{coil.mean:.1f} degC over all turns; {engineering(coil.heat, 'W', 3)} in all"
        for coil in of_coils(point)
    ]
    return [*lines, *_holding(point, answers)]


def _leaving(point: CoolingAnswer, state: State, k: int) -> str:
    """The heat of a conductor and the ways it goes."""
    balance, losses = state.balance, state.balance.losses
    made = float(balance.power[k])
    parts = {
        words: float(balance.by_conductor(heat)[k])
        for words, heat in (("to the air", losses.convection), ("radiated to the room", losses.radiation))
    }
    others = float(balance.by_conductor(losses.exchange)[k])
    own, whole = engineering(made, "W/m", 3), made
    if point.held and others < 0:  # hotter ones warm it
        own, whole = f"{own} and {engineering(-others, 'W/m', 3)} from other conductors", made - others
    else:
        parts["to other conductors"] = others
    if balance.sources.fixed[k]:
        parts["to the water"] = whole - sum(parts.values())
    shares = {words: heat / whole for words, heat in parts.items()}
    return f"{own} leave: " + ", ".join(f"{100 * s:.0f} % {words}" for words, s in shares.items() if abs(s) > 0.005)


def _holding(point: CoolingAnswer, answers: Answers) -> Iterator[str]:
    """The currents that keep to the limit, and where these do not hold those that have a stable temperature at all."""
    if (r := point.rating) is not None and not r.factor:
        yield f"{point.at}: {', '.join(sorted(point.held))} alone would bring others to {r.limit:g} degC"
    elif r is not None:
        which = "the hottest point" if r.first is None else f"{point.conductors[r.first].name} is the first that"
        yield f"{point.at}: {which} reaches {_allowed(r)} at {_times(r, answers)}"
    if (r := point.largest) is not None:
        yield f"{point.at}: a stable temperature below {CEILING:g} degC holds up to {_times(r, answers)}"


def _times(r: Rating, answers: Answers) -> str:
    currents = ", ".join(
        f"{c.name} {engineering(abs(c.current) * r.factor, 'A', 3)}" for c in answers.circuits.values() if c.current
    )
    most = share_by_lay(answers)  # no loss grows by more, so that with the heat of before all is as warm at most
    laid = f"; as bundles are laid it may be {r.low / math.sqrt(most):.3g}" if most > 1 + NAMED else ""
    return f"{r.factor:.3g} times these currents ({r.low:.3g} to {r.high:.3g}{laid}): {currents}"


def _allowed(rating: Rating) -> str:
    return f"{'' if rating.first is None else 'its limit of '}{rating.limit:g} degC"


def warnings(
    point: CoolingAnswer, cooling: Cooling, asked: float | None = None, *, judged: bool = False
) -> list[str]:
    """What the reader must know before using the temperatures.

    Parameters
    ----------
    asked : float or None
        The limit of [cooling] [degC].
    judged : bool
        Whether [limits] judges temperatures in service by itself.
    """
    if point.state is None:
        return [f"{point.at}: {point.why}; the losses given are those at the temperatures stated in the case"]
    found = []
    if asked is not None and (r := point.rating) is not None and r.factor < 1:
        found.append(
            f"{point.at}: hotter than the {asked:g} degC of [cooling]: {r.factor:.2g} times these currents keep to it "
            f"({r.low:.2g} to {r.high:.2g}){'' if judged else '; write it under [limits] to have it judged'}"
        )
    found += bound_warnings(point.conductors, [point.figure(k) for k in range(len(point.conductors))])
    if not point.state.bounded:
        found.append(
            f"{point.at}: with air and finish at their worst the temperature runs away (no stable one up to "
            f"{CEILING:g} degC); only the usual values hold it"
        )
    balance = point.state.balance
    if cooling.stream.speed and not any(c.forced for c in balance.exchange.used(balance.surface)):
        found.append(
            f"{point.at}: air blown at {cooling.stream.speed:g} m/s is not counted: air that rises by itself cools "
            "more, or the correlations do not reach so far"
        )
    if cooling.stream.tilt and cooling.stream.length < 10 * max(c.part.shape.outer.size for c in point.conductors):
        found.append(f"{point.at}: a short run that is not horizontal: its ends cool too, which is left out")
    return found


def of_the_run(cooling: Cooling, *, swept: bool, length: float | None) -> Iterator[str]:
    """What to know of a run as a whole: of its sweep, and of its length [m] where air rises along it."""
    if swept:
        yield (
            "every frequency of the sweep has the temperatures that its own losses keep up, so its curves grow with "
            "the warmth too; this chapter tells those of the frequencies listed in at"
        )
    if cooling.stream.tilt and length is None:
        yield (
            f"air rises along a run that is not horizontal, and the case states no length: {cooling.stream.length:g} m "
            "is taken, a longer one is warmer"
        )


def measured(found: Sequence[CoolingAnswer]) -> tuple[Measured, ...]:
    """The hottest point of every conductor at every frequency."""
    return tuple(point.figure(k) for point in found for k in point.sought)
