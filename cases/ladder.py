"""The table [ladder] and the chapter "ladder": the section as a small network for a circuit simulator."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING, Any, Self

from pydantic import Field, model_validator

from ..geometries.outline import FloatArray
from ..postprocess.chapter import Chapter
from ..postprocess.netlist import subcircuit
from ..postprocess.tables import TextTable
from ..postprocess.units import concise, engineering, error_bar
from ..solver.chain import Chain
from ..solver.exterior import RETURN
from ..solver.krylov import SweepError
from ..solver.ladder import Ladder, ladder
from ..solver.regrouped import by_circuits
from ..solver.solve import SolveError
from ..solver.sweep import Sweep
from .base import Table
from .driven import band
from .fields import Frequency, Ratio, fault

if TYPE_CHECKING:
    from .case import Case
    from .run import Result

BOUND = 0.01  # wanted error where the case file states none
MANY = 4  # circuits beyond which a network is made only where it is asked for
FILE = "ladder.cir"


class Network(Table):
    """The band [Hz] of the ladder, by default that of the sweep, and the wanted bound on R and on L."""

    start: Frequency | None = Field(default=None, alias="from")
    to: Frequency | None = None
    bound: Ratio = BOUND

    @model_validator(mode="after")
    def _rising(self) -> Self:
        if (self.start is None) != (self.to is None):
            raise fault("both from and to, or neither", "one of them", 'write from = "50 Hz" and to = "1 MHz"')
        if self.start is not None and self.to is not None and not 0 < self.start < self.to:
            found = f"{concise(self.start, 'Hz')} to {concise(self.to, 'Hz')}"
            hint = "exchange them" if self.start else "direct current is exact in any case"
            raise fault("a band from above 0 Hz to a higher frequency", found, hint)
        return self


@dataclass(frozen=True, eq=False)
class Made:
    """A ladder with the sweep it stands for."""

    case: Case
    sweep: Sweep
    wanted: float
    low: float
    high: float

    @cached_property
    def chain(self) -> Chain:
        """Impedance of the circuits, as the sweep knows it."""
        return by_circuits(self.sweep).fine.model.chain

    @cached_property
    def ladder(self) -> Ladder:
        """The cells that stand for it."""
        return ladder(self.chain, self.low, self.high, bound=self.wanted)

    @property
    def names(self) -> tuple[str, ...]:
        """Of its ports."""
        return tuple(c.name for c in self.sweep.problem.circuits)

    @property
    def limits(self) -> dict[str, FloatArray]:
        """Exact R and L of direct current and exact L with all current on the surfaces, (circuits, circuits)."""
        chain = self.chain
        surface = chain.pattern.T @ chain.surface_inductance @ chain.pattern
        return {
            "resistance_at_rest": chain.resistance(0.0)[0],
            "inductance_at_rest": chain.inductance(0.0)[0],
            "inductance_at_surface": surface,
        }


def chapter(result: Result) -> Chapter | None:
    """Where the case asks for it, or sweeps."""
    case = result.case
    asked, swept = case.data.ladder, case.data.frequency.sweep
    if asked is None and (swept is None or len(case.problem().circuits) > MANY):
        return None
    block = asked or Network()
    low, high = (block.start, block.to) if block.start is not None else (swept and swept.start, swept and swept.to)
    if not low or not high:
        return _without("it needs a band: write from and to in [ladder], or sweep in [frequency]")
    try:
        found = band(result, low, high)
    except (SweepError, SolveError) as error:
        return _without(str(error))
    made = Made(case, found, block.bound, low, high)
    return Chapter(
        "ladder",
        "Ladder for a circuit simulator",
        _record(made),
        (_table(made),),
        tuple(_sentences(made)),
        tuple(_warnings(made)),
        pictures={"ladder": _picture(made)},
        files={FILE: subcircuit(made.ladder, made.names, length=case.length or 1.0, heading=_heading(made))},
    )


def _without(why: str) -> Chapter:
    return Chapter("ladder", "Ladder for a circuit simulator", {"cells": None}, warnings=(f"no {FILE}: {why}",))


def _picture(made: Made) -> Callable[[], Any]:
    def draw() -> Any:
        from ..postprocess.pictures.ladder import ladder_plot

        return ladder_plot(made.ladder, made.chain, made.names, made.case.title)

    return draw


def _record(made: Made) -> dict[str, Any]:
    short, limits = made.ladder, {name: values.tolist() for name, values in made.limits.items()}
    return {
        "file": FILE,
        "circuits": list(made.names),
        "from_hz": short.low,
        "to_hz": short.high,
        "cells": short.cells,
        "wanted_bound": made.wanted,
        "resistance_error": short.resistance_error,
        "inductance_error": short.inductance_error,
        "solver_error": float(made.sweep.bounds.max()),
        "length_m": made.case.length or 1.0,
        "exact_resistance_at_rest_ohm_per_m": limits["resistance_at_rest"],
        "exact_inductance_at_rest_h_per_m": limits["inductance_at_rest"],
        "exact_inductance_at_surface_h_per_m": limits["inductance_at_surface"],
        "ladder_inductance_at_rest_h_per_m": short.chain.inductance(0.0)[0].tolist(),
        "ladder_inductance_at_surface_h_per_m": short.chain.surface_inductance.tolist(),
        "cell_rates_rad_per_s": short.chain.rates.tolist(),
        "cell_coupling_sqrt_ohm_per_m": short.chain.coupling.tolist(),
    }


def _table(made: Made) -> TextTable:
    limits, short = made.limits, made.ladder.chain
    rest = short.inductance(0.0)[0]
    rows = tuple(
        (
            name,
            engineering(limits["resistance_at_rest"][k, k], "ohm/m"),
            engineering(limits["inductance_at_rest"][k, k], "H/m"),
            engineering(rest[k, k], "H/m"),
            engineering(limits["inductance_at_surface"][k, k], "H/m"),
            engineering(short.surface_inductance[k, k], "H/m"),
        )
        for k, name in enumerate(made.names)
    )
    columns = ("circuit", "R at 0 Hz", "L at 0 Hz", "ladder's", "L of a skin of nothing", "ladder's")
    return TextTable("Limits of the impedance, exact and in the ladder (loop, per metre)", columns, rows)


def _sentences(made: Made) -> list[str]:
    short = made.ladder
    return [
        f"{FILE}: {short.cells} cells, every R and L positive, hold R within {error_bar(short.resistance_error)} and L "
        f"within {error_bar(short.inductance_error)} of the sweep from {concise(short.low, 'Hz')} to "
        f"{concise(short.high, 'Hz')}; the sweep's own bound is {error_bar(float(made.sweep.bounds.max()))}",
        "R at 0 Hz is exact; outside the band the network stays passive but R stops rising above it",
    ]


def _warnings(made: Made) -> list[str]:
    if made.ladder.error <= made.wanted:
        return []
    return [
        f"the ladder reaches {error_bar(made.ladder.error)} with {made.ladder.cells} cells, not the wanted "
        f"{error_bar(made.wanted)}: narrow its band or widen the bound"
    ]


def _heading(made: Made) -> list[str]:
    """Comments at the top of the file."""
    short, case, limits = made.ladder, made.case, made.limits
    conductors = ", ".join(f"{c.name} {c.temperature:g} degC" for c in made.sweep.problem.conductors)
    lines = [
        f"{case.title or 'conductors'}",
        f"{'a run of ' + concise(case.length, 'm') if case.length else 'one metre of run'}; every R and L is positive",
        f"{short.cells} cells; relative error of R at most {error_bar(short.resistance_error)}, of L "
        f"{error_bar(short.inductance_error)}, from {concise(short.low, 'Hz')} to {concise(short.high, 'Hz')}, for any "
        f"currents; the field solution itself is within {error_bar(float(made.sweep.bounds.max()))}",
        f"temperatures: {conductors}; metals linear",
        "each circuit is a port of two nodes: the loop, out and back together; current into the first node flows out "
        "of the page in the conductors listed under out",
    ]
    lines += [
        f"{name}: exact at 0 Hz R = {limits['resistance_at_rest'][k, k]:.9g} ohm/m, "
        f"L = {limits['inductance_at_rest'][k, k]:.9g} H/m; exact L with all current on the surfaces = "
        f"{limits['inductance_at_surface'][k, k]:.9g} H/m (R grows without limit)"
        for k, name in enumerate(made.names)
    ]
    open_ended = [c.name for c in made.sweep.problem.circuits if not c.back]
    if open_ended:
        radius = made.sweep.fine.flow(0).discretisation.mesh.radius * RETURN
        lines.append(
            f"{', '.join(open_ended)}: return outside the section, on a circle of radius {concise(radius, 'm', 4)}: "
            "inductances hold for currents that sum to zero"
        )
    if len(made.names) > 1:
        lines.append("a negative K means that the currents into the first nodes weaken each other's flux")
    return lines
