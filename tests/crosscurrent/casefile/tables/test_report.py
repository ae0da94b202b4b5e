"""[report]: the title block, empty where nothing is written."""

from __future__ import annotations

from crosscurrent.casefile.tables.report import ReportTable


def test_the_title_block() -> None:
    assert ReportTable().project == ""
    assert ReportTable.model_validate({"project": "bench"}).model_dump(exclude_defaults=True) == {"project": "bench"}
