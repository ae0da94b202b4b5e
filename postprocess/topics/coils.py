"""The words, tables and record of coils: their turns, and how they are coupled with all others open."""

from __future__ import annotations

import cmath
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.noise import NONE, with_bar
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, significant
from crosscurrent.solver.field.problem import Problem

TITLE = "Coils"


@dataclass(frozen=True)
class TurnVoltage:
    """The voltage of one turn, in the direction of its coil's current [V rms], a bound on its error, and its sense."""

    name: str
    voltage: complex
    error: float
    reversed: bool = False


@dataclass(frozen=True)
class CoilAnswer:
    """A coil or circuit at one frequency.

    Attributes
    ----------
    name : str
    frequency : float
        [Hz]
    current : complex
        [A rms]
    turns : tuple of TurnVoltage
        In the order of the current; none of a circuit that is no coil.
    taps : tuple of int
        Turns from the start after which it is tapped.
    resistance, resistance_error : float
        With all other circuits open [ohm], and a bound on its error [ohm].
    inductance, inductance_error : float
        [H], [H]
    shorted : bool
    voltage, voltage_error : float
        Size of that between its terminals, with the others as stated [V rms], [V].
    """

    name: str
    frequency: float
    current: complex
    turns: tuple[TurnVoltage, ...]
    taps: tuple[int, ...]
    resistance: float
    resistance_error: float
    inductance: float
    inductance_error: float
    shorted: bool = False
    voltage: float = 0.0
    voltage_error: float = 0.0

    @property
    def reactance(self) -> float:
        """[ohm]"""
        return 2 * math.pi * self.frequency * self.inductance

    @property
    def quality(self) -> float | None:
        """Reactance over resistance; None at rest."""
        return self.reactance / self.resistance if self.frequency and self.resistance else None

    @property
    def quality_error(self) -> float:
        """Relative bound on the error of the quality."""
        parts = (self.inductance, self.inductance_error), (self.resistance, self.resistance_error)
        return sum(error / abs(value) for value, error in parts if value)

    def tapped(self, turns: int) -> complex:
        """Voltage from the start to a tap [V rms]."""
        return sum((turn.voltage for turn in self.turns[:turns]), 0j)


@dataclass(frozen=True)
class CoupledPair:
    """Two circuits at one frequency with all others open.

    Attributes
    ----------
    one, other : str
    frequency : float
        [Hz]
    mutual, mutual_error : float
        Mutual inductance [H], and a bound on its error [H].
    coupling, coupling_error : float
        Coupling factor, and a bound on its error.
    merit : float or None
        Coupling factor times the root of both qualities; None at rest.
    """

    one: str
    other: str
    frequency: float
    mutual: float
    mutual_error: float
    coupling: float
    coupling_error: float
    merit: float | None

    @property
    def known(self) -> bool:
        """Whether its coupling is more than its bar."""
        return abs(self.coupling) > self.coupling_error

    @property
    def efficiency(self) -> float | None:
        """The most of the power into one that a load at the other can take."""
        return None if self.merit is None else self.merit**2 / (1 + math.sqrt(1 + self.merit**2)) ** 2


def record(coils: Sequence[CoilAnswer], pairs: Sequence[CoupledPair]) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {"coils": [_coil(one) for one in coils], "pairs": [_pair(one) for one in pairs]}


def _coil(one: CoilAnswer) -> dict[str, Json]:
    return {
        "coil": one.name,
        "frequency_hz": one.frequency,
        "current_a": [one.current.real, one.current.imag],
        "shorted": one.shorted,
        "total_voltage_v": one.voltage,
        "total_voltage_error_v": one.voltage_error,
        "total_resistance_ohm": one.resistance,
        "total_resistance_error_ohm": one.resistance_error,
        "total_inductance_h": one.inductance,
        "total_inductance_error_h": one.inductance_error,
        "quality": one.quality,
        "quality_error": one.quality_error if one.quality else None,
        "turns": [
            {
                "conductor": turn.name,
                "reversed": turn.reversed,
                "voltage_v_per_turn": [turn.voltage.real, turn.voltage.imag],
                "voltage_error_v_per_turn": turn.error,
            }
            for turn in one.turns
        ],
        "taps": [{"turns": tap, "voltage_v": [(v := one.tapped(tap)).real, v.imag]} for tap in one.taps],
    }


def _pair(one: CoupledPair) -> dict[str, Json]:
    return {
        "one": one.one,
        "other": one.other,
        "frequency_hz": one.frequency,
        "mutual_inductance_h": one.mutual,
        "mutual_inductance_error_h": one.mutual_error,
        "coupling_factor": one.coupling,
        "coupling_factor_error": one.coupling_error,
        "figure_of_merit": one.merit,
        "largest_efficiency_of_the_link": one.efficiency,
    }


