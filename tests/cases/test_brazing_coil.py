"""The shipped case brazing-coil, as its answer says."""

from __future__ import annotations

import pytest
from shipped_cases import check_shipped, solved
from topic_cases import chapter


def test_states_question_and_answer_and_solves(capsys: pytest.CaptureFixture[str]) -> None:
    check_shipped("brazing-coil", capsys)


def test_brazing_coil_as_its_answer_says() -> None:
    result = solved("brazing-coil")
    coil, (point,) = result["coil"], chapter(result, "work_pieces").record["points"]
    assert abs(coil.current) == pytest.approx(642, abs=1)
    assert abs(coil.voltage) == pytest.approx(137, abs=0.5)
    assert point["power_into_pieces_w"] == pytest.approx(1500, rel=1e-6)
    assert coil.loss == pytest.approx(3.12e3, rel=2e-3)
    (tank,) = chapter(result, "tank").record["points"]
    assert tank["capacitance_f"] == pytest.approx(3.73e-6, rel=2e-3)
    assert tank["reactive_power_var"] == pytest.approx(88e3, rel=5e-3)
    assert tank["empty"]["resonance_hz"] == pytest.approx(168.8e3, rel=1e-3)
    assert (round(tank["quality_loaded"]), round(tank["empty"]["quality"])) == (28, 80)


def test_water_takes_what_the_tube_makes() -> None:
    result = solved("brazing-coil")
    (stream,) = chapter(result, "water").record["streams"]
    assert stream["outlet_degc"] - 25.0 == pytest.approx(17, abs=0.5)
    (point,) = chapter(result, "temperature").record["points"]
    turns = [point["conductors"][f"turn.{k}"] for k in (1, 2, 3)]
    ways = ("convection", "radiation", "exchange")
    assert 1 < sum(turn[f"{way}_w_per_turn"] for turn in turns for way in ways) < 2
    assert -sum(turn["exchange_w_per_turn"] for turn in turns) == pytest.approx(3, abs=0.5)
    assert point["conductors"]["fitting"]["held"] is True
