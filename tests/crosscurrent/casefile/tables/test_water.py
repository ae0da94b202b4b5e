"""[[water]]: flow or pressure drop, an inlet that is liquid, limits above it."""

from __future__ import annotations

from typing import Any

import pytest
from table_rows import refused

from crosscurrent.casefile.tables.water import WaterTable

FEED: dict[str, Any] = {"conductors": ["go"], "inlet": "20 degC"}


def test_si_inside() -> None:
    found = WaterTable.model_validate(FEED | {"flow": "6 l/min", "glycol": "30 %"})
    assert (found.flow, found.glycol) == (pytest.approx(1e-4), pytest.approx(0.3))


def test_what_does_not_fit_together() -> None:
    assert refused(WaterTable, **FEED) == ("either flow or pressure_drop", "neither")
    assert refused(WaterTable, **FEED, flow="1 l/min", pressure_drop="1 bar")[1] == "both"
    assert refused(WaterTable, **FEED | {"inlet": "-5 degC", "flow": "1 l/min"})[1] == "-5 degC"
    assert refused(WaterTable, **FEED, flow="1 l/min", wall_limit="20 degC")[1] == "20 degC"
