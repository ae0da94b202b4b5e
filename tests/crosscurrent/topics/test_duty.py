"""[[duty]] in a case: short times, cycles, what a fault begins from."""

from __future__ import annotations

import math
from typing import Any

import pytest
from topic_cases import bars as case
from topic_cases import chapter, rod
from topic_cases import solved_bars as solved


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


def test_groups_of_strands_that_are_only_twisted_take_more_heat() -> None:
    """By what that adds to their loss: the same share of a small rise; the bar beside them warms as without."""
    lead = {"name": "a", "shape": "bundle", "construction": "5 x 84", "strand_diameter": "0.1 mm", "material": "copper"}
    rail = {"name": "b", "shape": "round", "diameter": "5 mm", "centre": ["9 mm", "0 mm"], "material": "copper"}
    result = solved(
        frequency={"at": ["85 kHz"]}, conductor=[lead, rail],
        circuit=[{"name": "feed", "current": "100 A", "out": ["a"], "back": ["b"]}],
        duty=[{"name": "start", "on": "1 s", "start": "30 degC"}], limits={"fault_temperature": "200 degC"},
    )  # fmt: skip
    found = chapter(result, "duty").record["courses"][0]["conductors"]
    (point,) = result
    laid = point.bundles["a"].loss_high
    assert laid is not None
    share = laid / point.bundles["a"].loss
    assert share > 1.05
    rise, most = (found["a"][key] - 30 for key in ("end_degc", "end_as_laid_degc"))
    assert most / rise == pytest.approx(share, rel=0.01)
    assert found["b"]["end_as_laid_degc"] == found["b"]["end_degc"]
    limits = {row["of"]: row["as_laid_up_to"] for row in chapter(result, "limits").record["limits"]}
    assert limits["a"] == pytest.approx(30 + most)
    assert limits["b"] is None


def test_a_fault_during_a_cycle_begins_at_its_peak() -> None:
    duty = [
        {"name": "boats", "on": "10 min", "off": "10 min"},
        {"name": "short circuit", "current": "5 kA", "on": "1 s"},
    ]
    cycle, once = rod("500 A", duty=duty).chapter("duty").record["courses"]
    assert once["start"] == "peak of the cycle boats"
    peak = cycle["conductors"]["rod"]["highest_degc"]
    assert once["conductors"]["rod"]["start_degc"] == pytest.approx(peak, abs=0.1)
