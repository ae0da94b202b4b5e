"""[[joint]] in a case: beside the resistance of the run."""

from __future__ import annotations

import math

import pytest
from topic_cases import chapter
from topic_cases import solved_tubes as solved
from topic_cases import tubes as case

from crosscurrent.casefile.case import checked_case
from crosscurrent.run import solve_case


def test_joints_stand_beside_the_run() -> None:
    """Copper of pi/4 (12^2 - 10^2) mm2 at 20 degC, 58 MS/m: 0.998 mohm/m for the loop."""
    joint = {"name": "bolted", "circuit": "feed", "resistance": "10 uohm", "number": 4}
    record = chapter(solved(joint=[joint]), "joints").record["circuits"][0]
    run = 2 * 3 / (58e6 * math.pi / 4 * (0.012**2 - 0.010**2))
    assert record["run_resistance_ohm"] == pytest.approx(run, rel=1e-6)
    assert record["total_resistance_ohm"] == pytest.approx(run + 40e-6, rel=1e-6)
    assert record["share"] == pytest.approx(40e-6 / (run + 40e-6), rel=1e-6)
    assert record["total_loss_w"] == pytest.approx(1e6 * (run + 40e-6), rel=1e-6)


def test_joints_of_a_run_without_a_length() -> None:
    data = case(joint=[{"name": "bolted", "circuit": "feed", "resistance": "10 uohm"}])
    del data["length"]
    found = chapter(solve_case(checked_case(data)), "joints")
    assert found.record["circuits"][0]["share"] is None
    assert any("no length" in text for text in found.sentences)
