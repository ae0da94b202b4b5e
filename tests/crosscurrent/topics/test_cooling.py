"""[cooling] and [[duty]] in a case: what changes, what stays, what is said."""

from __future__ import annotations

import json
import math
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from crosscurrent.cases.case import checked_case
from crosscurrent.cases.quantities import QuantityError, parse
from crosscurrent.cases.reader import read_case
from crosscurrent.cases.run import Result, solve_case
from crosscurrent.postprocess.chapter import Chapter

CASES = Path(__file__).resolve().parents[2] / "cases"


def case(**more: Any) -> dict[str, Any]:
    bar = {"shape": "bar", "width": "5 mm", "thickness": "50 mm", "material": "copper"}
    return {
        "frequency": {"at": ["50 Hz"]},
        "ambient": "40 degC",
        "conductor": [
            bar | {"name": "a", "centre": ["-20 mm", "0 mm"]},
            bar | {"name": "b", "centre": ["20 mm", "0 mm"]},
        ],
        "circuit": [{"name": "feed", "current": "600 A", "out": ["a"], "back": ["b"]}],
    } | more


def solved(**more: Any) -> Result:
    return solve_case(checked_case(case(**more)))


def chapter(result: Result, key: str) -> Chapter:
    return next(c for c in result.chapters if c.key == key)


@cache
def shipped() -> Result:
    return solve_case(read_case(CASES / "switchboard-in-air.toml"))


def test_shipped_case_gives_what_it_states() -> None:
    point = chapter(shipped(), "temperature").record["points"][0]
    middle = point["conductors"]["L.2"]
    assert middle["temperature_degc"] == pytest.approx(73.5, abs=0.1)
    assert middle["temperature_low_degc"] == pytest.approx(68, abs=0.5)
    assert middle["temperature_high_degc"] == pytest.approx(82, abs=0.5)
    assert point["rated"]["factor_on_currents"] * 1250 == pytest.approx(1560, abs=6)
    assert point["heat_balance"] < 1e-9
    boats, fault = chapter(shipped(), "duty").record["courses"]
    assert 70 < boats["conductors"]["L.2"]["highest_degc"] < 72
    rise = fault["conductors"]["L.2"]
    assert rise["end_degc"] - rise["start_degc"] == pytest.approx(6.6, abs=0.1)


def test_shipped_case_by_hand() -> None:
    """A lone 80 x 10 mm bar: 1656.8 A for 50 K above 40 degC, 12 % (Copper Development Association, Publication 22,
    in the references); with a rise as the current to the power 1.7, 1250 A and 10 % more loss bring about 34 K."""
    rise = 50 * (1250 * math.sqrt(1.10) / 1656.8) ** 1.7
    middle = chapter(shipped(), "temperature").record["points"][0]["conductors"]["L.2"]
    assert middle["temperature_degc"] - 40 == pytest.approx(rise, rel=0.2)


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
    assert not made.pictures
    assert {(m.value, m.error) for m in made.measured["temperature"]} == {(math.inf, 0.0)}
    assert result.conductors["a"].loss > 0
    json.dumps(made.record, allow_nan=False)


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
    json.dumps(made.record, allow_nan=False)


def test_what_the_cooling_does_not_use_or_lacks_is_said() -> None:
    """A breath of 0.01 m/s lies below what air does by itself; a run that rises has a length."""
    made = chapter(solved(cooling={"orientation": "vertical", "air_speed": "0.01 m/s"}), "temperature")
    assert any("air blown at 0.01 m/s is not counted" in text for text in made.warnings)
    assert any("states no length: 1 m is taken" in text for text in made.warnings)


def test_the_report_lists_metals_at_the_temperatures_found() -> None:
    from crosscurrent.cases.reporting import report_of

    made = report_of(shipped(), ())
    copper = [row for row in made.materials.rows if row[0] == "copper"]
    found = {
        f"{c.temperature:.4g}" for c in shipped().solutions[50.0].problem.conductors if c.material.name == "copper"
    }
    assert {row[1] for row in copper} == found
    hottest = max(float(temperature) for temperature in found)
    assert hottest > 70  # 73.5 degC at its hottest point; the case file states none
    # 58 MS/m with 0.393 %/K (IEC 60028)
    listed = [float(row[2]) for row in copper if float(row[1]) == hottest]
    assert listed == [pytest.approx(58 / (1 + 0.00393 * (hottest - 20)), rel=1e-3)]


