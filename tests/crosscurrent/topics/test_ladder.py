"""[ladder] in a case: against closed forms, and what the run leaves."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from topic_cases import chapter, solved_rods

MU0 = 4e-7 * math.pi
SWEPT = {"at": ["1 kHz"], "sweep": {"from": "50 Hz", "to": "20 kHz", "points": 2}}


def test_the_ladder_of_two_rods(tmp_path: Path) -> None:
    found = chapter(solved_rods(frequency=SWEPT), "ladder")
    found.pictures["ladder"]().savefig(tmp_path / "ladder.png")
    record = found.record
    assert record["cells"] <= 4
    assert max(record["resistance_error"], record["inductance_error"]) <= 0.01
    assert record["exact_resistance_at_rest_ohm_per_m"][0][0] == pytest.approx(
        2 / (58e6 * math.pi * 0.003**2), rel=1e-9
    )
    # two thin wires: mu0 / pi (ln(D / a) + 1/4) at rest; all current on the surface: mu0 / pi acosh(D / 2a)
    inside = MU0 / math.pi * (math.log(40 / 3) + 0.25)
    assert record["exact_inductance_at_rest_h_per_m"][0][0] == pytest.approx(inside, rel=1e-4)
    outside = MU0 / math.pi * math.acosh(20 / 3)
    assert record["exact_inductance_at_surface_h_per_m"][0][0] == pytest.approx(outside, rel=1e-4)
    ladder = found.files["ladder.cir"]
    assert ladder.isascii()
    assert ".subckt run pair pair_end" in ladder
    assert "a run of 2 m" in ladder
    elements = [line.split() for line in ladder.splitlines() if line[0] in "RL"]
    assert float(elements[0][3]) == pytest.approx(2 * record["exact_resistance_at_rest_ohm_per_m"][0][0])


def test_its_bound_counts_what_bundles_leave_open() -> None:
    """The bar of R at its worst frequency is no smaller in the netlist than in the answers."""
    bundle = {
        "name": "rod", "shape": "bundle", "strands": 91, "strand_diameter": "0.4 mm", "material": "copper",
        "centre": ["-20 mm", "0 mm"], "repeat": {"count": 2, "step": ["40 mm", "0 mm"]},
    }  # fmt: skip
    result = solved_rods(frequency={"sweep": {"from": "1 kHz", "to": "100 kHz", "points": 3}}, conductor=[bundle])
    worst = max(point.circuits["pair"].resistance_error for point in result.points)
    assert worst > 0.002
    assert chapter(result, "ladder").record["solver_error"] == pytest.approx(worst, rel=0.01)


def test_a_rough_conductor_has_no_ladder_but_a_waveform() -> None:
    harmonics = [{"order": 1, "current": "10 A"}, {"order": 3, "current": "3 A"}]
    waveform = {"frequency": "1 kHz", "harmonics": harmonics}
    result = solved_rods(frequency=SWEPT, waveform=waveform, rod={"roughness": "1 um"})
    found = chapter(result, "ladder")
    assert found.record == {"cells": None}
    assert "rough" in found.warnings[0]
    assert not found.files
    assert len(chapter(result, "waveform").record["harmonics"]) == 2
