"""The words, table and record of the check by hand: the closed forms that fit, beside the answers."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from crosscurrent.postprocess.answers.chapter import Json
from crosscurrent.postprocess.answers.noise import figure, within
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.answers.units import concise, engineering, temperatures
from crosscurrent.solver.field.hand_formula import HandFormula

BESIDE = ("by hand", "differs")
SURE = 1e-6  # that two numbers that are both exact may differ by rounding


@dataclass(frozen=True)
class HandComparison:
    """A closed form and the answers it stands beside: of one circuit, or the mean of three phases.

    Attributes
    ----------
    frequency : float
        [Hz]
    formula : HandFormula
    resistance : float
        Losses of the circuits' own conductors over the squares of their currents [ohm/m].
    resistance_bar : float
        Its relative bound.
    inductance : float or None
        [H/m]
    inductance_bar : float
        Its relative bound.
    temperature_low, temperature_high : float or None
        Of the conductors, for which formula and answer hold [degC].
    """

    frequency: float
    formula: HandFormula
    resistance: float
    resistance_bar: float = 0.0
    inductance: float | None = None
    inductance_bar: float = 0.0
    temperature_low: float | None = None
    temperature_high: float | None = None

    @property
    def circuits(self) -> str:
        """Their names."""
        return ", ".join(self.formula.circuits)

    @property
    def off_in_resistance(self) -> float | None:
        """The formula's resistance beside the answer, relative to that; None where it knows none."""
        return _difference(self.formula.resistance, self.resistance)

    @property
    def off_in_inductance(self) -> float | None:
        """The same of the inductance."""
        return _difference(self.formula.inductance, self.inductance)

    @property
    def agrees(self) -> bool:
        """Whether both lie within the formula's own error and the bar of the answer."""
        f = self.formula
        allowed = (f.resistance_error + self.resistance_bar, f.inductance_error + self.inductance_bar)
        offs = (self.off_in_resistance or 0.0, self.off_in_inductance or 0.0)
        return all(abs(off) <= most + SURE for off, most in zip(offs, allowed, strict=True))


def table(found: Sequence[HandComparison]) -> TextTable:
    """Both side by side."""
    columns = ("circuit", "at", "R of its conductors", *BESIDE, "L", *BESIDE)
    return TextTable("Hand formulas beside the answers (loop, per metre)", columns, tuple(_row(c) for c in found))


def _row(c: HandComparison) -> tuple[str, ...]:
    f = c.formula
    warm = "" if c.temperature_low is None else f", {temperatures(c.temperature_low, c.temperature_high)}"
    return (
        c.circuits,
        f"{concise(c.frequency, 'Hz')}{warm}",
        figure(c.resistance, within(c.resistance, c.resistance_bar), "ohm/m"),
        engineering(f.resistance, "ohm/m"),
        _percent(c.off_in_resistance),
        figure(c.inductance, within(c.inductance, c.inductance_bar), "H/m"),
        engineering(f.inductance, "H/m"),
        _percent(c.off_in_inductance),
    )


def record(found: Sequence[HandComparison]) -> dict[str, Json]:
    """The numbers of the chapter."""
    return {"circuits": [_record(c) for c in found]}


def _record(c: HandComparison) -> dict[str, Json]:
    f = c.formula
    return {
        "circuit": c.circuits,
        "circuits": list(f.circuits),
        "frequency_hz": c.frequency,
        "temperature_low_degc": c.temperature_low,
        "temperature_high_degc": c.temperature_high,
        "formula": f.name,
        "source": f.source,
        "resistance_ohm_per_m": f.resistance,
        "resistance_difference": c.off_in_resistance,
        "resistance_formula_error": None if f.resistance is None else f.resistance_error,
        "inductance_h_per_m": f.inductance,
        "inductance_difference": c.off_in_inductance,
        "inductance_formula_error": None if f.inductance is None else f.inductance_error,
        "exact": f.exact,
        "agrees": c.agrees,
    }


def sentences(found: Sequence[HandComparison]) -> list[str]:
    """One for all frequencies of a formula: what it is, how good it is, how far it lies from the answer."""
    alike: dict[tuple[str, str, bool], list[HandComparison]] = {}
    for one in found:
        alike.setdefault((one.circuits, one.formula.name, one.formula.exact), []).append(one)
    return [_sentence(group) for group in alike.values()]


def _sentence(group: Sequence[HandComparison]) -> str:
    f = group[0].formula
    error = max(max(c.formula.resistance_error, c.formula.inductance_error) for c in group)
    good = "exact" if f.exact else f"good to {_own(error)}"
    low, high = (concise(pick(c.frequency for c in group), "Hz") for pick in (min, max))
    at = f"at {low}" if low == high else f"from {low} to {high}"
    offs = {"R": [c.off_in_resistance for c in group], "L": [c.off_in_inductance for c in group]}
    known = {letter: [off for off in values if off is not None] for letter, values in offs.items()}
    told = [f"{letter} {_range(values)}" for letter, values in known.items() if values]
    more = "" if all(c.agrees for c in group) else ", more than that and the bar together"
    return f"{group[0].circuits} {at}: {f.name} ({f.after}), {good}: {', '.join(told)}{more}"


def _range(offs: Sequence[float]) -> str:
    low, high = _percent(min(offs)), _percent(max(offs))
    return low if low == high else f"{low.removesuffix(' %')} to {high}"


def _difference(formula: float | None, computed: float | None) -> float | None:
    return None if formula is None or not computed else formula / computed - 1


def _own(error: float) -> str:
    """A formula's own error, rounded up."""
    return f"{max(0.1, math.ceil(1e3 * error) / 10):g} %"


def _percent(part: float | None) -> str:
    if part is None:
        return "-"
    if abs(part) < 5e-7:
        return "< 0.0001 %"
    decimals = 1 if abs(part) >= 5e-4 else -math.floor(math.log10(100 * abs(part)))
    return f"{100 * part:+.{decimals}f} %"
