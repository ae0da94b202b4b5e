"""[cooling] in a case: what changes, what stays, what is said."""

from __future__ import annotations

import json
import math
from typing import Any

import pytest
from topic_cases import bars as case
from topic_cases import brazing, chapter, rod
from topic_cases import solved_bars as solved

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.quantities import parse
from crosscurrent.result import Result
from crosscurrent.run import solve_case
from crosscurrent.topics.cooling import cooling_of
from crosscurrent.topics.limits_verdicts import verdicts

DUTY = [{"name": "braze", "on": "40 s", "off": "3 min", "current": "90 A"}]


def test_losses_follow_the_temperature_and_nothing_else_changes() -> None:
    cold, warm = solved(), solved(cooling={})
    assert not any(c.key == "temperature" for c in cold.chapters)
    found = chapter(warm, "temperature").record["points"][0]["conductors"]["a"]
    answer = warm.conductors["a"]
    assert answer.loss == pytest.approx(found["loss_w_per_m"], rel=1e-3)
    # IEC 60028: 0.393 %/K; the bars are thin against the skin, so that the loss follows the resistivity almost wholly
    growth = (1 + 0.00393 * (found["mean_temperature_degc"] - 20)) / (1 + 0.00393 * 20)
    assert answer.loss / cold.conductors["a"].loss == pytest.approx(growth, rel=0.02)
    assert warm.circuits["feed"].inductance == pytest.approx(cold.circuits["feed"].inductance or 0.0, rel=5e-3)
    # stated at the temperature that came out, the plain case agrees
    rows = [row | {"temperature": f"{found['mean_temperature_degc']} degC"} for row in case()["conductor"]]
    again = solve_case(checked_case(case(conductor=rows)))
    assert again.conductors["a"].loss == pytest.approx(answer.loss, rel=5e-4)


def test_heat_that_a_conductor_takes_is_said_in_a_word_and_balances() -> None:
    """A plate above a bar, in no circuit and at rest: what it gives to the air comes from the bar."""
    plate = {"name": "plate", "shape": "bar", "width": "80 mm", "thickness": "2 mm", "material": "copper",
             "centre": ["0 mm", "40 mm"]}  # fmt: skip
    (table,) = chapter(solved(cooling={}, conductor=[*case()["conductor"], plate]), "temperature").tables
    exchanged = {row[0]: row[-1] for row in table.rows}
    given = [parse(text, "loss per metre") for name, text in exchanged.items() if name != "plate"]
    word, taken = exchanged["plate"].split(maxsplit=1)
    assert word == "takes"
    assert parse(taken, "loss per metre") == pytest.approx(sum(given), rel=0.02)
    assert not any("-" in cell for row in table.rows for cell in row)


def test_a_stated_temperature_is_where_the_search_begins() -> None:
    rows = [row | {"temperature": "95 degC"} for row in case()["conductor"]]
    begun = chapter(solved(cooling={}, conductor=rows), "temperature").record["points"][0]["conductors"]
    plain = chapter(solved(cooling={}), "temperature").record["points"][0]["conductors"]
    assert begun["a"]["mean_temperature_degc"] == pytest.approx(plain["a"]["mean_temperature_degc"], abs=0.05)


def test_what_limits_refer_to() -> None:
    made = chapter(solved(cooling={}), "temperature")
    found = made.record["points"][0]["conductors"]
    for row in made.measured["temperature"]:
        assert row.value == found[row.of]["temperature_degc"]
        assert row.unit == "degC"
        assert row.value + row.error >= found[row.of]["temperature_high_degc"]
        assert row.value - row.error <= found[row.of]["temperature_low_degc"]


def test_rated_current_for_the_limit_of_limits() -> None:
    result = solved(cooling={}, limits={"temperature_bare": "85 degC", "temperature_plated": "95 degC"})
    assert chapter(result, "temperature").record["points"][0]["rated"]["limit_degc"] == 85
    assert any(c.key == "limits" for c in result.chapters)


def test_currents_above_what_the_limit_of_cooling_lets_through_are_a_warning() -> None:
    """At 0.99 of what keeps to 90 degC there is none."""
    words, limit = "hotter than the 90 degC of [cooling]", {"temperature_limit": "90 degC"}
    holds = chapter(rod("1 kA", cooling=limit), "temperature").record["points"][0]["rated"]["factor_on_currents"]
    for share in (0.99, 1.01):
        warned = chapter(rod(f"{share * holds:.6f} kA", cooling=limit), "temperature").warnings
        assert any(words in text for text in warned) == (share > 1), warned


