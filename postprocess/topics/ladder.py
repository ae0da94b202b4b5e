"""The words, table and record of a ladder: the section as a small network for a circuit simulator."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.per_turn import per_turn
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, counted, engineering, error_bar
from crosscurrent.solver.band.foster import Impedance
from crosscurrent.solver.band.impedance_limits import ImpedanceLimits
from crosscurrent.solver.band.ladder import Ladder
from crosscurrent.solver.field.problem import Problem

FILE = "ladder.cir"


@dataclass(frozen=True, eq=False)
class LadderAnswer:
    """A ladder with what it stands for.

    Attributes
    ----------
    problem : Problem
        The conductors at the temperatures it holds for; each circuit is a port. Where circuits share conductors, each
        of their sides is such a circuit by itself.
    long : Impedance
        Impedance of the circuits, as the sweep knows it.
    ladder : Ladder
        The cells that stand for it.
    limits : ImpedanceLimits
        Of the Foster form.
    wanted : float
        Relative bound that was asked for.
    solver_error : float
        Relative bound of the sweep itself.
    return_radius : float
        Of the circle on which currents without a back return [m].
    length : float or None
        Of the run [m].
    title : str
    sides : bool
        Whether the ports are sides of the circuits.
    past_bound : tuple of str
        What the sweep warns of.
    shorted : tuple of str
        Circuits that are shorted, which are no ports: what flows in them is inside.
    """

    problem: Problem
    long: Impedance
    ladder: Ladder
    limits: ImpedanceLimits
    wanted: float
    solver_error: float
    return_radius: float
    length: float | None = None
    title: str = ""
    sides: bool = False
    past_bound: tuple[str, ...] = ()
    shorted: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """Of its ports."""
        return tuple(c.name for c in self.problem.circuits)


def record(found: LadderAnswer) -> dict[str, Json]:
    """The numbers of the chapter."""
    short, limits, surface = found.ladder, found.limits, found.limits.inductance_at_surface
    return {
        "file": FILE,
        "circuits": list(found.names),
        "from_hz": short.low,
        "to_hz": short.high,
        "cells": short.cells,
        "wanted_bound": found.wanted,
        "resistance_error": short.resistance_error,
        "inductance_error": short.inductance_error,
        "solver_error": found.solver_error,
        "length_m": None if found.problem.axial else found.length or 1.0,
        "exact_resistance_at_rest_ohm_per_m": limits.resistance_at_rest.tolist(),
        "exact_inductance_at_rest_h_per_m": limits.inductance_at_rest.tolist(),
        "exact_inductance_at_surface_h_per_m": None if surface is None else surface.tolist(),
        "ladder_inductance_at_rest_h_per_m": short.foster.inductance(0.0)[0].tolist(),
        "ladder_inductance_at_surface_h_per_m": short.foster.surface_inductance.tolist(),
        "cell_rates_rad_per_s": short.foster.rates.tolist(),
        "cell_coupling_sqrt_ohm_per_m": short.foster.coupling.tolist(),
    }


def table(found: LadderAnswer) -> TextTable:
    """Both ends of the impedance, exact and in the ladder."""
    limits, short = found.limits, found.ladder.foster
    rest, surface = short.inductance(0.0)[0], limits.inductance_at_surface
    rows = tuple(
        (
            name,
            engineering(limits.resistance_at_rest[k, k], "ohm/m"),
            engineering(limits.inductance_at_rest[k, k], "H/m"),
            engineering(rest[k, k], "H/m"),
            "-" if surface is None else engineering(surface[k, k], "H/m"),
            engineering(short.surface_inductance[k, k], "H/m"),
        )
        for k, name in enumerate(found.names)
    )
    whole = "all turns" if found.problem.axial else "loop"
    first, kind = ("side", "by themselves") if found.sides else ("circuit", whole)
    columns = (first, "R at 0 Hz", "L at 0 Hz", "ladder's", "L of a skin of nothing", "ladder's")
    return TextTable(f"Limits of the impedance, exact and in the ladder ({kind}, per metre)", columns, rows)


def sentences(found: LadderAnswer) -> Iterator[str]:
    """How good it is, and outside its band."""
    short = found.ladder
    yield (
        f"{FILE}: {counted(short.cells, 'cell')}, every R and L positive, to hold R within "
        f"{error_bar(short.resistance_error)} and L within {error_bar(short.inductance_error)} of the sweep from "
        f"{concise(short.low, 'Hz')} to {concise(short.high, 'Hz')}; the sweep's own bound is "
        f"{error_bar(found.solver_error)}"
    )
    if found.sides:
        yield (
            f"the circuits share conductors: its ports are the sides themselves ({', '.join(found.names)}), to be "
            "wired as they are"
        )
    if found.shorted:
        yield f"{', '.join(found.shorted)}: shorted, so no port; what flows there is part of the network"
    yield "R at 0 Hz is exact; outside the band the network stays passive but R stops rising above it"


def warnings(found: LadderAnswer) -> Iterator[str]:
    """Where it, or the sweep it stands for, is not as good as it was asked to be."""
    yield from found.past_bound
    if found.ladder.error > found.wanted:
        yield (
            f"the ladder reaches {error_bar(found.ladder.error)} with {counted(found.ladder.cells, 'cell')}, not the "
            f"wanted {error_bar(found.wanted)}: narrow its band or widen the bound"
        )


def heading(found: LadderAnswer) -> Iterator[str]:
    """Comments at the top of the netlist."""
    short, limits = found.ladder, found.limits
    owner = {member: bundle.name for bundle in found.problem.bundles for member in bundle.members}
    warm = {owner.get(c.name, c.name): c.temperature for c in found.problem.conductors}
    conductors = ", ".join(f"{name} {temperature:g} degC" for name, temperature in warm.items())
    yield found.title or "conductors"
    yield f"{_extent(found)}; every R and L is positive"
    yield (
        f"{counted(short.cells, 'cell')}; relative error of R at most {error_bar(short.resistance_error)}, of L "
        f"{error_bar(short.inductance_error)}, from {concise(short.low, 'Hz')} to {concise(short.high, 'Hz')}, for any "
        f"currents; the field solution itself is within {error_bar(found.solver_error)}"
    )
    yield f"temperatures: {conductors}; metals linear"
    if found.sides:
        yield (
            "each side of a circuit is a port of two nodes, its near and its far end; current into the first node "
            "flows out of the page: join the far ends as the load does, and let the currents sum to zero"
        )
    else:
        what, where = ("the loop, out and back together", "") if not found.problem.axial else (
            "all its turns", " right of the axis"
        )
        yield (
            f"each circuit is a port of two nodes: {what}; current into the first node flows "
            f"out of the page{where} in the conductors listed under out"
        )
    if found.shorted:
        yield f"{', '.join(found.shorted)}: shorted, no port of its own but part of every R and L"
    for k, name in enumerate(found.names):
        line = (
            f"{name}: exact at 0 Hz R = {limits.resistance_at_rest[k, k]:.9g} ohm/m, "
            f"L = {limits.inductance_at_rest[k, k]:.9g} H/m{_at_surface(limits.inductance_at_surface, k)}"
        )
        yield per_turn(line) if found.problem.axial else line
    open_ended = [c.name for c in found.problem.circuits if not c.back]
    if open_ended and not found.problem.axial:
        yield (
            f"{', '.join(open_ended)}: return outside the section, on a circle of radius "
            f"{concise(found.return_radius, 'm', 4)}: inductances hold for currents that sum to zero"
        )
    if len(found.names) > 1:
        yield "a negative K means that the currents into the first nodes weaken each other's flux"


def _extent(found: LadderAnswer) -> str:
    """What the network stands for."""
    if found.problem.axial:
        return "the turns of a section round an axis, what is closed between them included"
    return f"a run of {concise(found.length, 'm')}" if found.length else "one metre of run"


def _at_surface(inductance: FloatArray | None, circuit: int) -> str:
    """The other end, where it is known."""
    if inductance is None:
        return ""
    found = inductance[circuit, circuit]
    return f"; exact L with all current on the surfaces = {found:.9g} H/m (R grows without limit)"
