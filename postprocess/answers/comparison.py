"""Several designs for one requirement, row by row, the best of each row marked."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from .answers import Answers
from .chapter import Chapter
from .tables import TextTable
from .units import concise, engineering

BEST = "*"  # beside the best of a row


@dataclass(frozen=True)
class Figure:
    """A value with the bound on its error, both in SI units."""

    value: float
    error: float = 0.0


@dataclass(frozen=True)
class Row:
    """One quantity of all designs; None where a design has no such figure. The lowest is the best."""

    name: str
    unit: str
    figures: tuple[Figure | None, ...]
    comparable: bool = True  # whether the figures answer the same question

    @property
    def best(self) -> tuple[int, ...]:
        """The lowest, and those whose error bars reach down to it."""
        known = [f for f in self.figures if f is not None]
        if len(known) < 2 or not self.comparable:
            return ()
        lowest = min(known, key=lambda f: f.value)
        reach = lowest.value + lowest.error
        found = tuple(k for k, f in enumerate(self.figures) if f is not None and f.value - f.error <= reach)
        return found if len(found) < len(known) else ()


@dataclass(frozen=True)
class Design:
    """A solved case as the comparison sees it."""

    name: str
    title: str
    points: tuple[Answers, ...]
    chapters: tuple[Chapter, ...]
    settings: Mapping[str, str]  # every key of its case file and what it says


@dataclass(frozen=True, repr=False)
class Comparison:
    """Two to eight designs side by side.

    Attributes
    ----------
    names : tuple of str
    rows : tuple of Row
    differences : tuple of (str, tuple of str)
        Keys that the cases do not agree in, and what each says.
    """

    names: tuple[str, ...]
    rows: tuple[Row, ...]
    differences: tuple[tuple[str, tuple[str, ...]], ...]

    def __repr__(self) -> str:
        return f"<Comparison of {', '.join(self.names)}: {len(self.rows)} figures>"

    def table(self) -> TextTable:
        """The figures, the best of each row marked."""
        lines = []
        for row in self.rows:
            cells = [
                "-" if f is None else f"{engineering(f.value, row.unit).strip()}{' ' + BEST if k in row.best else ''}"
                for k, f in enumerate(row.figures)
            ]
            lines.append((row.name, *cells))
        heading = f"Designs side by side ({BEST} lowest within the error bars)"
        return TextTable(heading, ("per metre of run, rms", *self.names), tuple(lines))

    def settings_table(self) -> TextTable:
        """What the cases do not agree in."""
        rows = tuple((key, *values) for key, values in self.differences)
        return TextTable("Where the cases differ", ("key", *self.names), rows)

    def _repr_html_(self) -> str:
        return self.table().html() + self.settings_table().html()

    def as_json(self) -> str:
        """Everything as data, in SI units."""
        rows = [
            {
                "quantity": row.name,
                "unit": row.unit,
                "values": [None if f is None else f.value for f in row.figures],
                "errors": [None if f is None else f.error for f in row.figures],
                "best": [self.names[k] for k in row.best],
            }
            for row in self.rows
        ]
        data: dict[str, Any] = {
            "format": "crosscurrent-comparison/1",
            "designs": list(self.names),
            "rows": rows,
            "differences": {key: list(values) for key, values in self.differences},
        }
        return json.dumps(data, indent=1, allow_nan=False, ensure_ascii=False) + "\n"

    def as_csv(self) -> str:
        """One line for each quantity, SI units."""
        out = io.StringIO()
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow(("quantity", "unit", *self.names, "best"))
        for row in self.rows:
            best = " ".join(self.names[k] for k in row.best)
            writer.writerow((row.name, row.unit, *("" if f is None else f.value for f in row.figures), best))
        return out.getvalue()


def compared(designs: Sequence[Design]) -> Comparison:
    """Put designs side by side at the frequencies they share.

    Parameters
    ----------
    designs : sequence of Design
        Two or more.

    Returns
    -------
    Comparison
        Without frequencies in common it has no rows.
    """
    shared = [p.frequency for p in designs[0].points if all(_at(d, p.frequency) is not None for d in designs)]
    rows = [row for frequency in shared for row in _electric(designs, frequency)]
    rows += _measured(designs)
    keys = dict.fromkeys(key for d in designs for key in d.settings)
    told = ((key, tuple(d.settings.get(key, "-") for d in designs)) for key in keys)
    return Comparison(tuple(d.name for d in designs), tuple(rows), tuple((k, v) for k, v in told if len(set(v)) > 1))


def _at(design: Design, frequency: float) -> Answers | None:
    return next((p for p in design.points if p.frequency == frequency), None)


def _electric(designs: Sequence[Design], frequency: float) -> list[Row]:
    points = [p for d in designs if (p := _at(d, frequency)) is not None]
    at = "direct current" if frequency == 0 else concise(frequency, "Hz")
    losses = tuple(Figure(p.total_loss, sum(c.loss_error * c.loss for c in p.conductors.values())) for p in points)
    rows = [Row(f"loss of everything at {at}", "W/m", losses)]
    outside = any(p.returns_outside for p in points)
    returns = (
        f" (returns at {', '.join(engineering(p.return_radius, 'm', 3).strip() for p in points)})" if outside else ""
    )
    for name in dict.fromkeys(c for p in points for c in p.circuits):
        found = [p.circuits.get(name) for p in points]
        rows += [
            Row(f"R of {name} at {at}", "ohm/m", tuple(
                None if c is None or c.resistance is None else Figure(
                    c.resistance, abs(c.resistance) * (c.resistance_error or 0.0)) for c in found)),
            Row(f"L of {name} at {at}{returns}", "H/m", tuple(
                None if c is None or c.inductance is None else Figure(
                    c.inductance, abs(c.inductance) * (c.inductance_error or 0.0)) for c in found), not outside),
            Row(f"Rac/Rdc of {name} at {at}", "", tuple(
                None if c is None or c.resistance_ratio is None else Figure(
                    c.resistance_ratio, abs(c.resistance_ratio) * (c.resistance_error or 0.0)) for c in found)),
        ]  # fmt: skip
    forces = tuple(
        Figure(
            max((abs(complex(*c.force)) for c in p.conductors.values()), default=0.0),
            max((c.force_error for c in p.conductors.values()), default=0.0),
        )
        for p in points
    )
    return [*rows, Row(f"largest force at {at} (time average)", "N/m", forces)]


def _measured(designs: Sequence[Design]) -> list[Row]:
    """The largest of each figure that a chapter offers for limits, at all frequencies of each design."""
    alike = len({tuple(p.frequency for p in d.points) for d in designs}) == 1
    whose = "" if alike else " (each at its own frequencies)"
    found = [{key: values for c in d.chapters for key, values in c.measured.items() if values} for d in designs]
    rows = []
    for key in dict.fromkeys(key for of in found for key in of):
        worst = [max(of[key], key=lambda m: m.value) if key in of else None for of in found]
        unit = next(m.unit for m in worst if m is not None)
        figures = tuple(Figure(m.value, m.error) if m is not None and m.known else None for m in worst)
        rows.append(
            Row(key.replace("_", " ") + ("" if key == "mass" else whose), unit, figures, alike or key == "mass")
        )
    return rows