def test_a_limit_that_is_judged_need_not_be_written_down() -> None:
    limit = {"temperature_limit": "90 degC"}
    told = "write it under [limits]"
    holds = chapter(rod("1 kA", cooling=limit), "temperature").record["points"][0]["rated"]["factor_on_currents"]
    stated = {"loss": "1 W/m"}, {"temperature_bare": "90 degC"}
    for limits, said in (({}, True), ({"limits": stated[0]}, True), ({"limits": stated[1]}, False)):
        warned = chapter(rod(f"{1.01 * holds:.6f} kA", cooling=limit, **limits), "temperature").warnings
        assert [told in text for text in warned if "hotter than the 90 degC" in text] == [said]


def test_rated_current_where_limits_differ() -> None:
    """The bar that may be touched is as warm as the other one, so it is the first at its limit; solved anew, there."""
    limits = {"temperature_bare": "105 degC", "temperature_touchable": "60 degC", "touchable": ["b"]}
    made = chapter(solved(cooling={}, limits=limits), "temperature")
    rated = made.record["points"][0]["rated"]
    assert (rated["of"], rated["limit_degc"]) == ("b", 60)
    assert any("b is the first that reaches its limit of 60 degC" in text for text in made.sentences)
    circuit = [{"name": "feed", "current": f"{600 * rated['factor_on_currents']:.6f} A", "out": ["a"], "back": ["b"]}]
    again = chapter(solved(cooling={}, circuit=circuit), "temperature").record["points"][0]
    assert again["conductors"]["b"]["temperature_degc"] == pytest.approx(60, abs=0.05)


def test_a_case_that_runs_away_says_so_and_still_gives_its_losses() -> None:
    hot = [{"name": "feed", "current": "4 kA", "out": ["a"], "back": ["b"]}]
    result = solved(cooling={"temperature_limit": "90 degC"}, circuit=hot)
    made = chapter(result, "temperature")
    assert made.record["points"][0]["stable"] is False
    assert any("no stable temperature up to 400 degC" in text for text in made.warnings)
    assert any("its resistance grows faster than the cooling" in text for text in made.sentences)
    assert any("the hottest point reaches 90 degC at 0." in text and "feed " in text for text in made.sentences)
    assert any("a stable temperature below 400 degC holds up to 0." in text for text in made.sentences)
    point = made.record["points"][0]
    assert point["rated"]["factor_on_currents"] < point["largest_stable"]["factor_on_currents"] < 1
    assert not made.pictures
    assert {(m.value, m.error) for m in made.measured["temperature"]} == {(math.inf, 0.0)}
    assert result.conductors["a"].loss > 0
    json.dumps(dict(made.record), allow_nan=False)


def test_a_wall_beside_bars_that_run_away_is_not_judged() -> None:
    """The bars fail their limit; of a wall with next to no loss nothing is known, so nobody can tell."""
    hot = [{"name": "feed", "current": "4 kA", "out": ["a"], "back": ["b"]}]
    wall = {"name": "wall", "shape": "bar", "width": "60 mm", "thickness": "3 mm", "material": "stainless-304",
            "centre": ["0 mm", "-300 mm"]}  # fmt: skip
    limits = {"temperature_bare": "90 degC", "touchable": ["wall"], "temperature_touchable": "60 degC"}
    result = solved(cooling={}, circuit=hot, limits=limits, conductor=[*case()["conductor"], wall])
    found = {row["of"]: row["verdict"] for row in chapter(result, "limits").record["limits"]}
    assert found == {"a": "fail", "b": "fail", "wall": "cannot tell"}


