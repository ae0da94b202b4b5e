"""The answers as tables a reader takes in at a glance: rows of text, for the terminal or a notebook."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from .answers import Answers
from .units import engineering, error_bar, in_mm_and_thou


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


def circuit_table(found: Answers, length: float | None = None) -> TextTable:
    """One line per circuit: current, R with its bar, ratio, L with its bar, X, voltage, loss."""
    columns = ["circuit", "current", "R loop", "+-", "Rac/Rdc", "L loop", "+-", "X loop", "voltage", "loss"]
    rows = []
    for c in found.circuits.values():
        row = [
            c.name,
            engineering(abs(c.current), "A"),
            engineering(c.resistance, "ohm/m", 5),
            error_bar(c.resistance_error),
            "-" if c.resistance_ratio is None else f"{c.resistance_ratio:.4g}",
            engineering(c.inductance, "H/m", 5),
            error_bar(c.inductance_error),
            engineering(c.reactance, "ohm/m"),
            engineering(abs(c.voltage), "V/m"),
            engineering(c.loss, "W/m"),
        ]
        if length is not None:
            row += [engineering(abs(c.voltage) * length, "V"), engineering(c.loss * length, "W")]
        rows.append(tuple(row))
    if length is not None:
        columns += [f"voltage, {length:g} m", f"loss, {length:g} m"]
    heading = f"Circuits at {engineering(found.frequency, 'Hz')}, rms, out and back together"
    return TextTable(heading, tuple(columns), tuple(rows))


def conductor_table(found: Answers) -> TextTable:
    """One line per conductor: current, loss with its bar, ratio, skin depth, densities, force."""
    columns: tuple[str, ...] = ("conductor", "current", "angle", "loss", "+-", "loss/dc", "skin depth", "peak J", "mean J")
    columns += ("force x", "force y")
    rows = []
    for c in found.conductors.values():
        rows.append(
            (
                c.name,
                engineering(abs(c.current), "A") if c.loss_ratio is not None else "0 A net",
                f"{_degrees(c.current):.1f} deg" if c.loss_ratio is not None else "-",
                engineering(c.loss, "W/m"),
                error_bar(c.loss_error),
                "-" if c.loss_ratio is None else f"{c.loss_ratio:.4g}",
                "-" if c.skin_depth is None else in_mm_and_thou(c.skin_depth),
                f"{c.peak_current_density / 1e6:.4g} A/mm2",
                f"{c.mean_current_density / 1e6:.4g} A/mm2",
                _force(c.force[0]),
                _force(c.force[1]),
            )
        )
    return TextTable(f"Conductors at {engineering(found.frequency, 'Hz')}, rms, per metre of run", columns, tuple(rows))


def sentences(found: Answers) -> tuple[str, ...]:
    """Where the current flows, one sentence per conductor."""
    return tuple(f"{c.name}: {c.sentence}" for c in found.conductors.values())


def _force(value: float) -> str:
    return "0 N/m" if abs(value) < 5e-7 else engineering(value, "N/m", 3)


def _degrees(current: complex) -> float:

    angle = math.degrees(cmath.phase(current))
    return 180.0 if round(angle, 1) == -180.0 else angle + 0.0
