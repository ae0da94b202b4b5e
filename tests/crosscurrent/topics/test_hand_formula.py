"""The check by hand in a case: exact at direct current, left out where no formula fits."""

from __future__ import annotations

import pytest
from topic_cases import chapter, solved_rods, solved_tubes


def test_direct_current_agrees_with_areas_and_mean_distances() -> None:
    (row,) = chapter(solved_tubes(), "hand_formula").record["circuits"]
    assert abs(row["resistance_difference"]) < 1e-9
    assert abs(row["inductance_difference"]) < 1e-6
    assert (row["frequency_hz"], row["exact"], row["agrees"]) == (0, True, True)


def test_a_circuit_without_a_current_is_left_out() -> None:
    circuits = [{"name": n, "current": i, "out": [o]} for n, i, o in (("feed", "1 A", "go"), ("idle", "0 A", "back"))]
    (row,) = chapter(solved_tubes(circuit=circuits), "hand_formula").record["circuits"]
    assert row["circuit"] == "feed"


def test_without_a_formula_there_is_no_chapter() -> None:
    parallel = [{"name": "feed", "current": "1 A", "out": ["rod.1", "rod.2"]}]
    assert "hand_formula" not in {c.key for c in solved_rods(circuit=parallel).chapters}


def test_three_phases_stand_beside_their_mean() -> None:
    rod = {"diameter": "20 mm", "centre": ["0 mm", "0 mm"], "repeat": {"count": 3, "step": ["30 mm", "0 mm"]}}
    phases = [
        {"name": f"L{k}", "current": "1 A", "phase": f"{-120 * (k - 1)} deg", "out": [f"rod.{k}"]} for k in (1, 2, 3)
    ]
    result = solved_rods(rod=rod, circuit=phases, frequency={"at": ["50 Hz"]})
    (row,) = chapter(result, "hand_formula").record["circuits"]
    assert row["circuits"] == ["L1", "L2", "L3"]
    assert row["formula"] == "three round wires in a row"
    assert row["agrees"]
    mean = sum(c.loss for c in result.conductors.values()) / 3
    assert row["resistance_ohm_per_m"] / mean - 1 == pytest.approx(row["resistance_difference"], rel=1e-6)
