"""[[water]] in a case: what it takes, where it boils, what is said."""

from __future__ import annotations

import math
import re

import pytest
from topic_cases import chapter, tube
from topic_cases import solved_tubes as solved

from crosscurrent.casefile.case import checked_case
from crosscurrent.result import Result
from crosscurrent.run import solve_case
from crosscurrent.solver.water.pipe import WaterError

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
    # the flow is rounded up, one digit of it is worth half a kelvin
    assert 10 <= chapter(again, "water").record["streams"][0]["margin_to_boiling_k"] < 10.6
    assert not any("boil" in text for text in again.heading.warnings)
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
    result = solved(water=[{**WATER, "flow": "0.02 l/min"}], limits={"temperature_bare": "400 degC"})
    assert any("boils away" in text for text in result.heading.warnings)
    # no temperature is told for metal that the water left, and no limit holds
    assert (result.summary.hottest, result.summary.verdict) == (None, "fail")
    assert result.summary.lines[2].startswith("Temperature: no stable temperature (")
    assert chapter(result, "water").record["streams"][0]["passages"]["go"]["hottest_metal_degc"] > 100


def test_pressure_drop_given_and_speed_warned_of() -> None:
    result = solved(water=[{**WATER, "pressure_drop": "3 bar", "joined": "parallel"}])
    record = chapter(result, "water").record["streams"][0]
    assert record["pressure_drop_pa"] == pytest.approx(3e5, rel=1e-6)
    passage = record["passages"]["go"]
    assert record["flow_m3_per_s"] == pytest.approx(2 * math.pi / 4 * 0.010**2 * passage["velocity_m_per_s"], rel=5e-3)
    assert any("from 2 to 3 m/s on water wears" in text for text in result.heading.warnings)


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


@pytest.mark.parametrize("limit", [{"wall_limit": "56 degC"}, {"outlet_limit": "47 degC"}])
def test_the_flow_that_is_told_is_enough_and_a_little_less_is_not(limit: dict[str, str]) -> None:
    """The case solved at the flow as it is printed, and at one less in its last digit but one."""
    current = [{"name": "feed", "current": "1200 A", "out": ["go"], "back": ["back"]}]
    ((key, text),) = limit.items()
    what = key.partition("_")[0]

    def said_at(flow: str) -> tuple[str, float]:
        result = solved(circuit=current, water=[{**WATER, **limit, "flow": flow}])
        water = chapter(result, "water")
        (said,) = (s for s in (*water.sentences, *water.warnings) if f"to keep the {what} below" in s)
        measured = {"wall_limit": "wall_temperature", "outlet_limit": "water_rise"}[key]
        hottest = max(m.value for m in chapter(result, "water").measured[measured])
        return said, hottest + (20.0 if what == "outlet" else 0.0)

    told = re.search(r"takes ([0-9.]+) l/min", said_at("2 l/min")[0])
    assert told is not None
    said, hottest = said_at(f"{told[1]} l/min")
    assert said.endswith("are enough")
    assert f"takes {told[1]} l/min" in said
    assert hottest <= float(text.split()[0])
    less = f"{float(told[1]) - 0.03:.2f}"
    assert said_at(f"{less} l/min")[0].endswith("are not enough")


def test_the_picture_shows_the_water_along_its_way() -> None:
    result = solved(water=[{**WATER, "flow": "6 l/min"}])
    along, over, pressure = chapter(result, "water").pictures["water"]().axes
    assert {line.get_label() for line in along.get_lines()[:3]} == {"water", "hottest bore wall", "boils"}
    assert along.get_xlim() == (0, 6)  # out and back
    assert over.get_xscale() == pressure.get_yscale() == "log"


def test_turns_round_an_axis_take_the_heat_of_a_waveform_once() -> None:
    """Energy: what the stream takes is what all harmonics make in its turns, whatever their length."""
    turn = tube("turn", "40 mm") | {"repeat": {"count": 2, "step": ["0 mm", "16 mm"]}}
    made = {
        "symmetry": "axial", "frequency": {"at": ["20 kHz"]}, "accuracy": ROUGHLY, "conductor": [turn],
        "coil": [{"name": "coil", "turns": ["turn.*"], "current": "100 A"}],
        "water": [{"conductors": ["turn.*"], "inlet": "20 degC", "flow": "2 l/min"}],
        "waveform": {"frequency": "20 kHz", "harmonics": [{"order": 1, "current": "100 A"}]},
    }  # fmt: skip
    result = solve_case(checked_case(made))
    whole = chapter(result, "water").record["streams"][-1]
    assert whole["heat_of"] == "the waveform"
    assert whole["heat_w"] == pytest.approx(result.points[0].total_loss, rel=2e-2)