def tables(coils: Sequence[CoilAnswer], pairs: Sequence[CoupledPair]) -> Iterator[TextTable]:
    """Coils, pairs, and the turns of each coil at each frequency."""
    columns = ("coil", "at", "turns", "R", "L", "Q")
    rows = tuple(
        (
            one.name,
            concise(one.frequency, "Hz"),
            str(len(one.turns) or 1),
            with_bar(one.resistance, one.resistance_error / one.resistance if one.resistance else None, "ohm"),
            with_bar(one.inductance, one.inductance_error / abs(one.inductance), "H"),
            "-" if one.quality is None else f"{one.quality:.4g}",
        )
        for one in coils
    )
    yield TextTable("Coils, all others open", columns, rows)
    if pairs:
        heads = ("coils", "at", "mutual inductance", "coupling factor", "k sqrt(Q1 Q2)")
        cells = tuple(
            (
                f"{one.one}, {one.other}",
                concise(one.frequency, "Hz"),
                with_bar(one.mutual, one.mutual_error / abs(one.mutual) if one.mutual else None, "H"),
                _factor(one),
                "-" if one.merit is None or not one.known else f"{one.merit:.4g}",
            )
            for one in pairs
        )
        yield TextTable("Pairs of coils, all others open", heads, cells)
    for one in coils:
        if one.turns and any(turn.voltage for turn in one.turns):
            yield _turns(one)


def _turns(one: CoilAnswer) -> TextTable:
    rows, reached, error = [], 0j, 0.0
    for number, turn in enumerate(one.turns, 1):
        reached += turn.voltage
        tap = " (tap)" if number in one.taps else ""
        way = ", reversed" if turn.reversed else ""
        error += turn.error
        shown = _volts(turn.voltage, turn.error), _degrees(turn.voltage), _volts(reached, error) + tap
        rows.append((f"{turn.name}{way}", *shown))
    columns = ("turn", "its voltage", "[deg]", "from the start")
    return TextTable(f"Turns of {one.name} at {concise(one.frequency, 'Hz')} (rms)", columns, tuple(rows))


def _factor(one: CoupledPair) -> str:
    return f"{significant(one.coupling, 5)} +- {significant(one.coupling_error, 1)}" if one.known else NONE


def _volts(voltage: complex, error: float = 0.0) -> str:
    return engineering(abs(voltage), "V") if abs(voltage) > error else NONE


def _degrees(voltage: complex) -> str:
    return f"{math.degrees(cmath.phase(voltage)) + 0.0:.1f}" if voltage else "-"


def sentences(coils: Sequence[CoilAnswer], pairs: Sequence[CoupledPair]) -> Iterator[str]:
    """What a designer asks of a coil first, and what is not in the figures."""
    for pair in pairs:
        if not pair.known:
            yield f"{pair.one} and {pair.other} at {concise(pair.frequency, 'Hz')}: no coupling"
            continue
        link = ""
        if pair.efficiency is not None:
            link = f"; at best {100 * pair.efficiency:.3g} % of the power into one reaches a load at the other"
        yield (
            f"{pair.one} and {pair.other} at {concise(pair.frequency, 'Hz')}: coupling factor "
            f"{significant(pair.coupling, 4)} +- {significant(pair.coupling_error, 1)}, mutual inductance "
            f"{with_bar(pair.mutual, pair.mutual_error / abs(pair.mutual) if pair.mutual else None, 'H')}{link}"
        )
    for one in coils:
        at = f"{one.name} at {concise(one.frequency, 'Hz')}"
        live = [turn for turn in one.turns if abs(turn.voltage) > turn.error]
        if one.shorted:
            yield f"{at}: shorted, {engineering(abs(one.current), 'A') if live else 'no current'} induced in it"
        if len(live) > 1 and not one.shorted and one.frequency:
            low, high = (pick(live, key=lambda turn: abs(turn.voltage)) for pick in (min, max))
            yield (
                f"{at}: {_volts(low.voltage)} ({low.name}) to {_volts(high.voltage)} ({high.name}) a turn, "
                f"{engineering(one.voltage, 'V')} between its ends (rms)"
            )
        for tap in one.taps:
            yield f"{at}: {_volts(one.tapped(tap))} from the start to the tap after {tap} turn{'s' * (tap > 1)}"
    yield (
        "turns are rings here: the pitch of a helix or a spiral, its leads and what they add to resistance and "
        "inductance are not in the figures"
    )


def _between(one: CoupledPair, value: float) -> Measured:
    of = f"{one.one}, {one.other}"
    return Measured(value, one.coupling_error, "", of, "", one.frequency, f"{of} at {concise(one.frequency, 'Hz')}")


def measured(coils: Sequence[CoilAnswer], pairs: Sequence[CoupledPair]) -> dict[str, tuple[Measured, ...]]:
    """Currents and voltages of the coils, coupling factors of the pairs: for limits and studies."""
    words = {(one.name, one.frequency): f"{one.name} at {concise(one.frequency, 'Hz')}" for one in coils}
    return {
        "current": tuple(
            Measured(abs(one.current), 0.0, "A", one.name, "", one.frequency, words[one.name, one.frequency])
            for one in coils
        ),
        "voltage": tuple(
            Measured(one.voltage, one.voltage_error, "V", one.name, "", one.frequency, words[one.name, one.frequency])
            for one in coils
        ),
        "coupling": tuple(_between(one, one.coupling) for one in pairs),
        "leakage": tuple(_between(one, 1 - abs(one.coupling)) for one in pairs),
    }


def unnamed(problem: Problem, named: Sequence[str], where: str) -> Iterator[str]:
    """What flows in the circuits that a current in time does not name."""
    if closed := [c.name for c in problem.circuits if c.shorted]:
        yield f"{', '.join(closed)}: shorted, with the current that the others induce at every moment"
    if any(c.name not in named and not c.shorted for c in problem.circuits):
        yield f"the circuits not named carry no current {where}"
