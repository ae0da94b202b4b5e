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
BROAD = 40  # letters a row that such a text needs to read well


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
    pages.filters["unbroken"] = _unbroken
    pages.filters["prose"] = _prose
    pages.filters["setting"] = _setting
    style = (here / "page.css").read_text(encoding="utf-8")
    return pages.get_template(template).render(style=style, **contents).lstrip()


def _longest(table: TextTable) -> list[int]:
    """Letters of the longest cell of each column."""
    return [max((len(cell) for cell in cells), default=0) for cells in zip(*table.rows, strict=True)]


def _prose(table: TextTable) -> list[bool]:
    """Whether columns hold texts, which stand on the left and may break; the first does in any case."""
    return [k > 0 and letters >= PROSE for k, letters in enumerate(_longest(table))] or [False] * len(table.columns)


def _setting(table: TextTable) -> str:
    """How figures and their units stay on a line of the sheet: in letters of the usual size, or in small ones only."""
    longest = _longest(table)
    letters = sum(min(each, BROAD) + GAP for each in longest)
    if letters <= USUAL:
        return "whole "
    return "small-print " if letters < SMALL and max(longest) < PROSE else ""


def _unbroken(heading: str) -> str:
    """With units that stay on one line."""
    return heading.replace("/", "/\u2060")


def _printable(text: str) -> str:
    """Without the control characters that a page cannot hold."""
    return "".join(c for c in str(text) if c == "\n" or c == "\t" or c.isprintable())


def _whole(text: str) -> str:
    """With units and bars that stay on one line."""
    return re.sub(r"(?<=[a-z])/(?=m\b)", "/\u2060", text.replace("+- ", "+-\u2060\u00a0")).replace(" %", "\u00a0%")
