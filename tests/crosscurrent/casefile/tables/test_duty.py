"""[[duty]]: a current that flows for a time."""

from __future__ import annotations

from table_rows import refused

from crosscurrent.casefile.tables.duty import DutyTable


def test_si_inside() -> None:
    found = DutyTable.model_validate({"name": "boats", "on": "10 min", "off": "1 h", "current": "0.6 kA"})
    assert (found.on, found.off, found.current, found.start) == (600, 3600, 600, None)


def test_no_current_is_no_duty() -> None:
    assert refused(DutyTable, name="a", on="1 s", current="0 A") == ("a duty's current above 0 A", "0 A")
