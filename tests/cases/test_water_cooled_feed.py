"""The shipped case water-cooled-feed, beside arithmetic that needs no field solve."""

from __future__ import annotations

import json
import math

import pytest
from shipped_cases import check_shipped, solved
from topic_cases import chapter

from crosscurrent.postprocess.files.results import document
from crosscurrent.result import Result
from crosscurrent.solver.field.electrostatic import VACUUM

SPEED = 299_792_458.0


def shipped() -> Result:
    return solved("water-cooled-feed")


def test_states_question_and_answer_and_solves(capsys: pytest.CaptureFixture[str]) -> None:
    check_shipped("water-cooled-feed", capsys)


def test_shipped_case_answers_as_it_says() -> None:
    result = shipped()
    stream = chapter(result, "water").record["streams"][0]
    assert stream["heat_w"] == pytest.approx(21.06e3, rel=2e-3)
    assert stream["outlet_degc"] == pytest.approx(66, abs=0.5)
    assert stream["passages"]["tube.2"]["wall_temperature_degc"] == pytest.approx(76, abs=0.5)
    assert stream["flow_needed_m3_per_s"]["wall_limit"] * 6e4 == pytest.approx(12.4, rel=1e-9)  # 12.33, rounded up
    # l/min = 14.33 P [kW] / dT [K]: common practice
    assert stream["outlet_degc"] - 28 == pytest.approx(14.33 * 21.06 / 8, rel=0.01)
    assert sum(c.loss for c in result.conductors.values()) * 6 == pytest.approx(stream["heat_w"], rel=1e-12)
    joints = chapter(result, "joints").record["circuits"][0]
    assert joints["loss_w"] == pytest.approx(6 * 4e-6 * 900**2)
    assert any("not enough" in text for text in chapter(result, "water").warnings)


def test_metal_is_computed_at_the_temperature_the_water_gives_it() -> None:
    result = shipped()
    passages = chapter(result, "water").record["streams"][0]["passages"]
    for conductor in result.solutions[85e3].problem.conductors:
        assert conductor.temperature == pytest.approx(passages[conductor.name]["mean_metal_degc"], abs=0.05)
    assert [text for text in result.heading.warnings if "8 l/min are not enough" not in text] == []


def test_capacitance_and_inductance_belong_together() -> None:
    """Where the skin is thin L C = 1 / c^2; the finite skin makes L a little larger."""
    result = shipped()
    gap = chapter(result, "voltage").record["gaps"][0]
    assert gap["capacitance_f_per_m"] == pytest.approx(math.pi * VACUUM / math.acosh(24 / 16.01), rel=1e-5)
    inductance = result.circuits["pad"].inductance
    assert inductance is not None
    assert 1 < inductance * gap["capacitance_f_per_m"] * SPEED**2 < 1.05


def test_voltage_of_the_shipped_case() -> None:
    result = shipped()
    record, pad = chapter(result, "voltage").record, result.circuits["pad"]
    row, gap = record["circuits"][0], record["gaps"][0]
    assert pad.inductance is not None
    assert row["reactive_power_var"] == pytest.approx(2 * math.pi * 85e3 * pad.inductance * 900**2 * 6)
    assert row["voltage_v"] == pytest.approx(math.hypot(row["resistive_voltage_v"], row["reactive_voltage_v"]))
    assert gap["gap_m"] == pytest.approx(24e-3 - 16.01e-3)
    assert gap["resonance_voltage_v"] == pytest.approx(30 * 70)
    assert gap["mean_field_v_per_m"] == pytest.approx(2100 / 7.99e-3)
    assert gap["field_within_limit"] is True


def test_results_are_plain_data_and_name_what_limits_need() -> None:
    result = shipped()
    json.dumps(document(result.heading, result.points, result.chapters), allow_nan=False)
    measured = {key for c in result.chapters for key in c.measured}
    assert {"water_rise", "wall_temperature", "voltage_drop"} <= measured
    assert len([text for text in result.heading.cautions if "Interlock" in text]) == 1


def test_mass_of_the_shipped_case() -> None:
    """Tube: pi/4 (16^2 - 13^2) mm2 of 8890 kg/m3; plating: pi/4 (16.01^2 - 16^2) mm2 of 10490 kg/m3."""
    record = chapter(shipped(), "mass").record
    copper, silver = (2 * math.pi / 4 * (a**2 - b**2) * 1e-6 for a, b in ((16, 13), (16.01, 16)))
    assert record["materials"]["copper"]["mass_kg_per_m"] == pytest.approx(copper * 8890, rel=1e-6)
    assert record["materials"]["silver"]["total_volume_m3"] == pytest.approx(silver * 6, rel=1e-5)
    cost = 6 * (copper * 8890 * 9.8 + silver * 10490 * 1050)
    assert record["total_cost"] == pytest.approx(cost, rel=1e-5)
    assert record["currency"] == "EUR"
