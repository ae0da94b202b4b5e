"""[material.NAME]: a metal of the user's own."""

from __future__ import annotations

import pytest
from table_rows import refused

from crosscurrent.casefile.tables.material import MaterialTable


def test_conductivity_or_resistivity() -> None:
    by_one = MaterialTable.model_validate({"conductivity": "50 MS/m"}).material("own")
    by_other = MaterialTable.model_validate({"resistivity": "0.02 ohm*mm2/m"}).material("own")
    assert by_one.conductivity == pytest.approx(by_other.conductivity)
    assert (by_one.name, by_one.source, by_one.reference) == ("own", "the case file", 20.0)
    assert refused(MaterialTable) == ("either conductivity or resistivity", "neither")
