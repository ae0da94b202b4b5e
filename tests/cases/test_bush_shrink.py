"""The shipped case bush-shrink, as its answer says."""

from __future__ import annotations

import math

import pytest
from shipped_cases import check_shipped, solved
from topic_cases import chapter

MU0 = 4e-7 * math.pi


def test_states_question_and_answer_and_solves(capsys: pytest.CaptureFixture[str]) -> None:
    check_shipped("bush-shrink", capsys)


def test_bush_takes_its_power() -> None:
    result = solved("bush-shrink")
    coil, (point,) = result["coil"], chapter(result, "work_pieces").record["points"]
    assert point["power_into_pieces_w"] == pytest.approx(4000, rel=1e-3)
    assert abs(coil.current) == pytest.approx(233, abs=1)
    assert abs(coil.voltage) == pytest.approx(55.7, abs=0.2)
    assert point["efficiency"] == pytest.approx(0.94, abs=0.005)
    assert point["terminals"][0]["power_factor"] == pytest.approx(0.33, abs=0.005)
    (piece,) = point["pieces"]
    assert piece["depth_of_86_percent_m"] == pytest.approx(0.15e-3, abs=0.01e-3)
    (tank,) = chapter(result, "tank").record["points"]
    assert tank["capacitance_f"] == pytest.approx(31e-6, rel=0.02)
    assert tank["reactive_power_var"] == pytest.approx(12.2e3, rel=0.01)
    assert tank["empty"]["resonance_hz"] == pytest.approx(17.4e3, rel=2e-3)
    # by hand, with the field of a long coil, which a short one does not reach: R_s H^2 over the outside
    strength = 5 * abs(coil.current) / 0.055
    permeability = 1 + 1.9 / (MU0 * math.sqrt(2) * strength)
    sheet = math.sqrt(math.pi * 20e3 * MU0 * permeability / 5.5e6)
    assert 4000 < sheet * strength**2 * 2 * math.pi * 0.047 * 0.05 < 8000
