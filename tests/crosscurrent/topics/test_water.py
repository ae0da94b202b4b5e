"""Water, voltage, joints and money of a case, each beside arithmetic that needs no field solve."""

from __future__ import annotations

import json
import math
import re
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from crosscurrent.cases.case import checked_case
from crosscurrent.cases.money import Price, read_price
from crosscurrent.cases.reader import read_case
from crosscurrent.cases.run import Result, solve_case
from crosscurrent.postprocess.chapter import Chapter
from crosscurrent.postprocess.pictures.water import water_picture
from crosscurrent.postprocess.results import document
from crosscurrent.solver.electrostatic import VACUUM
from crosscurrent.solver.pipe import Passage, WaterError
from crosscurrent.solver.water import WaterCircuit

CASES = Path(__file__).resolve().parents[2] / "cases"
SPEED = 299_792_458.0


@cache
def shipped() -> Result:
    return solve_case(read_case(CASES / "water-cooled-feed.toml"))


def tube(name: str, x: str, diameter: str = "12 mm", wall: str = "1 mm") -> dict[str, Any]:
    return {
        "name": name, "shape": "tube", "diameter": diameter, "wall": wall, "material": "copper",
        "centre": [x, "0 mm"],
    }  # fmt: skip


def case(**more: Any) -> dict[str, Any]:
    return {
        "length": "3 m",
        "frequency": {"at": ["0 Hz"]},
        "conductor": [tube("go", "-10 mm"), tube("back", "10 mm")],
        "circuit": [{"name": "feed", "current": "1000 A", "out": ["go"], "back": ["back"]}],
        **more,
    }


def solved(**more: Any) -> Result:
    return solve_case(checked_case(case(**more)))


def chapter(result: Result, key: str) -> Chapter:
    return next(c for c in result.chapters if c.key == key)


# --- the shipped case --------------------------------------------------------------------------------------------


def test_shipped_case_answers_as_it_says() -> None:
    result = shipped()
    stream = chapter(result, "water").record["streams"][0]
    assert stream["heat_w"] == pytest.approx(21.06e3, rel=2e-3)
    assert stream["outlet_degc"] == pytest.approx(66, abs=0.5)
    assert stream["passages"]["tube.2"]["wall_temperature_degc"] == pytest.approx(76, abs=0.5)
    assert stream["flow_needed_m3_per_s"]["wall_limit"] * 6e4 == pytest.approx(12.3, abs=0.05)
    # l/min = 14.33 P [kW] / dT [K]: common practice
    assert stream["outlet_degc"] - 28 == pytest.approx(14.33 * 21.06 / 8, rel=0.01)
    assert sum(c.loss for c in result.conductors.values()) * 6 == pytest.approx(stream["heat_w"], rel=1e-12)
    joints = chapter(result, "joints").record["circuits"][0]
    assert joints["loss_w"] == pytest.approx(6 * 4e-6 * 900**2)
    assert any("not enough" in text for text in chapter(result, "water").sentences)


def test_metal_is_computed_at_the_temperature_the_water_gives_it() -> None:
    result = shipped()
    passages = chapter(result, "water").record["streams"][0]["passages"]
    for conductor in result.solutions[85e3].problem.conductors:
        assert conductor.temperature == pytest.approx(passages[conductor.name]["mean_metal_degc"], abs=0.05)
    assert not result.heading.warnings


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
    assert {"water_rise", "wall_temperature", "voltage_drop", "mass"} <= measured
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


# --- water -------------------------------------------------------------------------------------------------------

WATER = {"conductors": ["go", "back"], "inlet": "20 degC"}
ROUGHLY = {"resistance": "1 %"}  # for what does not depend on it


def test_water_that_boils_at_the_wall_says_so() -> None:
    current = [{"name": "feed", "current": "1500 A", "out": ["go"], "back": ["back"]}]
    water = [{**WATER, "flow": "1.3 l/min", "outlet_pressure": "0 bar"}]
    result = solved(circuit=current, water=water)
    said = [text for text in result.heading.warnings if "boils" in text]
    assert len(said) == 1
    assert said[0].startswith('water at 0 Hz: the water boils at the wall in "back", where the wall would be at ')
    assert "it boils at 99.9" in said[0]
    enough = re.search(r"; ([0-9.]+ l/min) would keep it from that", said[0])
    assert enough is not None
    again = solved(circuit=current, water=[{**water[0], "flow": enough[1]}])
    assert chapter(again, "water").record["streams"][0]["margin_to_boiling_k"] == pytest.approx(10, abs=0.3)
    margin = chapter(result, "water").record["streams"][0]["margin_to_boiling_k"]
    assert margin < 0
    # no temperature to be trusted: the metal stays where the case puts it
    assert result.solutions[0].problem.conductors[0].temperature == 20


