"""[supports] in a case: what shakes them, and which circuit a fault is in."""

from __future__ import annotations

from topic_cases import chapter, solved_bars

from crosscurrent.casefile.tables.fault import FaultTable
from crosscurrent.casefile.tables.supports import SupportsTable
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.topics.fault_ratio import fault_ratio
from crosscurrent.topics.supports import _shaking

ASKED = SupportsTable.model_validate({"fault_current": "20 kA", "peak_factor": 1.8, "circuit": "b"})


def test_a_fault_is_in_the_circuit_it_names() -> None:
    circuits = tuple(Circuit(name, current, (name,)) for name, current in (("a", 100.0), ("b", 200.0)))
    assert fault_ratio(ASKED, Problem((), circuits)) == 180.0
    assert fault_ratio(ASKED.model_copy(update={"circuit": None}), Problem((), circuits)) == 360.0
    assert fault_ratio(SupportsTable(), Problem((), circuits)) is None


def test_what_shakes() -> None:
    offset = {"current": "1 kA", "frequency": "60 Hz", "duration": "1 s", "time_constant": "40 ms"}
    struck = FaultTable.model_validate(offset)
    assert set(_shaking(ASKED, struck, 50.0)) == {50.0, 100.0, 60.0, 120.0}
    assert set(_shaking(SupportsTable(), None, 50.0)) == {100.0}
    assert _shaking(SupportsTable(), None, 0.0) == {}


def test_bars_in_service() -> None:
    found = chapter(solved_bars(supports={"spacing": "1 m"}), "supports")
    assert [row[0] for row in found.tables[0].rows] == ["a", "b"]
    assert {m.of for m in found.measured["force"]} == {"a", "b"}
