"""[voltage]: what is taken where nothing is written."""

from __future__ import annotations

from crosscurrent.casefile.tables.voltage import VoltageTable


def test_si_inside() -> None:
    found = VoltageTable.model_validate({"quality": 30, "supply": "0.4 kV", "field_limit": "1 kV/mm"})
    assert (found.quality, found.supply, found.field_limit) == (30, 400, 1e6)
    assert VoltageTable().relative_permittivity == 1
