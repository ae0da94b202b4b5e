"""[limits]: which are set."""

from __future__ import annotations

from crosscurrent.casefile.tables.limits import LimitsTable


def test_only_what_is_written_is_a_limit() -> None:
    found = LimitsTable.model_validate({"loss": "1 kW/m", "temperature_bare": "90 degC", "touchable": ["lid"]})
    assert found.stated == {"temperature_bare": 90.0, "loss": 1000.0}
    assert LimitsTable().stated == {}
