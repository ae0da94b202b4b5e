"""The words, tables and record of a tank: a coil, its capacitor, and what happens without the piece."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from crosscurrent.postprocess.answers.chapter import Json, Measured
from crosscurrent.postprocess.answers.noise import with_bar
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering

TITLE = "Tank"


@dataclass(frozen=True)
class Empty:
    """The coil with its heated pieces away, at the same frequency: [ohm], [H]."""

    resistance: float
    inductance: float


@dataclass(frozen=True)
class TankAnswer:
    """A coil of R + jX that carries I, and the capacitor that makes it look resistive.

    In series C = 1 / (w X), and the capacitor carries the coil's current. In parallel C = X / (w |Z|^2): the terminals
    then see |Z|^2 / R, and the capacitor stands at the coil's voltage.

    Attributes
    ----------
    coil : str
    joined : "series" or "parallel"
    frequency : float
        [Hz]
    current : float
        Of the coil [A rms].
    resistance, resistance_error : float
        Of the coil with all around it [ohm], relative bound.
    inductance, inductance_error : float
        [H], relative bound.
    empty : Empty or None
    """

    coil: str
    joined: Literal["series", "parallel"]
    frequency: float
    current: float
    resistance: float
    resistance_error: float
    inductance: float
    inductance_error: float
    empty: Empty | None = None

    @property
    def reactance(self) -> float:
        """Of the coil [ohm]."""
        return 2 * math.pi * self.frequency * self.inductance

    @property
    def impedance(self) -> float:
        """Size of the coil's [ohm]."""
        return math.hypot(self.resistance, self.reactance)

    @property
    def capacitance(self) -> float:
        """For resonance at the frequency [F].

        Examples
        --------
        1 ohm + j 10 ohm at 1 kHz:

        >>> coil = "work", "series", 1e3, 1.0, 1.0, 0.0, 10 / (2 * math.pi * 1e3), 0.0
        >>> round(TankAnswer(*coil).capacitance * 1e6, 3)
        15.915
        >>> round(TankAnswer("work", "parallel", *coil[2:]).capacitance * 1e6, 3)
        15.758
        """
        omega = 2 * math.pi * self.frequency
        if self.joined == "series":
            return 1 / (omega * self.reactance)
        return self.reactance / (omega * self.impedance**2)

    @property
    def capacitance_error(self) -> float:
        """Relative bound on its error."""
        small = (self.resistance / self.impedance) ** 2
        parallel = abs(1 - 2 * small) * self.inductance_error + 2 * small * self.resistance_error
        return self.inductance_error if self.joined == "series" else max(parallel, 0.0)

    @property
    def capacitor_current(self) -> float:
        """[A rms]"""
        if self.joined == "series":
            return self.current
        return self.voltage * 2 * math.pi * self.frequency * self.capacitance

    @property
    def voltage(self) -> float:
        """Across the capacitor [V rms]."""
        return self.current * (self.reactance if self.joined == "series" else self.impedance)

    @property
    def voltage_error(self) -> float:
        """Relative bound on its error."""
        small = (self.resistance / self.impedance) ** 2
        parallel = (1 - small) * self.inductance_error + small * self.resistance_error
        return self.inductance_error if self.joined == "series" else parallel

    @property
    def reactive(self) -> float:
        """Of the capacitor, as much as of the coil, I squared times X [var]."""
        return self.voltage * self.capacitor_current

    @property
    def supply_current(self) -> float:
        """[A rms]"""
        return self.current if self.joined == "series" else self.current * self.resistance / self.impedance

    @property
    def supply_voltage(self) -> float:
        """[V rms]"""
        return self.current * (self.resistance if self.joined == "series" else self.impedance)

    @property
    def quality(self) -> float:
        """Of the loaded coil."""
        return self.reactance / self.resistance

    @property
    def power(self) -> float:
        """[W]"""
        return self.current**2 * self.resistance

    @property
    def empty_frequency(self) -> float | None:
        """At which the empty coil resonates with the same capacitor, its L and R taken as they are here [Hz]."""
        if self.empty is None:
            return None
        r, x = self.empty.resistance, self.empty.inductance
        squared = 1 / (x * self.capacitance)
        if self.joined == "parallel":
            squared -= (r / x) ** 2
        return math.sqrt(squared) / (2 * math.pi) if squared > 0 else None

    @property
    def empty_quality(self) -> float | None:
        """Of the empty coil at the frequency of the case."""
        if self.empty is None:
            return None
        return 2 * math.pi * self.frequency * self.empty.inductance / self.empty.resistance


