"""[[joint]]: resistances that the user allows for."""

from __future__ import annotations

import pytest

from crosscurrent.casefile.tables.joints import JointTable


def test_si_inside() -> None:
    found = JointTable.model_validate({"name": "bolted", "circuit": "feed", "resistance": "5 uohm"})
    assert (found.resistance, found.number) == (pytest.approx(5e-6), 1)
