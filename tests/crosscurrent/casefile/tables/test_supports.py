"""[supports]: fault current and peak factor belong together."""

from __future__ import annotations

from table_rows import refused

from crosscurrent.casefile.tables.supports import SupportsTable


def test_half_a_fault_is_a_fault() -> None:
    assert SupportsTable().fixing == "continuous"
    expected = "fault_current and peak_factor together"
    assert refused(SupportsTable, fault_current="20 kA") == (expected, "no peak_factor")
    assert refused(SupportsTable, peak_factor=1.8) == (expected, "no fault_current")
