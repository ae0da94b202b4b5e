"""[fault] in a case: against closed forms, and what it begins from."""

from __future__ import annotations

import math

import numpy as np
import pytest
from topic_cases import chapter, rod, solved_bars, solved_rods, verdict

MU0 = 4e-7 * math.pi
AREA = math.pi * 5e-3**2  # of a rod of 10 mm


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


def test_the_fault_of_two_rods() -> None:
    """Peak factor of IEC 60909-0 (1.02 + 0.98 exp(-3 R / X)), force of two filaments, heat of the offset current."""
    fault = {"current": "10 kA", "frequency": "50 Hz", "time_constant": "40 ms", "duration": "100 ms"}
    found = chapter(solved_rods(fault=fault), "fault")
    assert list(found.pictures) == ["fault", "fault-density"]
    record = found.record
    reactance = 2 * math.pi * 50 * 0.04
    kappa = 1.02 + 0.98 * math.exp(-3 / reactance)
    assert record["peak_current_a"] == pytest.approx(kappa * math.sqrt(2) * 10e3, rel=0.01)
    peak = record["peak_current_a"]
    for one in record["conductors"].values():
        assert one["peak_force_n_per_m"] == pytest.approx(MU0 / (2 * math.pi) * peak**2 / 0.04, rel=5e-3)
        assert one["steady_force_n_per_m"] == pytest.approx(MU0 / (2 * math.pi) * 1e8 / 0.04, rel=5e-3)
    t = np.linspace(0, 0.1, 200_001)
    current = math.sqrt(2) * 10e3 * (np.exp(-t / 0.04) - np.cos(2 * math.pi * 50 * t))
    integral = float(np.trapezoid(current**2, t))
    assert record["joule_integral_a2s"]["pair"] == pytest.approx(integral, rel=1e-6)
    still = 1 / (58e6 * math.pi * 0.003**2)
    assert record["conductors"]["rod.1"]["energy_j_per_m"] == pytest.approx(still * integral, rel=2e-3)
    assert 1 < record["conductors"]["rod.1"]["hot_spot_ratio"] < 1.2


def test_a_fault_warms_groups_of_strands_as_they_are_laid() -> None:
    """At 20 kHz groups of 84 strands of 0.2 mm add as much heat as they add loss; direct current adds none."""
    lead = {"name": "a", "shape": "bundle", "construction": "5 x 84", "strand_diameter": "0.2 mm", "material": "copper"}
    rail = {"name": "b", "shape": "round", "diameter": "8 mm", "centre": ["16 mm", "0 mm"], "material": "copper"}
    fault = {"current": "40 kA", "frequency": "20 kHz", "form": "half-sine", "duration": "25 us"}
    feed = {"name": "feed", "current": "100 A", "out": ["a"], "back": ["b"]}
    same = {"frequency": {"at": ["20 kHz"]}, "conductor": [lead, rail], "circuit": [feed]}
    result = solved_bars(**same, fault=fault)
    told = chapter(result, "fault")
    found = told.record["conductors"]["a"]
    (point,) = result
    assert point.bundles["a"].loss_high is not None
    begun = found["temperature_before_degc"]
    rise, most = (found[key] - begun for key in ("temperature_after_degc", "temperature_after_as_laid_degc"))
    assert most / rise == pytest.approx(point.bundles["a"].loss_high / point.bundles["a"].loss, rel=5e-3)
    assert most / rise > 1.05
    said = f"as its groups of strands are laid up to {begun + most:.1f} degC"
    assert any(line.endswith(said) for line in told.sentences)
    step = chapter(solved_bars(**same, fault={"current": "1 kA", "form": "step", "duration": "1 ms"}), "fault")
    still = step.record["conductors"]["a"]
    assert still["temperature_after_as_laid_degc"] == still["temperature_after_degc"]


def test_a_step_and_a_half_sine() -> None:
    step = {"form": "step", "current": "1 kA", "duration": "1 s"}
    found = chapter(solved_rods(fault=step), "fault").record
    still = 1 / (58e6 * math.pi * 0.003**2)
    assert found["conductors"]["rod.2"]["energy_j_per_m"] == pytest.approx(1e6 * still, rel=1e-3)
    assert found["joule_integral_a2s"]["pair"] == pytest.approx(1e6, rel=1e-6)
    half = {"form": "half-sine", "current": "1 kA", "frequency": "50 Hz", "duration": "30 ms"}
    record = chapter(solved_rods(fault=half), "fault").record
    assert record["joule_integral_a2s"]["pair"] == pytest.approx(1e6 * 0.01, rel=1e-5)
    assert record["peak_current_a"] == pytest.approx(math.sqrt(2) * 1e3, rel=1e-3)
