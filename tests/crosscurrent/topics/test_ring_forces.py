"""[supports] of a section round an axis."""

from __future__ import annotations

import pytest
from topic_cases import chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.run import solve_case

TURN = {"shape": "round", "diameter": "4 mm", "material": "copper", "centre": ["40 mm", "0 mm"]}


def written(**supports: object) -> dict[str, object]:
    turns = TURN | {"name": "turn", "repeat": {"count": 2, "step": ["0 mm", "8 mm"]}}
    ring = TURN | {"name": "ring", "centre": ["40 mm", "30 mm"], "closed": True}
    return {
        "symmetry": "axial",
        "frequency": {"at": ["20 kHz"]},
        "conductor": [turns, ring],
        "circuit": [{"name": "coil", "current": "200 A", "out": ["turn.*"], "sharing": "series"}],
        "supports": supports,
    }


def test_forces_in_service_and_at_a_fault() -> None:
    result = solve_case(checked_case(written(fault_current="2 kA", peak_factor=1.5, stress="40 MPa")))
    found = chapter(result, "supports")
    (one,) = found.record["frequencies"]
    coil, ring = one["bodies"]["coil"], one["bodies"]["ring"]
    assert coil["total_axial_force_n"] == -ring["total_axial_force_n"]
    assert ring["total_axial_force_n"] > 0  # pushed away
    assert ring["total_axial_force_fault_n"] == pytest.approx(15.0**2 * ring["total_axial_force_peak_n"])
    turn = one["turns"]["turn.1"]
    assert turn["hoop_stress_fault_pa"] == pytest.approx(225 * turn["hoop_stress_peak_pa"])
    assert one["currents_may_grow_by"] ** 2 * max(t["hoop_stress_peak_pa"] for t in one["turns"].values()) == (
        pytest.approx(40e6)
    )
    assert any("ring is pushed up along the axis" in text for text in found.sentences)
    assert not [key for key in (*coil, *turn) if key.endswith("_per_m")]


def test_without_a_fault() -> None:
    (one,) = chapter(solve_case(checked_case(written())), "supports").record["frequencies"]
    assert one["bodies"]["ring"]["total_axial_force_fault_n"] is None
    assert one["currents_may_grow_by"] is None


def test_turns_are_no_beams() -> None:
    with pytest.raises(CaseError, match="turns are no beams between supports"):
        checked_case(written(spacing="100 mm"))
