"""Which temperatures [limits] judges, and what is said of metals past their bounds."""

from __future__ import annotations

import math

import pytest
from topic_cases import rod, verdict

from crosscurrent.casefile.tables.limits import LimitsTable
from crosscurrent.result import Result
from crosscurrent.topics import limits
from crosscurrent.topics.limits_verdicts import verdicts

AREA = math.pi * 5e-3**2  # of a rod of 10 mm


@pytest.fixture(autouse=True)
def _without_help(monkeypatch: pytest.MonkeyPatch) -> None:
    """What would help is computed by further solutions, and tested elsewhere."""
    monkeypatch.setattr(limits, "helpful", lambda *_, **__: [])


def said(result: Result) -> str:
    return " / ".join(result.chapter("limits").sentences)


BARE = {"temperature_bare": "90 degC"}


def test_the_peak_of_a_cycle_is_judged_beside_the_steady_temperature() -> None:
    """200 A are well below 90 degC; 600 A for half of the time bring the mean heat of 424 A."""
    duty = [{"name": "boats", "current": "600 A", "on": "10 min", "off": "10 min"}]
    alone, cycled = rod("200 A", limits=BARE), rod("200 A", limits=BARE, duty=duty)
    assert verdict(alone, "temperature_bare")["verdict"] == "pass"
    assert verdict(alone, "temperature_bare")["load"] == "steady, 0 Hz"
    row = verdict(cycled, "temperature_bare")
    course = cycled.chapter("duty").record["courses"][0]["conductors"]["rod"]
    assert (row["verdict"], row["load"]) == ("fail", "peak of boats, 0 Hz")
    assert row["value"] == course["highest_degc"]
    assert row["value"] + row["error"] >= course["highest_degc_high"] > course["highest_degc"]
    assert "the limit fails: temperature bare of rod, peak of boats, 0 Hz" in said(cycled)
    assert "the worse of the steady one" in said(cycled)


def test_currents_that_come_and_go_are_not_judged_by_their_steady_temperature() -> None:
    """600 A would be far too much all the time, and the cycle is harmless; 2 kA have no steady temperature at all."""
    for current, on, off in (("600 A", "10 s", "110 s"), ("2 kA", "2 s", "10 min")):
        result = rod(current, limits=BARE, duty=[{"name": "boats", "on": on, "off": off}])
        row = verdict(result, "temperature_bare")
        assert (row["verdict"], row["load"]) == ("pass", "peak of boats, 0 Hz")
        # the heat of one pulse: J^2 rho t over 3.45 MJ/(K m3), IEC 60949 from memory, and what is left of the others
        pulse = (float(current.split()[0]) * (1e3 if "k" in current else 1) / AREA) ** 2 / 58e6
        assert row["value"] > 20 + pulse * float(on.split()[0]) / 3.45e6
        assert "not the steady ones" in said(result)


def test_a_cycle_that_runs_away_fails() -> None:
    duty = [{"name": "boats", "current": "3 kA", "on": "10 min", "off": "1 min"}]
    result = rod("200 A", limits={"temperature_bare": "450 degC"}, duty=duty)
    assert verdict(result, "temperature_bare")["verdict"] == "fail"
    assert verdict(result, "temperature_bare")["value"] is None
    assert "rod has no stable temperature (peak of boats" in said(result)
    held = result.summary.holds[0].words
    assert any("what would help temperature bare of rod" in text and held in text for text in
               result.chapter("limits").sentences)  # fmt: skip


def test_the_short_time_limit() -> None:
    """k = 143 A s^0.5/mm2 takes copper from 30 to 160 degC: IEC 60364-5-54, from memory."""
    current = f"{143 * AREA * 1e6} A"
    duty = [{"name": "short circuit", "current": current, "on": "1 s", "start": "30 degC"}]
    result = rod("100 A", duty=duty)
    for allowed, standing in (("200 degC", "pass"), ("150 degC", "fail"), ("160 degC", "cannot tell")):
        (found,) = verdicts(LimitsTable.model_validate({"fault_temperature": allowed}), result, result.chapters)
        assert found.standing == standing
        assert found.found.value == pytest.approx(160, abs=4)
        assert (found.found.of, found.found.load) == ("rod", "after short circuit, 0 Hz")


TINNED = {"plating": [{"material": "tin", "thickness": "10 um"}]}


def test_a_plating_that_would_melt_is_said_and_nothing_holds() -> None:
    """Tin melts at 231.9 degC (ITS-90)."""
    limits = {"temperature_plated": "300 degC", "loss": "1 kW/m"}
    result = rod("580 A", rod=TINNED, limits=limits)
    reached = verdict(result, "temperature_plated")
    assert 235 < reached["value"] < 300
    assert reached["verdict"] == "fail"
    assert verdict(result, "loss")["verdict"] == "cannot tell"
    words = 'the tin of "rod" begins to melt at 231.93 degC'
    assert said(result).startswith(f"as computed this cannot be: {words}, and it reaches")
    assert any(text.startswith(words) for text in result.heading.warnings)
    assert "(tin melts)" in str(result.chapter("temperature").tables[0].rows)
    assert result.chapter("temperature").record["points"][0]["conductors"]["rod"]["does_not_hold"] == words


def test_a_fault_that_melts_the_plating_is_said() -> None:
    duty = [{"name": "short circuit", "current": "17 kA", "on": "1 s"}]
    result = rod("100 A", rod=TINNED, duty=duty, limits={"loss": "1 kW/m"})
    assert result.chapter("duty").record["courses"][0]["conductors"]["rod"]["does_not_hold"]
    assert "tin of" in " ".join(result.heading.warnings)
    assert "hold, error bar" not in said(result)
    assert "cannot be" in said(result)


def test_what_a_limit_lacks_is_said() -> None:
    result = rod("100 A", limits={"temperature_touchable": "60 degC", "fault_temperature": "200 degC"})
    warned = " ".join(result.heading.warnings)
    assert "temperature_touchable: nothing to judge by; no conductor is touchable: name them in touchable" in warned
    assert "fault_temperature: nothing to judge by; it needs an answer of [fault], or of a [[duty]]" in warned


def test_a_runaway_hides_no_limit_that_is_judged_without_the_temperature() -> None:
    result = rod("2 kA", limits={"temperature_bare": "90 degC", "inductance": "100 uH/m", "loss": "1000 kW/m"})
    assert verdict(result, "temperature_bare")["verdict"] == "fail"
    assert verdict(result, "loss")["verdict"] == "cannot tell"
    assert verdict(result, "inductance")["verdict"] == "pass"
    assert result.chapter("limits").record["verdict"] == "fail"
