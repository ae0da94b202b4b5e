"""Several designs for one requirement: the verdict, the figures with the best of each row marked, the differences."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Sequence
from dataclasses import dataclass

from .chapter import Json
from .compared_rows import ComparedDesign, ComparedFigure, ComparedRow, DesignVerdict, is_axial, rows_of
from .comparison_words import unlike, verdict_words
from .noise import figure
from .tables import TextTable, html_list

BEST = "*"  # beside the best of a row


@dataclass(frozen=True, repr=False)
class Comparison:
    """Two to eight designs side by side.

    Attributes
    ----------
    names : tuple of str
    rows : tuple of ComparedRow
    differences : tuple of (str, tuple of str)
        Keys that the cases do not agree in, and what each says.
    titles : tuple of str
        Of the cases, whole.
    verdicts : tuple of DesignVerdict
    notes : tuple of str
        Where the designs do not answer the same question.
    axial : bool
        Whether they are sections round an axis.
    """

    names: tuple[str, ...]
    rows: tuple[ComparedRow, ...]
    differences: tuple[tuple[str, tuple[str, ...]], ...]
    titles: tuple[str, ...] = ()
    verdicts: tuple[DesignVerdict, ...] = ()
    notes: tuple[str, ...] = ()
    axial: bool = False

    def __repr__(self) -> str:
        return f"<Comparison of {', '.join(self.names)}: {len(self.rows)} figures>"

    def table(self) -> TextTable:
        """The figures, the best of each row marked."""
        lines = []
        for row in self.rows:
            cells = [
                "-" if f is None else f"{_text(row, f)}{' ' + BEST if k in row.best else ''}"
                for k, f in enumerate(row.figures)
            ]
            lines.append((row.name, *cells))
        out = "; none where a design fails" if any(row.out for row in self.rows) else ""
        heading = f"Designs side by side ({BEST} lowest within the error bars{out})"
        counted = "all round the axis, rms" if self.axial else "per metre of run, rms"
        return TextTable(heading, (counted, *self.names), tuple(lines))

    @property
    def sentences(self) -> tuple[str, ...]:
        """The verdict: which design is best in what, which fail and why, and where they are not alike."""
        return tuple(verdict_words(self.names, self.verdicts, self.rows)) + self.notes

    def settings_table(self) -> TextTable:
        """What the cases do not agree in."""
        rows = tuple((key, *values) for key, values in self.differences)
        return TextTable("Where the cases differ", ("key", *self.names), rows)

    def _repr_html_(self) -> str:
        return html_list("Verdict", self.sentences) + self.table().html() + self.settings_table().html()

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
        data: dict[str, Json] = {
            "format": "crosscurrent-comparison/1",
            "designs": list(self.names),
            "titles": list(self.titles),
            "verdicts": [{"verdict": v.standing, "why": v.why} for v in self.verdicts],
            "sentences": list(self.sentences),
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


def compared(designs: Sequence[ComparedDesign]) -> Comparison:
    """Put designs side by side at the frequencies they share.

    Parameters
    ----------
    designs : sequence of ComparedDesign
        Two or more.

    Returns
    -------
    Comparison
        Without frequencies in common it has no rows.
    """
    keys = dict.fromkeys(key for d in designs for key in d.settings)
    told = ((key, tuple(d.settings.get(key, "-") for d in designs)) for key in keys)
    return Comparison(
        tuple(d.name for d in designs),
        rows_of(designs),
        tuple((key, values) for key, values in told if len(set(values)) > 1),
        tuple(d.title for d in designs),
        tuple(d.verdict for d in designs),
        tuple(unlike(designs)),
        is_axial(designs),
    )


def _text(row: ComparedRow, f: ComparedFigure) -> str:
    """A figure below its own bar is none; of temperatures and stated prices the zero means nothing."""
    if row.merit == "cost":
        return f"{f.value:.4g} {row.unit}"
    if row.unit == "%":
        return f"{f.value:.4g} %"
    noise = -1.0 if row.unit == "degC" else f.error
    return figure(f.value, noise, row.unit).strip()
