"""A report as HTML and as PDF. Everything the user typed is escaped; nothing outside the file is asked for."""

from __future__ import annotations

import logging
from collections.abc import Sequence
from pathlib import Path

from ... import __version__
from ...geometries.errors import CrosscurrentError
from ..comparison import Comparison
from .contents import Picture, Report


class ReportError(CrosscurrentError, RuntimeError):
    """A report that cannot be made on this machine."""


def as_html(report: Report) -> str:
    """One page that needs no other file; the same report gives the same text."""
    return _rendered("page.html.j2", report=report)


def comparison_html(
    comparison: Comparison,
    *,
    titles: Sequence[str],
    pictures: Sequence[Picture],
    warnings: Sequence[str],
    cautions: Sequence[str],
) -> str:
    """The page of a comparison; it needs no other file either."""
    return _rendered(
        "comparison.html.j2",
        comparison=comparison,
        titles=titles,
        pictures=pictures,
        warnings=warnings,
        cautions=cautions,
        version=__version__,
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
    style = (here / "page.css").read_text(encoding="utf-8")
    return pages.get_template(template).render(style=style, **contents).lstrip()


def as_pdf(html: str) -> bytes:
    """The same page printed on A4.

    Raises
    ------
    ReportError
        The library for it is not installed, or lacks what it needs from the system.
    """
    try:
        from weasyprint import HTML
    except (ImportError, OSError) as error:
        raise ReportError(
            f"report.pdf is left out, since the extra for printing is not whole here ({str(error).splitlines()[0]}): "
            'pip install "crosscurrent[pdf]", on Linux also the system library pango, or print report.html'
        ) from None

    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    printed: bytes = HTML(string=html).write_pdf()
    return printed


def _printable(text: str) -> str:
    """Without the control characters that a page cannot hold."""
    return "".join(c for c in str(text) if c == "\n" or c == "\t" or c.isprintable())