def test_water_that_boils_at_the_stated_temperature_only_does_not_boil() -> None:
    """400 degC doubles the loss, but the water keeps the metal far below."""
    water = [{"conductors": ["go"], "inlet": "20 degC", "flow": "1.2 l/min", "outlet_pressure": "0 bar"}]
    current = [{"name": "feed", "current": "1200 A", "out": ["go"], "back": ["back"]}]
    hot = {**tube("go", "-10 mm"), "temperature": "400 degC"}
    result = solved(accuracy=ROUGHLY, conductor=[hot, tube("back", "10 mm")], circuit=current, water=water)
    assert not any("boil" in text for text in result.heading.warnings)
    assert result.solutions[0].problem.conductors[0].temperature < 60


def test_bores_of_unlike_width_in_one_bar() -> None:
    """The narrow bore gets slower, hotter water; both have the same pressure drop and share the whole loss."""

    def square(x: float, width: float) -> list[list[str]]:
        corners = ((-1, -1), (1, -1), (1, 1), (-1, 1))
        return [[f"{x + i * width / 2:g} mm", f"{j * width / 2:g} mm"] for i, j in corners]

    plate = [[x, y] for x, y in (("-30 mm", "-10 mm"), ("30 mm", "-10 mm"), ("30 mm", "10 mm"), ("-30 mm", "10 mm"))]
    bored = {"name": "go", "shape": "outline", "points": plate, "holes": [square(-15, 10), square(15, 4)]}
    back = {"name": "back", "shape": "bar", "width": "60 mm", "thickness": "20 mm", "centre": ["0 mm", "80 mm"]}
    current = [{"name": "feed", "current": "8000 A", "out": ["go"], "back": ["back"]}]
    rows = [{**row, "material": "copper"} for row in (bored, back)]
    water = [{"conductors": ["go"], "inlet": "20 degC", "flow": "6 l/min"}]
    result = solved(length="4 m", conductor=rows, circuit=current, water=water)
    stream = chapter(result, "water").record["streams"][0]
    wide, narrow = (stream["passages"][f"go, bore {k}"] for k in (1, 2))
    assert wide["heat_w"] + narrow["heat_w"] == pytest.approx(result.conductors["go"].loss * 4, rel=1e-9)
    assert wide["pressure_drop_pa"] == pytest.approx(narrow["pressure_drop_pa"], rel=1e-5)
    # conduction by finite differences on a grid of 0.5 mm, properties from a textbook's table (Incropera, from memory)
    assert [wide["heat_w"], narrow["heat_w"]] == pytest.approx([3717.7, 528.7], rel=1e-3)
    assert [wide["velocity_m_per_s"], narrow["velocity_m_per_s"]] == pytest.approx([0.906, 0.592], rel=2e-3)
    walls = [wide["wall_temperature_degc"], narrow["wall_temperature_degc"]]
    assert walls == pytest.approx([35.28, 38.39], abs=0.05)


def test_water_takes_what_the_air_does_not() -> None:
    water = [{"conductors": ["go"], "inlet": "50 degC", "flow": "1 l/min"}]
    current = [{"name": "feed", "current": "300 A", "out": ["go"], "back": ["back"]}]
    air = {"ambient": "20 degC", "altitude": "3000 m"}
    result = solved(accuracy=ROUGHLY, circuit=current, cooling=air, water=water)
    stream = chapter(result, "water").record["streams"][0]
    taken = chapter(result, "temperature").record["points"][0]["conductors"]
    made = sum(c["loss_w_per_m"] for c in taken.values()) * 3
    lost = sum(c["convection_w_per_m"] + c["radiation_w_per_m"] for c in taken.values()) * 3
    assert stream["heat_w"] + lost == pytest.approx(made, rel=1e-9)
    own = taken["go"]["convection_w_per_m"] + taken["go"]["radiation_w_per_m"] + taken["go"]["exchange_w_per_m"]
    assert stream["heat_to_air_w"] == pytest.approx(own * 3, rel=1e-9)
    assert any("go into the air and to other conductors, not into the water" in s for s in _said(result))
    # 70 kPa of air at 3000 m and 1 bar more: 115.2 degC (steam tables, between 1.6 and 1.8 bar)
    assert stream["passages"]["go"]["boiling_degc"] == pytest.approx(115.2, abs=0.2)


def _said(result: Result) -> tuple[str, ...]:
    return chapter(result, "water").sentences


