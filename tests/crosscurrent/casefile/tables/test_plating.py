"""plating: one layer."""

from __future__ import annotations

import pytest

from crosscurrent.casefile.tables.plating import PlatingTable


def test_si_inside() -> None:
    found = PlatingTable.model_validate({"material": "silver", "thickness": "10 um"})
    assert (found.material, found.thickness) == ("silver", pytest.approx(1e-5))
