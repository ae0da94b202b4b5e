"""How much larger than in service the currents of [supports] are at a fault."""

from __future__ import annotations

from crosscurrent.casefile.tables.supports import SupportsTable
from crosscurrent.solver.field.problem import Problem


def fault_ratio(asked: SupportsTable, problem: Problem) -> float | None:
    """Peak factor times the fault's current over that in service; None where no fault is stated."""
    if asked.fault_current is None or asked.peak_factor is None:
        return None
    circuit = next((c for c in problem.circuits if c.name == asked.circuit), problem.circuits[0])
    return asked.peak_factor * asked.fault_current / abs(circuit.current) if circuit.current else None