def test_water_takes_all_harmonics_of_the_waveform() -> None:
    harmonics = [{"order": 1, "current": "500 A"}, {"order": 3, "current": "150 A"}]
    water = [{**WATER, "flow": "3 l/min"}]
    waveform = {"frequency": "20 kHz", "harmonics": harmonics}
    result = solved(frequency={"at": ["20 kHz"]}, accuracy=ROUGHLY, waveform=waveform, water=water)
    sine, whole = chapter(result, "water").record["streams"]
    assert whole["heat_w"] == pytest.approx(chapter(result, "waveform").record["total_loss_w"], rel=1e-9)
    assert whole["heat_of"] == "the waveform"
    assert whole["frequency_hz"] is None
    assert sine["heat_w"] == pytest.approx(result.points[0].total_loss * 3, rel=1e-9)
    assert any(
        "losses of all its harmonics together, spread over the sections as at 20 kHz" in s for s in _said(result)
    )


def test_metal_that_melts_though_its_water_does_not_boil() -> None:
    """A wide steel bar with a small copper pipe in its middle: its edges are far from the water."""
    pipe = {"shape": "box", "material": "copper", "width": "8 mm", "thickness": "8 mm", "wall": "1 mm"}
    wide = {
        "name": "go", "shape": "bar", "width": "150 mm", "thickness": "3 mm", "material": "stainless-304",
        "clad": [{**pipe, "offset": ["0 mm", "5.5 mm"]}],
    }  # fmt: skip
    current = [{"name": "coil", "current": "2400 A", "out": ["go"]}]
    water = [{"conductors": ["go"], "inlet": "20 degC", "flow": "6 l/min"}]
    result = solved(length="1 m", accuracy=ROUGHLY, conductor=[wide], circuit=current, water=water)
    said = "; ".join(result.heading.warnings)
    assert 'of "go" begins to melt at ' in said
    assert "K above the mean of that section, whose resistivity it has all over" in said
    assert "boils" not in said


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"flow": "1000 l/min"}, "1000 l/min would take a pressure drop of 12[0-9][0-9] bar"),
        ({"pressure_drop": "100 bar"}, "no flow up to 236 l/min gives a pressure drop of 100 bar; ask for less"),
    ],
)
def test_flows_that_no_pump_gives(more: dict[str, str], said: str) -> None:
    with pytest.raises(WaterError, match=rf"\[\[water\]\] through go: .*{said}"):
        solved(water=[{"conductors": ["go"], "inlet": "20 degC", **more}])


def test_cautions_of_odd_water_circuits() -> None:
    """Ten bar and more, a wall too rough, a bore too narrow, aluminium and copper in one circuit."""
    narrow = tube("go", "-10 mm", "12 mm", "5.6 mm")
    light = {**tube("back", "10 mm"), "material": "aluminium-6101"}
    water = [{**WATER, "pressure_drop": "20 bar", "roughness": "0.1 mm"}]
    result = solved(accuracy=ROUGHLY, conductor=[narrow, light], water=water)
    said = "; ".join(result.heading.warnings)
    assert "bar at the inlet of go, back are more than the 10 bar" in said
    assert 'a roughness of 100 um in the bore of "go", 800 um wide' in said
    assert 'the bore of "go" is 800 um wide' in said
    assert 'water touches aluminium-6101 ("back") and copper ("go")' in said


def test_water_boils_away_when_there_is_next_to_none() -> None:
    result = solved(water=[{**WATER, "flow": "0.02 l/min"}])
    assert any("boils away" in text for text in result.heading.warnings)


def test_pressure_drop_given_and_speed_warned_of() -> None:
    result = solved(water=[{**WATER, "pressure_drop": "3 bar", "joined": "parallel"}])
    record = chapter(result, "water").record["streams"][0]
    assert record["pressure_drop_pa"] == pytest.approx(3e5, rel=1e-6)
    passage = record["passages"]["go"]
    assert record["flow_m3_per_s"] == pytest.approx(2 * math.pi / 4 * 0.010**2 * passage["velocity_m_per_s"], rel=5e-3)
    assert any("more than the 2 to 3 m/s" in text for text in result.heading.warnings)


def test_water_runs_in_a_liner_where_there_is_one() -> None:
    liner = {"shape": "tube", "material": "copper", "diameter": "10 mm", "wall": "1 mm"}
    lined = {**tube("go", "-10 mm", "14 mm", "2 mm"), "clad": [liner]}
    water = {**WATER, "conductors": ["go"], "flow": "2 l/min"}
    result = solved(conductor=[lined, tube("back", "10 mm")], water=[water])
    passage = chapter(result, "water").record["streams"][0]["passages"]["go"]
    # the liner's bore, 8 mm, not the tube's own hole
    assert passage["velocity_m_per_s"] == pytest.approx(2e-3 / 60 / (math.pi / 4 * 0.008**2), rel=5e-3)


