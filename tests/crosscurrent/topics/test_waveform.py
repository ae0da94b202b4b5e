"""[waveform] in a case: harmonic by harmonic as solved alone."""

from __future__ import annotations

import math

import pytest
from topic_cases import chapter, solved_rods

from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve


def test_the_waveform_of_two_rods() -> None:
    harmonics = [
        {"order": 1, "current": "10 A"},
        {"order": 3, "current": "3 A", "phase": "40 deg"},
        {"order": 7, "current": "1 A"},
        {"frequency": "0 Hz", "current": "2 A"},
    ]
    pair = solved_rods(waveform={"frequency": "1 kHz", "harmonics": harmonics})
    assert list(chapter(pair, "waveform").pictures) == ["waveform"]
    record = chapter(pair, "waveform").record
    assert record["rms_current_a"] == pytest.approx(math.sqrt(100 + 9 + 1 + 4))
    assert record["left_out_loss_bound_w_per_m"] == 0
    problem, total = pair.case.problem(), 0.0
    for row, current in zip(record["harmonics"], (2, 10, 3, 1), strict=True):
        circuit = Circuit("pair", current, ("rod.1",), ("rod.2",))
        alone = solve(Problem(problem.conductors, (circuit,)), row["frequency_hz"])
        assert row["loss_w_per_m"] == pytest.approx(alone.fine.powers.real.sum(), rel=1e-3)
        total += row["loss_w_per_m"]
    assert record["loss_w_per_m"] == pytest.approx(total)
    assert record["resistance_ohm_per_m"] == pytest.approx(total / 114)
    assert record["total_loss_w"] == pytest.approx(2 * total)
