"""The answers as tables a reader takes in at a glance: rows of text, for the terminal or a notebook."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from .answers import Answers, RoughnessAnswer
from .units import THOU, concise, engineering, error_bar


@dataclass(frozen=True)
class TextTable:
    """A heading, column names and rows of text; the first column is left-aligned, the others right."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

    def html(self) -> str:
        """As an HTML table, everything escaped."""

        def cells(kind: str, row: Sequence[str]) -> str:
            return "".join(f"<{kind}>{escape(cell)}</{kind}>" for cell in row)

        body = "".join(f"<tr>{cells('td', row)}</tr>" for row in self.rows)
        return f"<table><caption>{escape(self.heading)}</caption><tr>{cells('th', self.columns)}</tr>{body}</table>"


def circuit_table(found: Answers) -> TextTable:
    """One line per circuit: current, resistance and inductance with their bars, loss."""
    columns = ("circuit", "current", "R loop", "+-", "Rac/Rdc", "L loop", "+-", "loss")
    rows = tuple(
        (
            c.name,
            engineering(abs(c.current), "A"),
            engineering(c.resistance, "ohm/m", 5),
            error_bar(c.resistance_error),
            _ratio(c.resistance_ratio),
            engineering(c.inductance, "H/m", 5),
            error_bar(c.inductance_error),
            engineering(c.loss, "W/m"),
        )
        for c in found.circuits.values()
    )
    kind = "out and back together" if len(rows) < 2 else "at the terminals; coupled circuits pass power to each other"
    return TextTable(f"Circuits at {concise(found.frequency, 'Hz')} (rms, {kind})", columns, rows)


def voltage_table(found: Answers, length: float | None = None) -> TextTable:
    """One line per circuit: reactance and voltage, and the totals over a run of a length [m]."""
    columns: tuple[str, ...] = ("circuit", "X loop", "voltage")
    if length is not None:
        columns += tuple(f"{what} of {length:g} m" for what in ("R", "L", "voltage", "loss"))
    rows = []
    for c in found.circuits.values():
        row: tuple[str, ...] = (c.name, engineering(c.reactance, "ohm/m"), engineering(abs(c.voltage), "V/m"))
        if length is not None:
            row += (
                engineering(None if c.resistance is None else c.resistance * length, "ohm"),
                engineering(None if c.inductance is None else c.inductance * length, "H"),
                engineering(abs(c.voltage) * length, "V"),
                engineering(c.loss * length, "W"),
            )
        rows.append(row)
    return TextTable("Voltage along the run", columns, tuple(rows))


def conductor_table(found: Answers) -> TextTable:
    """One line per conductor: current, loss with its bar, ratio to direct current, skin depth, peak density, force."""
    columns = (
        "conductor",
        "current",
        "[deg]",
        "loss",
        "+-",
        "loss/dc",
        "skin [mm]",
        "[thou]",
        "peak J [A/mm2]",
        "force x, y [N/m]",
    )
    rows = tuple(
        (
            c.name,
            *(_current(c.current) if c.loss_ratio is not None else ("induced", "-")),
            engineering(c.loss, "W/m"),
            error_bar(c.loss_error),
            _ratio(c.loss_ratio),
            *_depth(c.skin_depth),
            f"{c.peak_current_density / 1e6:.4g}",
            ", ".join(_force(f, c.force_error) for f in c.force),
        )
        for c in found.conductors.values()
    )
    return TextTable(f"Conductors at {concise(found.frequency, 'Hz')} (rms, per metre of run)", columns, rows)


def sentences(found: Answers) -> tuple[str, ...]:
    """Where the current flows, one sentence per conductor."""
    return tuple(f"{c.name}: {c.sentence}{_rough(c.roughness)}" for c in found.conductors.values())


def _rough(roughness: RoughnessAnswer | None) -> str:
    if roughness is None:
        return ""
    return (
        f"; its roughness (Rq {concise(roughness.rq, 'm', 3)}) multiplies the surface resistance by "
        f"{roughness.factor:.4g} (the published models range from {roughness.low:.4g} to {roughness.high:.4g})"
    )


def _ratio(value: float | None) -> str:
    return "-" if value is None else f"{value:.4g}"


def _depth(depth: float | None) -> tuple[str, str]:
    return ("-", "-") if depth is None else (f"{depth * 1e3:.3g}", f"{depth / THOU:.3g}")


def _force(value: float, error: float) -> str:
    """Three digits, or 0 where the error bar covers it."""
    return "0" if abs(value) <= max(error, 5e-7) else f"{value:.3g}"


def _current(current: complex) -> tuple[str, str]:
    angle = round(math.degrees(cmath.phase(current)), 1)
    return engineering(abs(current), "A"), f"{180.0 if angle == -180 else angle + 0.0:.1f}"
