"""A report as HTML. Everything the user typed is escaped; nothing outside the file is asked for."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path

from crosscurrent.postprocess.answers.comparison import Comparison
from crosscurrent.postprocess.answers.tables import TextTable

from .contents import Picture, Report

USUAL, SMALL = 106, 132  # letters on the sheet in a row of a table, of the usual size and of the small one
GAP, PROSE = 2, 30  # between columns; letters from which a cell is a text that may break


def as_html(report: Report) -> str:
    """One page that needs no other file; the same report gives the same text."""
    return _rendered("page.html.j2", report=report)


def comparison_html(
    comparison: Comparison,
    *,
    pictures: Sequence[Picture],
    warnings: Sequence[str],
    cautions: Sequence[str],
    version: str,
) -> str:
    """The page of a comparison; it needs no other file either.

    Parameters
    ----------
    comparison : Comparison
    pictures : sequence of Picture
    warnings, cautions : sequence of str
    version : str
        Of the program that computed it.
    """
    return _rendered(
        "comparison.html.j2",
        comparison=comparison,
        pictures=pictures,
        warnings=warnings,
        cautions=cautions,
        version=version,
    )


def _rendered(template: str, **contents: object) -> str:
    from jinja2 import Environment, FileSystemLoader, StrictUndefined

    here = Path(__file__).parent
    pages = Environment(
        loader=FileSystemLoader(here, encoding="utf-8"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    pages.filters["printable"] = _printable
    pages.filters["whole"] = _whole
    pages.filters["crowded"] = _crowded
    style = (here / "page.css").read_text(encoding="utf-8")
    return pages.get_template(template).render(style=style, **contents).lstrip()


def _crowded(table: TextTable) -> bool:
    """Whether figures and units stay on a line of the sheet in small letters only."""
    longest = [max((len(cell) for cell in cells), default=0) for cells in zip(*table.rows, strict=True)]
    letters = sum(longest) + GAP * len(longest)
    return max(longest, default=0) < PROSE and USUAL < letters < SMALL


def _printable(text: str) -> str:
    """Without the control characters that a page cannot hold."""
    return "".join(c for c in str(text) if c == "\n" or c == "\t" or c.isprintable())


def _whole(text: str) -> str:
    """With units and bars that stay on one line."""
    return re.sub(r"(?<=[a-z])/(?=m\b)", "/\u2060", text.replace("+- ", "+-\u2060\u00a0")).replace(" %", "\u00a0%")
