"""Tables of the water: one line a stream, one line a conductor."""

from __future__ import annotations

from collections.abc import Sequence

from crosscurrent.postprocess.answers.noise import figure, within
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.solver.water.circuit import Branch

from .water import WaterAnswer, litres


def stream_table(cooled: Sequence[WaterAnswer]) -> TextTable:
    """One line per stream and frequency."""
    columns = ("water through", "at", "heat", "flow [l/min]", "inlet", "outlet [degC]", "drop [bar]", "to boiling [K]")
    rows = tuple(
        (
            _named(c),
            c.at,
            figure(c.stream.heat, within(c.stream.heat, c.water.loss_error), "W"),
            litres(c.flow),
            f"{c.circuit.inlet:.4g}",
            f"{c.stream.outlet:.4g}" if c.boils_away is None else "boils",
            f"{c.stream.drop / 1e5:.3g}",
            f"{c.stream.margin:.3g}" if c.boils_away is None else "none",
        )
        for c in cooled
    )
    return TextTable("Water cooling (whole run)", columns, rows)


def _named(c: WaterAnswer) -> str:
    glycol = c.circuit.coolant.glycol
    remarks: list[str] = [c.circuit.joined] if len(c.water.conductors) > 1 else []
    remarks += [f"{100 * glycol:g} % glycol"] if glycol else []
    return f"{c.name} ({', '.join(remarks)})" if remarks else c.name


def branch_table(cooled: Sequence[WaterAnswer]) -> TextTable:
    """One line per conductor and frequency."""
    columns = ("conductor", "at", "[m/s]", "Re", "flow is", "h [W/m2K]", "bore wall [degC]", "+-", "hottest metal")
    rows = tuple(
        (
            branch.passage.label,
            c.at,
            f"{branch.velocity:.3g}",
            f"{branch.reynolds:.0f}",
            branch.regime,
            f"{branch.film:.0f}",
            _unless_boiled(branch, branch.surface),
            _unless_boiled(branch, c.water.wall_error(branch), 2),
            _unless_boiled(branch, branch.hottest),
        )
        for c in cooled
        for branch in c.stream.branches
    )
    return TextTable("Each conductor where its water leaves", columns, rows)


def _unless_boiled(branch: Branch, value: float, digits: int = 4) -> str:
    """A temperature, where there still is water to give it a meaning."""
    return f"{value:.{digits}g}" if branch.outlet < branch.boiling else "boils"
