"""How much larger the currents are at a fault."""

from __future__ import annotations

from crosscurrent.casefile.tables.supports import SupportsTable
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.topics.fault_ratio import fault_ratio


def test_a_circuit_without_current_has_no_ratio() -> None:
    asked = SupportsTable.model_validate({"fault_current": "20 kA", "peak_factor": 1.8})
    assert fault_ratio(asked, Problem((), (Circuit("a", 0.0, ("a",)),))) is None
    assert fault_ratio(asked, Problem((), (Circuit("a", 1000.0, ("a",)),))) == 36.0
