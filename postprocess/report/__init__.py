"""The report for a customer: one self-contained HTML file, and the same printed to PDF."""

from .contents import Group, Picture, Report, Row
from .render import ReportError, as_html, as_pdf, comparison_html

__all__ = ["Group", "Picture", "Report", "ReportError", "Row", "as_html", "as_pdf", "comparison_html"]