@pytest.mark.parametrize(
    "cooling",
    [
        {"orientation": "vertical", "finish": "painted", "altitude": "1500 m"},
        {"orientation": "45 deg", "emissivity": 0.5, "ambient": "25 degC"},
        {"air_speed": "2 m/s", "finish": "bright"},
        {"air": "still enclosure", "enclosure_air": "55 degC", "finish": "oxidised"},
    ],
)
def test_every_key_is_heard_and_repeated(cooling: dict[str, Any]) -> None:
    made = chapter(solved(cooling=cooling, length="3 m"), "temperature")
    said, printed = " / ".join(made.record["assumptions"]), " / ".join(made.sentences)
    for word in ("vertical", "painted", "1500 m", "45 deg", "2 m/s", "bright", "oxidised"):
        if word in str(list(cooling.values())):
            assert word in said
            assert word in printed
    assert ("Pohlhausen" if "air_speed" in cooling else "Churchill and H. H. S. Chu") in printed
    air = cooling.get("enclosure_air", cooling.get("ambient", "40 degC")).split()[0]
    assert f"at {air} degC" in said
    json.dumps(dict(made.record), allow_nan=False)


def test_what_the_cooling_does_not_use_or_lacks_is_said() -> None:
    """A breath of 0.01 m/s lies below what air does by itself; a run that rises has a length."""
    made = chapter(solved(cooling={"orientation": "vertical", "air_speed": "0.01 m/s"}), "temperature")
    assert any("air blown at 0.01 m/s is not counted" in text for text in made.warnings)
    assert any("states no length: 1 m is taken" in text for text in made.warnings)


def test_conductivity_by_wiedemann_and_franz_is_said() -> None:
    rows = [row | {"material": "own"} for row in case()["conductor"]]
    made = chapter(solved(conductor=rows, material={"own": {"conductivity": "50 MS/m"}}, cooling={}), "temperature")
    assert any("thermal conductivity of own from Wiedemann and Franz" in text for text in made.record["assumptions"])


def test_a_sweep_has_the_temperatures_of_its_own_losses_and_says_so() -> None:
    both = {"at": ["50 Hz"], "sweep": {"from": "10 Hz", "to": "100 Hz", "points": 3}}
    made = chapter(solved(cooling={}, frequency=both), "temperature")
    assert [point["frequency_hz"] for point in made.record["points"]] == [50]
    assert any("has the temperatures that its own losses keep up" in text for text in made.warnings)
    alone = solved(cooling={}, frequency={"sweep": both["sweep"]})
    assert chapter(alone, "temperature").record["points"] == []
    middle = solved(cooling={}, frequency={"at": [f"{alone.points[1].frequency} Hz"]})
    for name, conductor in middle.points[0].conductors.items():
        assert alone.points[1].conductors[name].temperature == pytest.approx(conductor.temperature, abs=0.05)
        assert conductor.temperature > 20.0


def test_bars_beside_water_are_cooled_by_it_and_by_air() -> None:
    tube = {"name": "wet", "shape": "tube", "diameter": "20 mm", "wall": "2 mm", "material": "copper"}
    dry = case()["conductor"][1]
    result = solved(
        length="2 m",
        conductor=[tube | {"centre": ["-20 mm", "0 mm"]}, dry],
        circuit=[{"name": "feed", "current": "600 A", "out": ["wet"], "back": ["b"]}],
        water=[{"conductors": ["wet"], "inlet": "20 degC", "flow": "4 l/min"}],
        cooling={},
    )
    said = chapter(result, "temperature")
    found = said.record["points"][0]
    assert found["stable"]
    assert found["heat_balance"] < 1e-9
    assert found["conductors"]["wet"]["kept_by_water"] is True
    assert said.tables[0].rows[0][1:3] == ("see water", "-")  # its hottest metal is known there
    assert "b is the hottest of those that water does not keep, " in said.sentences[0]
    assert 20 < found["conductors"]["wet"]["mean_temperature_degc"] < 40 < found["conductors"]["b"]["temperature_degc"]


def test_a_conductor_with_a_finish_of_its_own() -> None:
    """Painted it radiates about three times what a dull one does, and is named so."""
    dull, painted = (rod("400 A", rod=own) for own in ({}, {"finish": "painted"}))
    points = [r.chapter("temperature").record["points"][0]["conductors"]["rod"] for r in (dull, painted)]
    assert points[1]["temperature_degc"] < points[0]["temperature_degc"] - 5
    # s e (T^4 - T0^4) pi d, the room black
    kelvin = points[1]["surface_temperature_degc"] + 273.15
    assert points[1]["radiation_w_per_m"] == pytest.approx(
        5.670374e-8 * 0.9 * (kelvin**4 - 293.15**4) * math.pi * 0.01, rel=2e-3
    )
    assert "finish painted of rod: emissivity 0.9" in " ".join(painted.chapter("temperature").record["assumptions"])


