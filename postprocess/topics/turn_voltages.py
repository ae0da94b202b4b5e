"""Voltages between turns round an axis, and their capacitances, as every output says them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering
from crosscurrent.solver.field.turn_voltages import TurnGap

SHOWN = 6  # pairs of turns in the table
NEAR = 5.0  # times the frequency, below which the coil's own resonance changes the currents in its turns: 1 / 25


@dataclass(frozen=True, eq=False)
class TurnVoltages:
    """A coil at one frequency [Hz].

    Attributes
    ----------
    circuit : str
    frequency : float
    gaps : tuple of TurnGap
        The strongest field first.
    limit : float or None
        That the gaps may stand, crest [V/m].
    capacitance : float
        At its terminals [F].
    error : float
        Relative, of the charges.
    resonance : float
        Of its own [Hz].
    between : mapping of pairs of names to float
        Capacitance between turns one after the other [F].
    """

    circuit: str
    frequency: float
    gaps: tuple[TurnGap, ...]
    limit: float | None
    capacitance: float
    error: float
    resonance: float
    between: dict[tuple[str, str], float]

    @property
    def at(self) -> str:
        """The frequency in words."""
        return concise(self.frequency, "Hz") if self.frequency else "direct current"


def record(found: Sequence[TurnVoltages]) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {
        "coils": [
            {
                "circuit": one.circuit,
                "frequency_hz": one.frequency,
                "own_capacitance_total_f": one.capacitance,
                "capacitance_error": one.error,
                "own_resonance_hz": one.resonance,
                "field_limit_v_over_m": one.limit,
                "gaps": [
                    {
                        "turns": [gap.one, gap.other],
                        "gap_m": gap.gap,
                        "voltage_v": gap.voltage,
                        "mean_field_crest_v_over_m": gap.field,
                    }
                    for gap in one.gaps
                ],
                "between_neighbours": [
                    {"turns": list(pair), "capacitance_f": value} for pair, value in one.between.items()
                ],
            }
            for one in found
        ]
    }


def table(one: TurnVoltages) -> TextTable:
    """The pairs of turns with the strongest fields."""
    rows = tuple(
        (
            f"{gap.one} - {gap.other}",
            engineering(gap.voltage, "V", 3),
            engineering(gap.gap, "m", 3),
            engineering(gap.field * 1e-3, "V/mm", 3),
            engineering(one.between.get((gap.one, gap.other)), "F", 3),
        )
        for gap in one.gaps[:SHOWN]
    )
    columns = ("turns", "voltage (rms)", "gap", "mean field (crest)", "capacitance")
    return TextTable(f"Between turns of {one.circuit} at {one.at}", columns, rows)


def _field(value: float) -> str:
    return engineering(value * 1e-3, "V/mm", 3)


def sentences(one: TurnVoltages) -> list[str]:
    """The strongest field, and the coil's own capacitance."""
    found = []
    if one.gaps:
        gap = one.gaps[0]
        found.append(
            f"{one.circuit} at {one.at}: between {gap.one} and {gap.other} stand {engineering(gap.voltage, 'V', 3)} "
            f"rms over {engineering(gap.gap, 'm', 3)}, a mean field of {_field(gap.field)} (crest)"
        )
    found.append(
        f"{one.circuit}: its turns in air are worth {engineering(one.capacitance, 'F', 3)} at its terminals with one "
        f"end and all work pieces earthed, and resonate with its inductance near {engineering(one.resonance, 'Hz', 2)}"
    )
    return found


def warnings(one: TurnVoltages) -> list[str]:
    """What does not hold."""
    found = []
    if one.frequency * NEAR > one.resonance:
        found.append(
            f"{one.circuit} at {one.at}: its own resonance near {engineering(one.resonance, 'Hz', 2)} is so close that "
            "part of the current passes between the turns, which is not in the figures"
        )
    if one.limit is not None and one.gaps and one.gaps[0].field > one.limit:
        gap = one.gaps[0]
        found.append(
            f"{one.circuit} at {one.at}: the mean field between {gap.one} and {gap.other}, "
            f"{_field(gap.field)}, is above the stated {_field(one.limit)}"
        )
    return found