def record(found: Sequence[TankAnswer]) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {
        "points": [
            {
                "coil": one.coil,
                "joined": one.joined,
                "frequency_hz": one.frequency,
                "capacitance_f": one.capacitance,
                "capacitance_error": one.capacitance_error,
                "capacitor_current_a": one.capacitor_current,
                "tank_voltage_v": one.voltage,
                "reactive_power_var": one.reactive,
                "coil_current_a": one.current,
                "supply_current_a": one.supply_current,
                "supply_voltage_v": one.supply_voltage,
                "supply_power_w": one.power,
                "quality_loaded": one.quality,
                "empty": None
                if one.empty is None
                else {
                    "resistance_ohm": one.empty.resistance,
                    "inductance_h": one.empty.inductance,
                    "quality": one.empty_quality,
                    "resonance_hz": one.empty_frequency,
                },
            }
            for one in found
        ]
    }


def measured(found: Sequence[TankAnswer]) -> dict[str, tuple[Measured, ...]]:
    """What the capacitor has to stand, for limits."""

    def figure(one: TankAnswer, value: float, error: float, unit: str) -> Measured:
        at = concise(one.frequency, "Hz")
        return Measured(value, value * error, unit, one.coil, "", one.frequency, f"{one.coil} at {at}")

    return {
        "tank_voltage": tuple(figure(one, one.voltage, one.voltage_error, "V") for one in found),
        "reactive_power": tuple(
            figure(one, one.reactive, one.inductance_error, "var") for one in found
        ),
    }


def table(found: Sequence[TankAnswer]) -> TextTable:
    """One line a frequency."""
    columns = ("coil", "at", "capacitor", "its voltage", "its current", "kvar", "supply", "Q")
    rows = tuple(
        (
            one.coil,
            concise(one.frequency, "Hz"),
            with_bar(one.capacitance, one.capacitance_error, "F"),
            engineering(one.voltage, "V"),
            engineering(one.capacitor_current, "A"),
            f"{one.reactive * 1e-3:.4g}",
            f"{engineering(one.supply_voltage, 'V')}, {engineering(one.supply_current, 'A')}",
            f"{one.quality:.4g}",
        )
        for one in found
    )
    joined = found[0].joined
    return TextTable(f"Tank, the capacitor in {joined} (rms)", columns, rows)


def sentences(found: Sequence[TankAnswer]) -> Iterator[str]:
    """The capacitor first, then what the piece does to the tank."""
    for one in found:
        at = concise(one.frequency, "Hz")
        yield (
            f"{one.coil} resonates at {at} with {with_bar(one.capacitance, one.capacitance_error, 'F')} in "
            f"{one.joined}: {engineering(one.voltage, 'V')} across it and {engineering(one.capacitor_current, 'A')} "
            f"through it (rms), {one.reactive * 1e-3:.4g} kvar; the supply gives "
            f"{engineering(one.supply_voltage, 'V')} and {engineering(one.supply_current, 'A')}, "
            f"{engineering(one.power, 'W')}; Q loaded {one.quality:.4g}"
        )
        if one.empty is not None and one.empty_quality is not None:
            moved = one.empty_frequency
            where = "it does not resonate" if moved is None else f"it resonates at {concise(moved, 'Hz', 5)}"
            yield (
                f"{one.coil} at {at} without its pieces: {engineering(one.empty.inductance, 'H')} in place of "
                f"{engineering(one.inductance, 'H')}, {engineering(one.empty.resistance, 'ohm')} in place of "
                f"{engineering(one.resistance, 'ohm')}, Q {one.empty_quality:.4g} in place of {one.quality:.4g}; with "
                f"the same capacitor {where}"
            )
    yield "losses of the capacitor and of the leads to it, and their inductance, are not in the tank's figures"