def test_heat_below_its_noise_is_none() -> None:
    """A bar without current has no loss at 0 Hz."""
    far = case()["conductor"][0] | {"name": "far", "centre": ["0 mm", "400 mm"]}
    (table,) = chapter(
        solved(cooling={}, frequency={"at": ["0 Hz"]}, conductor=[*case()["conductor"], far]), "temperature"
    ).tables
    cells = dict(zip(table.columns, next(row for row in table.rows if row[0] == "far"), strict=True))
    assert cells["loss"] == "none"
    assert not any(cell == "0 W/m" for row in table.rows for cell in row)


@pytest.fixture(scope="module")
def brazed() -> Result:
    return solve_case(checked_case(brazing(duty=DUTY, ambient="25 degC")))


def test_turns_round_a_hot_piece(brazed: Result) -> None:
    found = chapter(brazed, "temperature").record["points"][0]
    turns = [found["conductors"][f"turn.{k}"] for k in (1, 2, 3)]
    assert found["conductors"]["fitting"]["held"] is True
    assert found["conductors"]["fitting"]["temperature_degc"] == 390.0
    assert found["heat_balance"] < 1e-9
    assert turns[0]["temperature_degc"] == pytest.approx(turns[2]["temperature_degc"], abs=0.05)
    for turn in turns:
        away = turn["convection_w_per_turn"] + turn["radiation_w_per_turn"] + turn["exchange_w_per_turn"]
        assert away == pytest.approx(turn["loss_w_per_turn"], rel=1e-9)
        assert turn["exchange_w_per_turn"] < 0
    coil = found["coils"]["coil"]
    assert coil["temperature_degc"] == max(turn["temperature_degc"] for turn in turns)
    assert coil["mean_temperature_degc"] == pytest.approx(sum(turn["mean_temperature_degc"] for turn in turns) / 3)
    assert coil["loss_w"] == pytest.approx(sum(turn["loss_w_per_turn"] for turn in turns))
    answer = brazed.conductors["turn.2"]
    assert answer.loss == pytest.approx(turns[1]["loss_w_per_turn"], rel=1e-3)


def test_what_is_said_of_a_coil(brazed: Result) -> None:
    found = chapter(brazed, "temperature")
    said = " ".join(found.sentences)
    assert "coil, 3 turns: turn." in said
    assert "from other conductors leave" in said
    assert "axis upright" in said
    assert "/m" not in " ".join((*found.sentences, *(cell for t in found.tables for row in t.rows for cell in row)))
    assert found.tables[0].rows[0][2] == "held"
    assert "fitting" not in {m.of for m in found.measured["temperature"]}
    assert "surfaces of revolution" in " ".join(found.record["assumptions"])


def test_a_duty_round_an_axis_leaves_out_what_is_held(brazed: Result) -> None:
    found = chapter(brazed, "duty")
    (course,) = found.record["courses"]
    assert set(course["conductors"]) == {"turn.1", "turn.2", "turn.3"}
    assert course["conductors"]["turn.2"]["highest_degc"] > course["conductors"]["turn.2"]["lowest_degc"] + 20
    assert {m.of for m in found.measured["duty_temperature"]} == {"turn.1", "turn.2", "turn.3"}
    limits = checked_case(brazing(duty=DUTY, limits={"temperature_bare": "100 degC"})).data.limits
    assert limits is not None
    assert {row.limit for row in verdicts(limits, brazed, brazed.chapters)} == {"temperature_bare"}


def test_what_heating_follows_in_time_is_held() -> None:
    written = brazing(heating=[{"piece": "fitting", "time": "5 s"}], cooling={})
    assert cooling_of(checked_case(written)) == cooling_of(checked_case(brazing()))


def test_an_axis_that_lies_cools_a_little_less() -> None:
    upright = chapter(solve_case(checked_case(brazing())), "temperature")
    lying = chapter(solve_case(checked_case(brazing(cooling={"held": ["fitting"], "axis": "lying"}))), "temperature")
    hot = [c.record["points"][0]["conductors"]["turn.2"]["temperature_degc"] for c in (upright, lying)]
    assert 0 < hot[1] - hot[0] < 20
    assert "axis lying" in " ".join(lying.sentences)
