"""[[circuit]]: a current with its conductors."""

from __future__ import annotations

import math

import pytest
from table_rows import refused

from crosscurrent.casefile.tables.circuit import CircuitTable


def test_si_inside() -> None:
    found = CircuitTable.model_validate({"name": "L2", "current": "0.9 kA", "phase": "-120 deg", "out": ["b"]})
    assert found.current == 900
    assert found.phase == pytest.approx(-2 * math.pi / 3)
    assert (found.back, found.sharing) == ((), "free")


def test_a_circuit_needs_a_conductor() -> None:
    assert refused(CircuitTable, name="a", current="1 A", out=[]) == ("at least one conductor", "an empty list")
