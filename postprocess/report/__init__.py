"""The report for a customer: one self-contained HTML file, and the same printed to PDF."""

from .contents import AnswerRow, Group, Picture, Report
from .paper import PAPERS, Paper
from .png import pieces, png_size, printed_part
from .printed import ReportError, as_pdf
from .render import as_html, comparison_html

__all__ = [
    "PAPERS",
    "AnswerRow",
    "Group",
    "Paper",
    "Picture",
    "Report",
    "ReportError",
    "as_html",
    "as_pdf",
    "comparison_html",
    "pieces",
    "png_size",
    "printed_part",
]