def test_the_map_is_drawn_and_reads_in_grey() -> None:
    from crosscurrent.postprocess.pictures.temperature import WARMTH

    made = chapter(shipped(), "temperature")
    assert list(made.pictures) == ["temperature-50Hz"]
    text = " ".join(t.get_text() for t in made.pictures["temperature-50Hz"]().texts)
    assert "L.2: 73.5 °C (68 to 82)" in text
    lightness = [0.2126 * r + 0.7152 * g + 0.0722 * b for r, g, b, _ in (WARMTH(k / 20) for k in range(21))]
    assert all(a > b for a, b in pairwise(lightness))
    courses = chapter(shipped(), "duty").pictures
    assert list(courses) == ["duty-boats-50Hz"]
    assert courses["duty-boats-50Hz"]().axes[0].get_ylabel() == "temperature [°C]"


def test_a_duty_without_cooling_is_short_and_starts_at_the_stated_temperature() -> None:
    """Direct current through one round bar, after the k value of IEC 60364-5-54 (from memory): 143 A s^0.5/mm2 takes
    copper from 30 to 160 degC."""
    area = math.pi * 25
    result = solved(
        frequency={"at": ["0 Hz"]},
        conductor=[{"name": "a", "shape": "round", "diameter": "10 mm", "material": "copper"}],
        circuit=[{"name": "feed", "current": "100 A", "out": ["a"]}],
        duty=[{"name": "fault", "on": "1 s", "current": f"{143 * area} A", "start": "30 degC"}],
    )
    found = chapter(result, "duty").record["courses"][0]["conductors"]["a"]
    assert found["start_degc"] == 30
    assert found["end_degc"] == pytest.approx(160, abs=5)


def test_a_metal_of_ones_own_needs_its_data_for_heat_in_time() -> None:
    rows = [row | {"material": "own"} for row in case()["conductor"]]
    own: dict[str, Any] = {"conductivity": "50 MS/m", "temperature_coefficient": "0.0039 /K"}
    duty = [{"name": "fault", "on": "1 s", "current": "10 kA"}]
    lacking = chapter(solved(conductor=rows, material={"own": own}, duty=duty), "duty")
    assert any("density or heat_capacity of own is not known" in text for text in lacking.warnings)
    full = own | {"density": "8900 kg/m3", "heat_capacity": "385 J/(kg*K)", "thermal_conductivity": "350 W/(m*K)"}
    known = chapter(solved(conductor=rows, material={"own": full}, duty=duty), "duty")
    assert not known.warnings
    # J^2 rho t / (density x heat capacity) at the mean of 40 and 50 degC, and a little for the eddies
    by_hand = (10e3 / 250e-6) ** 2 / 50e6 * (1 + 0.0039 * 25) / (8900 * 385)
    assert known.record["courses"][0]["conductors"]["a"]["end_degc"] - 40 == pytest.approx(by_hand, rel=0.03)


def test_conductivity_by_wiedemann_and_franz_is_said() -> None:
    rows = [row | {"material": "own"} for row in case()["conductor"]]
    made = chapter(solved(conductor=rows, material={"own": {"conductivity": "50 MS/m"}}, cooling={}), "temperature")
    assert any("thermal conductivity of own from Wiedemann and Franz" in text for text in made.record["assumptions"])


@pytest.mark.parametrize(
    ("text", "dimension", "value"),
    [
        ("10 min", "time", 600), ("2 h", "time", 7200), ("200 ms", "time", 0.2), ("1.5 km", "altitude", 1500),
        ("-100 m", "altitude", -100), ("36 km/h", "speed", 10), ("0 m/s", "speed", 0),
        ("391 W/(m*K)", "thermal conductivity", 391), ("0.385 kJ/(kg*K)", "heat capacity", 385),
    ],
)  # fmt: skip
def test_units(text: str, dimension: str, value: float) -> None:
    assert parse(text, dimension) == pytest.approx(value)


@pytest.mark.parametrize(
    ("text", "dimension"), [("5", "time"), ("12000 m", "altitude"), ("1 m", "speed"), ("1 d", "time")]
)
def test_what_is_no_time_altitude_or_speed(text: str, dimension: str) -> None:
    with pytest.raises(QuantityError):
        parse(text, dimension)


def test_a_sweep_keeps_the_stated_temperatures_and_says_so() -> None:
    both = {"at": ["50 Hz"], "sweep": {"from": "10 Hz", "to": "100 Hz", "points": 3}}
    made = chapter(solved(cooling={}, frequency=both), "temperature")
    assert [point["frequency_hz"] for point in made.record["points"]] == [50]
    assert any("the sweep keeps the temperatures stated" in text for text in made.warnings)
    alone = chapter(solved(cooling={}, frequency={"sweep": both["sweep"]}), "temperature")
    assert alone.record["points"] == []


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
    found = chapter(result, "temperature").record["points"][0]
    assert found["stable"]
    assert found["heat_balance"] < 1e-9
    assert 20 < found["conductors"]["wet"]["mean_temperature_degc"] < 40 < found["conductors"]["b"]["temperature_degc"]
