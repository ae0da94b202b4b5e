"""[voltage] in a case: who faces whom, resonance, long runs."""

from __future__ import annotations

import math

import pytest
from topic_cases import chapter, tube
from topic_cases import solved_tubes as solved

from crosscurrent.solver.field.electrostatic import VACUUM

SPEED = 299_792_458.0


def test_three_phases_face_each_other() -> None:
    bars = [
        {"name": n, "shape": "round", "diameter": "10 mm", "material": "copper", "centre": [x, "0 mm"]}
        for n, x in (("a", "0 mm"), ("b", "30 mm"), ("c", "60 mm"))
    ]
    phases = [
        {"name": f"L{k + 1}", "current": "100 A", "phase": f"{-120 * k} deg", "out": [n]} for k, n in enumerate("abc")
    ]
    result = solved(frequency={"at": ["50 Hz"]}, conductor=bars, circuit=phases, voltage={})
    gaps = {g["between"]: g for g in chapter(result, "voltage").record["gaps"]}
    assert list(gaps) == ["L1 - L2", "L1 - L3", "L2 - L3"]
    volts = {name: c.voltage * 3 for name, c in result.circuits.items()}
    assert gaps["L1 - L2"]["voltage_v"] == pytest.approx(abs(volts["L1"] - volts["L2"]))
    assert gaps["L1 - L3"]["gap_m"] == pytest.approx(50e-3)
    # the middle wire without charge brings the outer ones closer together
    alone = math.pi * VACUUM / math.acosh(60 / 10)
    assert alone < gaps["L1 - L3"]["capacitance_f_per_m"] < 1.2 * alone


def test_resonance_without_a_stated_supply_and_a_filled_gap() -> None:
    table = {"quality": 500, "relative_permittivity": 3.5, "field_limit": "1 V/mm"}
    found = chapter(solved(frequency={"at": ["100 kHz"]}, voltage=table), "voltage")
    row, gap = found.record["circuits"][0], found.record["gaps"][0]
    assert gap["resonance_voltage_v"] == pytest.approx(500 * row["resistive_voltage_v"])
    assert gap["capacitance_filled_f_per_m"] == pytest.approx(3.5 * gap["capacitance_f_per_m"])
    assert any("above the stated 1 V/mm" in text for text in found.warnings)
    assert any("at resonance at least" in text for text in found.sentences)


def test_at_resonance_there_is_never_less_than_the_drop() -> None:
    """Q = 2 of an inductive run: Q R I is less than |Z| I (Kirchhoff); so is a supply of 1 mV times 2."""
    for table in ({"quality": 2}, {"quality": 2, "supply": "1 mV"}):
        found = chapter(solved(frequency={"at": ["100 kHz"]}, voltage=table), "voltage")
        row, gap = found.record["circuits"][0], found.record["gaps"][0]
        assert row["voltage_v"] > 2 * row["resistive_voltage_v"]
        assert gap["resonance_voltage_v"] == pytest.approx(row["voltage_v"], rel=1e-12)


def test_long_run_at_radio_frequency_warns() -> None:
    result = solved(frequency={"at": ["13.56 MHz"]}, voltage={})
    assert any("through the capacitance between the conductors" in text for text in result.heading.warnings)
    assert (chapter(result, "voltage").record["gaps"][0]["current_change_along_run"] or 0) == pytest.approx(
        1 - math.cos(2 * math.pi * 13.56e6 / SPEED * 3), rel=0.05
    )


def test_the_picture_shows_the_field_between_the_groups() -> None:
    field = chapter(solved(voltage={}), "voltage").pictures["electric-field"]()
    assert any(text.get_text().startswith("capacitance ") for text in field.texts)
    assert any("go" in {t.get_text() for t in axes.texts} for axes in field.axes)


def test_a_circuit_named_like_a_pair() -> None:
    """Circuits without back face each other; a name with the sign between two names is one name all the same."""
    rows = [tube("go", "-10 mm"), tube("back", "10 mm")]
    circuits = [{"name": "line - a", "current": "10 A", "out": ["go"]}]
    circuits += [{"name": "line - b", "current": "10 A", "phase": "180 deg", "out": ["back"]}]
    result = solved(conductor=rows, circuit=circuits, voltage={})
    (gap,) = chapter(result, "voltage").record["gaps"]
    assert gap["between"] == "line - a - line - b"
    # opposite currents: the drop between the two lines is that of the loop, 2 rho l / A I at 0 Hz
    area = math.pi / 4 * (0.012**2 - 0.010**2)
    assert gap["voltage_v"] == pytest.approx(2 * 3 * 10 / (58e6 * area), rel=1e-6)
