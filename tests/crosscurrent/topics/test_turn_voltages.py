"""[voltage] of a section round an axis."""

from __future__ import annotations

import pytest
from topic_cases import chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.run import solve_case


def written(frequency: str = "20 kHz", **voltage: object) -> dict[str, object]:
    turn = {"shape": "round", "diameter": "4 mm", "material": "copper", "name": "turn", "centre": ["40 mm", "0 mm"],
            "repeat": {"count": 3, "step": ["0 mm", "5 mm"]}}  # fmt: skip
    return {
        "symmetry": "axial",
        "frequency": {"at": [frequency]},
        "conductor": [turn],
        "circuit": [{"name": "coil", "current": "500 A", "out": ["turn.*"], "sharing": "series"}],
        "voltage": voltage,
    }


def test_between_turns() -> None:
    result = solve_case(checked_case(written(field_limit="1 V/mm")))
    found = chapter(result, "voltage")
    (coil,) = found.record["coils"]
    assert coil["gaps"][0]["gap_m"] == pytest.approx(1e-3)
    # three turns alike carry about a third of the voltage each
    assert coil["gaps"][0]["voltage_v"] == pytest.approx(abs(result["coil"].voltage) / 3, rel=0.05)
    assert any("above the stated 1.00 V/mm" in text for text in found.warnings)
    assert coil["own_resonance_hz"] > 1e7
    assert len(coil["between_neighbours"]) == 2


def test_close_to_its_own_resonance() -> None:
    found = chapter(solve_case(checked_case(written("40 MHz"))), "voltage")
    assert any("its own resonance" in text for text in found.warnings)


def test_what_is_said_of_straight_runs_is_refused() -> None:
    with pytest.raises(CaseError, match=r"\[tank\] of resonance"):
        checked_case(written(quality=30))
