"""[supports] of a section round an axis."""

from __future__ import annotations

import math

import pytest
from topic_cases import chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.postprocess.topics.ring_forces import RingForcesAnswer, tables
from crosscurrent.run import solve_case
from crosscurrent.solver.field.ring_forces import RingForce

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
    assert turn["radial_pressure_pa"] == pytest.approx(
        turn["radial_force_n_per_turn"] / (2 * math.pi * 0.04 * 0.004)  # of its middle circle, 4 mm high
    )
    assert found.tables[1].columns[3:5] == ("pressure, mean", "hoop stress, largest")
    assert any("ring is pushed up along the axis" in text for text in found.sentences)
    assert not [key for key in (*coil, *turn) if key.endswith("_per_m")]


def test_without_a_fault() -> None:
    (one,) = chapter(solve_case(checked_case(written())), "supports").record["frequencies"]
    assert one["bodies"]["ring"]["total_axial_force_fault_n"] is None
    assert one["currents_may_grow_by"] is None


def test_turns_are_no_beams() -> None:
    with pytest.raises(CaseError, match="turns are no beams between supports"):
        checked_case(written(spacing="100 mm"))


def test_a_mean_is_known_twice_as_well_as_the_largest() -> None:
    """The swing has a bar of its own: what the table of conductors tells is not "none" here."""
    ring = RingForce("turn", True, 0.04, 0.004, 1e-5, 1.5, 0.0, 3.0, 0.0, 2.0)
    answer = RingForcesAnswer(1e3, (ring,), (), (), (None,), None, None)
    assert tables(answer)[1].rows[0][1:3] == ("1.50 N", "none")
