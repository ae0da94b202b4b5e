"""The printed report: its last page is not left half empty."""

import importlib.util

import pytest

from crosscurrent.postprocess.report.paper import FOOT, HEAD
from crosscurrent.postprocess.report.printed import FILLED, LINE, WIDEST, as_pdf, setting

HEIGHT = 297.0


def page(lines: int, above: float) -> str:
    """A page that begins with so many millimetres of something else."""
    case = "\n".join(f"line = {k}" for k in range(lines))
    style = "@page { size: 210mm 297mm; margin: 17mm 15mm 15mm } pre { font-size: 8pt; margin: 0 }"
    before = f'<div style="height: {above}mm"></div>'
    return f'<style>{style}</style>{before}<pre id="case">{case}</pre><div id="end"></div>'


def test_two_columns_where_they_save_a_page() -> None:
    assert setting(150.0, 60.0, 1, HEIGHT) == (2, LINE)
    assert setting(150.0, 60.0, 0, HEIGHT)[0] == 1  # all on the last page: none is saved


@pytest.mark.parametrize(("start", "end", "breaks"), [(215.0, 100.0, 1), (200.0, 60.0, 2), (40.0, 130.0, 0)])
def test_lines_further_apart_fill_the_last_page(start: float, end: float, breaks: int) -> None:
    columns, line = setting(start, end, breaks, HEIGHT)
    whole = end - start + breaks * (HEIGHT - HEAD - FOOT)
    assert columns == 1
    assert LINE < line <= WIDEST
    assert end + whole * (line / LINE - 1) == pytest.approx(FILLED * HEIGHT, abs=0.01 * whole)


@pytest.mark.skipif(importlib.util.find_spec("weasyprint") is None, reason='needs the extra "pdf"')
@pytest.mark.parametrize(("lines", "above", "pages"), [(40, 160.0, 1), (40, 215.0, 2)])
def test_pages_of_a_short_case(lines: int, above: float, pages: int) -> None:
    pypdf, io = pytest.importorskip("pypdf"), pytest.importorskip("io")
    assert len(pypdf.PdfReader(io.BytesIO(as_pdf(page(lines, above)))).pages) == pages
