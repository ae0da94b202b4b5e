"""[frequency]: those asked for one by one, and those of a sweep."""

from __future__ import annotations

import pytest
from table_rows import refused

from crosscurrent.casefile.tables.frequency import FrequencyTable, SweepTable


def test_both_together_rise_and_stand_once() -> None:
    table = {"at": ["1 kHz", "50 Hz"], "sweep": {"from": "10 Hz", "to": "1 kHz", "points": 3}}
    found = FrequencyTable.model_validate(table)
    assert found.swept == (10, pytest.approx(100), 1000)
    assert found.values == (10, 50, pytest.approx(100), 1000)


def test_what_is_no_band() -> None:
    assert refused(FrequencyTable)[0] == "at least one frequency"
    assert refused(SweepTable, **{"from": "0 Hz", "to": "1 Hz", "points": 3})[0] == "a sweep from above 0 Hz"
    assert refused(SweepTable, **{"from": "2 Hz", "to": "1 Hz", "points": 3})[1] == "2 Hz to 1 Hz"