def test_glycol_is_named_and_costs_flow() -> None:
    plain, mixed = (
        chapter(solved(water=[{**WATER, "flow": "4 l/min", "outlet_limit": "40 degC", **more}]), "water")
        for more in ({}, {"glycol": "30 %"})
    )
    needed = [c.record["streams"][0]["flow_needed_m3_per_s"]["outlet_limit"] for c in (plain, mixed)]
    assert 1.05 < needed[1] / needed[0] < 1.15
    assert "30 % glycol" in mixed.tables[0].rows[0][0]


# --- joints and money --------------------------------------------------------------------------------------------


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


def test_own_material_with_and_without_a_density() -> None:
    own = {"conductivity": "30 MS/m"}
    conductors = [{**tube("go", "-10 mm"), "material": "alloy"}, tube("back", "10 mm")]
    lacking = chapter(solved(material={"alloy": own}, conductor=conductors, prices={"copper": "10 EUR/kg"}), "mass")
    assert lacking.record["mass_kg_per_m"] is None
    assert "the mass of alloy is unknown: give its density in [material.alloy]" in lacking.sentences
    known = {"alloy": {**own, "density": "8.0 g/cm3"}}
    complete = chapter(solved(material=known, conductor=conductors, prices={}), "mass")
    area = math.pi / 4 * (0.012**2 - 0.010**2)
    assert complete.record["mass_kg_per_m"] == pytest.approx(area * (8000 + 8890), rel=1e-6)
    assert complete.record["currency"] is None


@pytest.mark.parametrize(
    ("text", "price"),
    [
        ("9.8 EUR/kg", Price(9.8, "EUR")),
        ("9800 EUR/t", Price(9.8, "EUR")),
        ("$31.10 / ozt", Price(0.0, "")),
        ("31.1034768 USD/ozt", Price(1000.0, "USD")),
        ("4.5359237 \u00a3/lb", Price(10.0, "\u00a3")),
    ],
)
def test_prices(text: str, price: Price) -> None:
    if not price.currency:
        with pytest.raises(ValueError, match="a price by mass"):
            read_price(text)
        return
    assert read_price(text).per_kg == pytest.approx(price.per_kg)
    assert read_price(text).currency == price.currency


# --- voltage -----------------------------------------------------------------------------------------------------


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
    table = {"quality": 50, "relative_permittivity": 3.5, "field_limit": "1 V/mm"}
    found = chapter(solved(frequency={"at": ["100 kHz"]}, voltage=table), "voltage")
    row, gap = found.record["circuits"][0], found.record["gaps"][0]
    assert gap["resonance_voltage_v"] == pytest.approx(50 * row["resistive_voltage_v"])
    assert gap["capacitance_filled_f_per_m"] == pytest.approx(3.5 * gap["capacitance_f_per_m"])
    assert any("ABOVE the stated 1 V/mm" in text for text in found.sentences)
    assert any("at resonance at least" in text for text in found.sentences)


def test_long_run_at_radio_frequency_warns() -> None:
    result = solved(frequency={"at": ["13.56 MHz"]}, voltage={})
    assert any("through the capacitance between the conductors" in text for text in result.heading.warnings)
    assert (chapter(result, "voltage").record["gaps"][0]["current_change_along_run"] or 0) == pytest.approx(
        1 - math.cos(2 * math.pi * 13.56e6 / SPEED * 3), rel=0.05
    )


# --- pictures ----------------------------------------------------------------------------------------------------


def test_pictures_show_the_water_and_the_field() -> None:
    result = solved(water=[{**WATER, "flow": "6 l/min"}], voltage={})
    water = chapter(result, "water").pictures["water"]()
    field = chapter(result, "voltage").pictures["electric-field"]()
    along, over, pressure = water.axes
    assert [line.get_label() for line in along.get_lines()[:3]] == ["water", "hottest bore wall", "boils"]
    assert along.get_xlim() == (0, 6)  # out and back
    assert over.get_xscale() == pressure.get_yscale() == "log"
    texts = [text.get_text() for text in field.texts]
    assert any(text.startswith("capacitance ") for text in texts)
    assert any("go" in {t.get_text() for t in axes.texts} for axes in field.axes)


def test_picture_names_bores_side_by_side() -> None:
    bores = [Passage("bar", math.pi * d**2 / 4, math.pi * d, 3.0, 300.0, bore=k) for k, d in ((1, 0.010), (2, 0.006))]
    stream = WaterCircuit(tuple(bores), 20.0).at(1e-4)
    along = water_picture(stream, [stream], "bored bar", "water").axes[0]
    assert {text.get_text() for text in along.texts} == {"bar, bore 1", "bar, bore 2"}
    assert along.get_xlim() == (0, 3)
