"""The answers as tables a reader takes in at a glance: rows of text, for the terminal or a notebook."""

from __future__ import annotations

import cmath
import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING

from .units import THOU, concise, engineering, error_bar, together

if TYPE_CHECKING:
    from .answers import Answers, RoughnessAnswer


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


def html_list(title: str, lines: Sequence[str]) -> str:
    """Lines of text as an HTML list under a title, everything escaped; nothing where there are none."""
    entries = "".join(f"<li>{escape(line)}</li>" for line in lines)
    return f"{title and f'<p>{title}:</p>'}<ul>{entries}</ul>" if entries else ""


def circuit_table(found: Answers) -> TextTable:
    """One line per circuit: current, resistance and inductance with their bars, loss."""
    columns = ("circuit", "current", "R loop", "+-", "Rac/Rdc", "L loop", "+-", "loss")
    every = found.circuits.values()
    rows = _rows(
        [c.name for c in every],
        together([abs(c.current) for c in every], "A"),
        together([c.resistance for c in every], "ohm/m", 5),
        [error_bar(c.resistance_error) for c in every],
        [_ratio(c.resistance_ratio) for c in every],
        together([c.inductance for c in every], "H/m", 5),
        [error_bar(c.inductance_error) for c in every],
        together([c.loss for c in every], "W/m"),
    )
    kind = "out and back together" if len(rows) < 2 else "at the terminals; coupled circuits pass power to each other"
    return TextTable(f"Circuits at {concise(found.frequency, 'Hz')} (rms, {kind})", columns, rows)


def voltage_table(found: Answers, length: float | None = None) -> TextTable:
    """One line per circuit: reactance and voltage, and the totals over a run of a length [m]."""
    every = found.circuits.values()
    columns: tuple[str, ...] = ("circuit", "X loop", "voltage")
    cells = [
        [c.name for c in every],
        together([c.reactance for c in every], "ohm/m"),
        together([abs(c.voltage) for c in every], "V/m"),
    ]
    if length is not None:
        columns += tuple(f"{what} of {length:g} m" for what in ("R", "L", "voltage", "loss"))
        cells += [
            together([None if c.resistance is None else c.resistance * length for c in every], "ohm"),
            together([None if c.inductance is None else c.inductance * length for c in every], "H"),
            together([abs(c.voltage) * length for c in every], "V"),
            together([c.loss * length for c in every], "W"),
        ]
    return TextTable("Voltage along the run", columns, _rows(*cells))


def conductor_table(found: Answers) -> TextTable:
    """One line per conductor: current, loss with its bar, ratio to direct current."""
    every = found.conductors.values()
    currents = together([abs(c.current) if c.loss_ratio is not None else None for c in every], "A")
    rows = _rows(
        [c.name for c in every],
        [text if text != "-" else "induced" for text in currents],
        ["-" if c.loss_ratio is None else _angle(c.current) for c in every],
        together([c.loss for c in every], "W/m"),
        [error_bar(c.loss_error) for c in every],
        [_ratio(c.loss_ratio) for c in every],
    )
    columns = ("conductor", "current", "[deg]", "loss", "+-", "loss/dc")
    return TextTable(f"Conductors at {concise(found.frequency, 'Hz')} (rms, per metre of run)", columns, rows)


def density_table(found: Answers) -> TextTable:
    """One line per conductor: skin depth, peak density, force."""
    every = found.conductors.values()
    depths = [_depth(c.skin_depth) for c in every]
    rows = _rows(
        [c.name for c in every],
        [millimetres for millimetres, _ in depths],
        [thou for _, thou in depths],
        [_four(c.peak_current_density / 1e6) for c in every],
        [_force(c.force[0], c.force_error) for c in every],
        [_force(c.force[1], c.force_error) for c in every],
    )
    columns = ("conductor", "skin [mm]", "[thou]", "peak J [A/mm2]", "force x [N/m]", "force y [N/m]")
    return TextTable("Skin depth, crowding and force (mean over a period)", columns, rows)


def layer_table(found: Answers) -> TextTable | None:
    """One line per metal of every conductor that has several: its share of the current and of the loss."""
    rows = tuple(
        (c.name, metal, _percent(layer.current_share), _percent(layer.loss_share))
        for c in found.conductors.values()
        if len(c.layers) > 1
        for metal, layer in c.layers.items()
    )
    columns = ("conductor", "metal, inside first", "of its current", "of its loss")
    return TextTable("Metals of one conductor", columns, rows) if rows else None


def tables(found: Answers, length: float | None = None) -> tuple[TextTable, ...]:
    """All tables of one frequency, with the totals over a run of a length [m]."""
    layers = layer_table(found)
    return (
        circuit_table(found),
        voltage_table(found, length),
        conductor_table(found),
        density_table(found),
        *([layers] if layers else []),
    )


def sentences(found: Answers) -> tuple[str, ...]:
    """Where the current flows, one sentence per conductor; and where the rest of it returns."""
    lines = [f"{c.name}: {c.sentence}{_rough(c.roughness)}" for c in found.conductors.values()]
    currents = [c.current for c in found.conductors.values()]
    rest = abs(sum(currents))
    if rest > 1e-9 * max(map(abs, currents), default=0.0):
        lines.append(
            f"outside: {engineering(rest, 'A')} return on a circle of radius {concise(found.return_radius, 'm', 4)}; "
            "the inductances are relative to it"
        )
    return tuple(lines)


def _rows(*columns: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    return tuple(zip(*columns, strict=True))


def _percent(share: float | None) -> str:
    """One decimal; never "-0.0"."""
    return "-" if share is None else f"{round(100 * share, 1) + 0.0:.1f} %"


def _rough(roughness: RoughnessAnswer | None) -> str:
    if roughness is None:
        return ""
    return (
        f"; its roughness (Rq {concise(roughness.rq, 'm', 3)}) multiplies the surface resistance by "
        f"{roughness.factor:.4g} (the published models range from {roughness.low:.4g} to {roughness.high:.4g})"
    )


def _ratio(value: float | None) -> str:
    return "-" if value is None else _four(value)


def _depth(depth: float | None) -> tuple[str, str]:
    return ("-", "-") if depth is None else (_three(depth * 1e3), _three(depth / THOU))


def _three(value: float) -> str:
    """Three digits, without an exponent where the number is large."""
    return f"{value:.3g}" if value < 999.5 else f"{value:.0f}"


def _four(value: float) -> str:
    """Four digits, without an exponent where the number is large."""
    return f"{value:.4g}" if value < 9999.5 else f"{value:.0f}"


def _force(value: float, error: float) -> str:
    """Three digits, or 0 where the error bar covers it."""
    if abs(value) <= max(error, 5e-7):
        return "0"
    return f"{value:.3g}" if abs(value) < 999.5 else f"{value:.0f}"


def _angle(current: complex) -> str:
    angle = round(math.degrees(cmath.phase(current)), 1)
    return f"{180.0 if angle == -180 else angle + 0.0:.1f}"
