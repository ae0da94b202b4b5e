"""A report as PDF, its last page not left half empty."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING

from crosscurrent.geometries.errors import CrosscurrentError

from .paper import FOOT, HEAD
from .png import packed_dots

if TYPE_CHECKING:
    from pydyf import PDF
    from weasyprint import Document

DOT = 25.4 / 96  # unit of what is laid out [mm]
HALF, FILLED = 0.52, 0.55  # of the last page: less is mended by how the case at the end is set; as far as that goes
LINE, WIDEST = 1.35, 2.1  # height of a line of the case; as far apart as they still read well
TAKEN = 0.9  # of the room left on a page, by two columns that surely fit there


class ReportError(CrosscurrentError, RuntimeError):
    """A report that cannot be made on this machine."""


def as_pdf(html: str) -> bytes:
    """The page that `as_html` makes, printed on its sheet.

    Raises
    ------
    ReportError
        The library for it is not installed, or lacks what it needs from the system.
    """
    try:
        from weasyprint import CSS, HTML
    except (ImportError, OSError) as error:
        raise ReportError(
            f"report.pdf is left out, since the extra for printing is not whole here ({str(error).splitlines()[0]}): "
            'pip install "crosscurrent[pdf]", on Linux also the system library pango, or print report.html'
        ) from None

    logging.getLogger("weasyprint").setLevel(logging.ERROR)
    page = HTML(string=html)

    def printed(columns: int, line: float, more: str = "") -> Document:
        look = f"pre {{ columns: {columns}; line-height: {line:.2f} !important }} {more}"
        return page.render(stylesheets=[CSS(string=look)])

    found = [printed(1, LINE)]
    height = found[0].pages[-1].height * DOT
    end, start, breaks = _case(found[0])
    if end < HALF * height:
        found.append(printed(*setting(start, end, breaks, height)))
        if _case(found[-1])[0] < HALF * height < start:
            found.append(printed(1, apart(start, end, breaks, height), "#case { break-before: page }"))
    pages: bytes = max(found, key=lambda each: _case(each)[0]).write_pdf(finisher=_packed)
    return pages


def _packed(_: Document, pdf: PDF) -> None:
    """Pack pictures harder, which the library takes apart and holds as they come."""
    for held in pdf.objects:
        extra = getattr(held, "extra", {})
        if extra.get("Subtype") == "/Image" and extra.get("ColorSpace") == "/DeviceRGB":
            (dots,) = held.stream
            held.stream = [packed_dots(extra["Width"], extra["Height"], getattr(dots, "data", dots))]


def setting(start: float, end: float, breaks: int, height: float) -> tuple[int, float]:
    """Columns and height of a line of the case at the end, so that the last page is not needed or well filled.

    Parameters
    ----------
    start, end : float
        Where the case begins on its page and ends on the last one, in one column of usual lines [mm].
    breaks : int
        Of pages between these.
    height : float
        Of the sheet [mm].

    Examples
    --------
    >>> setting(200.0, 50.0, 1, 297.0), setting(260.0, 120.0, 1, 297.0), setting(100.0, 140.0, 0, 297.0)
    ((2, 1.35), (1, 1.82), (1, 2.1))
    """
    whole, room = _whole(start, end, breaks, height), height - FOOT - start
    if breaks == 1 and whole / 2 <= TAKEN * room:
        return 2, LINE
    return 1, round(min(WIDEST, LINE * (whole + FILLED * height - end) / whole), 2)


def apart(start: float, end: float, breaks: int, height: float) -> float:
    """Height of a line of the case on a page of its own, so that it fills that well; as `setting`.

    Examples
    --------
    >>> apart(200.0, 50.0, 1, 297.0), apart(200.0, 250.0, 1, 297.0)
    (1.92, 1.35)
    """
    whole = _whole(start, end, breaks, height)
    return round(min(WIDEST, max(LINE, LINE * FILLED * height / whole)), 2)


def _whole(start: float, end: float, breaks: int, height: float) -> float:
    """Length of the case [mm]."""
    return end - start + breaks * (height - HEAD - FOOT)


def _case(document: Document) -> tuple[float, float, int]:
    """Where the case ends on the last page and begins on its own [mm], and the breaks between."""
    pages = document.pages
    end, first = pages[-1].anchors["end"][1], next(k for k, page in enumerate(pages) if "case" in page.anchors)
    return end * DOT, pages[first].anchors["case"][1] * DOT, len(pages) - 1 - first
