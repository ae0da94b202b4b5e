"""Which temperatures [limits] judges, from what a fault begins, and what is said of metals past their bounds."""

from __future__ import annotations

import math
from typing import Any

import pytest

from crosscurrent.cases import changes
from crosscurrent.cases.case import Case, checked_case
from crosscurrent.cases.changes import changed
from crosscurrent.cases.judged import verdicts
from crosscurrent.cases.limits import Limits
from crosscurrent.cases.run import Result, solve_case
from crosscurrent.geometries.section import Part
from crosscurrent.geometries.shapes import round_bar
from crosscurrent.postprocess.beyond import beyond, bound_warnings
from crosscurrent.postprocess.chapter import Measured
from crosscurrent.solver.materials import MATERIALS
from crosscurrent.solver.problem import Conductor

AREA = math.pi * 5e-3**2  # of a rod of 10 mm


@pytest.fixture(autouse=True)
def _without_help(monkeypatch: pytest.MonkeyPatch) -> None:
    """What would help is computed by further solutions, and tested elsewhere."""
    monkeypatch.setattr(changes, "helpful", lambda *_, **__: [])


def rod(current: str, **more: Any) -> Result:
    """The answers for it."""
    return solve_case(one_rod(current, **more))


def one_rod(current: str, **more: Any) -> Case:
    """One rod of copper at 0 Hz, dull, in air of 20 degC."""
    row = {"name": "rod", "shape": "round", "diameter": "10 mm", "material": "copper"} | more.pop("rod", {})
    circuit = [{"name": "feed", "current": current, "out": ["rod"]}]
    data = {"frequency": {"at": ["0 Hz"]}, "conductor": [row], "circuit": circuit, "cooling": {}} | more
    return checked_case({key: table for key, table in data.items() if table is not None})


def verdict(result: Result, limit: str) -> dict[str, Any]:
    rows = [row for row in result.chapter("limits").record["limits"] if row["limit"] == limit]
    assert len(rows) == 1
    found: dict[str, Any] = rows[0]
    return found


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


def test_less_current_of_a_repeated_duty_helps() -> None:
    """The steady 100 A bring next to nothing: what helps is less current of the duty, by some 19 % of the rise."""
    duty = [{"name": "boats", "current": "600 A", "on": "10 min", "off": "10 min"}]
    case = one_rod("100 A", limits=BARE, duty=duty)
    less = dict(changed(case, case.data))["10 % less current"]
    assert less.duty[0].current == pytest.approx(540)
    assert less.circuit[0].current == pytest.approx(90)
    once = one_rod("100 A", duty=[{"name": "short circuit", "current": "5 kA", "on": "1 s"}])
    assert dict(changed(once, once.data))["10 % less current"].duty[0].current == 5e3


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


def test_the_short_time_limit() -> None:
    """k = 143 A s^0.5/mm2 takes copper from 30 to 160 degC: IEC 60364-5-54, from memory."""
    current = f"{143 * AREA * 1e6} A"
    duty = [{"name": "short circuit", "current": current, "on": "1 s", "start": "30 degC"}]
    result = rod("100 A", duty=duty)
    for allowed, standing in (("200 degC", "pass"), ("150 degC", "fail"), ("160 degC", "cannot tell")):
        (found,) = verdicts(Limits.model_validate({"fault_temperature": allowed}), result, result.chapters)
        assert found.standing == standing
        assert found.found.value == pytest.approx(160, abs=4)
        assert (found.found.of, found.found.load) == ("rod", "after short circuit, 0 Hz")


def test_a_fault_begins_at_the_temperature_in_service() -> None:
    """From there the rise follows the adiabatic formula of IEC 60949 with 234.5 K and 226 A s^0.5/mm2, from memory."""
    fault = {"current": "5 kA", "form": "step", "duration": "1 s"}
    result = rod("350 A", fault=fault, limits={"fault_temperature": "200 degC", "loss": "1 kW/m"})
    warmest = result.chapter("temperature").record["points"][0]["conductors"]["rod"]["temperature_high_degc"]
    service = result.chapter("temperature").record["points"][0]["conductors"]["rod"]["mean_temperature_degc"]
    found = result.chapter("fault").record["conductors"]["rod"]
    assert service > 60
    assert found["temperature_before_degc"] == pytest.approx(service, abs=0.1)
    grown = math.exp((5e3 / (226 * AREA * 1e6)) ** 2)
    assert found["temperature_after_degc"] - service == pytest.approx((234.5 + service) * (grown - 1), rel=0.03)
    assert any(
        f"from {service:.1f} degC (steady temperature in service)" in s for s in result.chapter("fault").sentences
    )
    assert verdict(result, "fault_temperature")["verdict"] == "pass"
    loss = verdict(result, "loss")  # its error bar takes in the resistance at the warmest that air and finish allow
    assert loss["error"] / loss["value"] == pytest.approx((234.5 + warmest) / (234.5 + service) - 1, rel=0.03)
    stated = rod("350 A", fault=fault, cooling=None, rod={"temperature": "65 degC"})
    assert stated.chapter("fault").record["conductors"]["rod"]["temperature_before_degc"] == 65
    assert "(as stated)" in " ".join(stated.chapter("fault").sentences)


def test_a_fault_during_a_cycle_begins_at_its_peak() -> None:
    duty = [
        {"name": "boats", "on": "10 min", "off": "10 min"},
        {"name": "short circuit", "current": "5 kA", "on": "1 s"},
    ]
    cycle, once = rod("500 A", duty=duty).chapter("duty").record["courses"]
    assert once["start"] == "peak of the cycle boats"
    peak = cycle["conductors"]["rod"]["highest_degc"]
    assert once["conductors"]["rod"]["start_degc"] == pytest.approx(peak, abs=0.1)


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


def test_nickel_stops_being_magnetic_before_anything_melts() -> None:
    """Nickel's Curie temperature is 354 degC, that of iron 770 degC; copper melts at 1084.62 degC (CRC, ITS-90)."""
    nickel, steel = (MATERIALS[name] for name in ("nickel", "steel"))
    plated = Conductor(Part("rod", round_bar(0.01), (5e-6,)), MATERIALS["copper"], coats=(nickel,))
    assert beyond(plated, 353.0) is None
    assert getattr(beyond(plated, 355.0), "words", "") == 'the nickel of "rod" stops being magnetic at 354 degC'
    assert getattr(beyond(plated, 1100.0), "words", "") == 'the copper of "rod" begins to melt at 1084.6 degC'
    wall = Conductor(Part("wall", round_bar(0.01)), steel)
    assert getattr(beyond(wall, 800.0), "mark", "") == " (steel not magnetic)"
    # a band that reaches the bound makes it "may"
    figures = [Measured(340.0, 20.0, "degC", "rod", "steady, 50 Hz")]
    (warned,) = bound_warnings([plated], figures)
    assert "which it may reach" in warned


def test_what_a_limit_lacks_is_said() -> None:
    result = rod("100 A", limits={"temperature_touchable": "60 degC", "fault_temperature": "200 degC"})
    warned = " ".join(result.heading.warnings)
    assert "temperature_touchable: nothing to judge by; no conductor is touchable: name them in touchable" in warned
    assert "fault_temperature: nothing to judge by; it needs [fault], or a [[duty]] without off" in warned


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
