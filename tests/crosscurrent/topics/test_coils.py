"""The chapter "coils" of case files."""

from __future__ import annotations

import math

import pytest
from topic_cases import chapter

from crosscurrent.api import case, coil
from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.report_requirement import requirement
from crosscurrent.result import Result
from crosscurrent.run import solve_case

WIRE = {"shape": "round", "diameter": "4 mm", "material": "copper"}


def written(**more: object) -> dict[str, object]:
    turn = WIRE | {"name": "turn", "centre": ["40 mm", "0 mm"], "repeat": {"count": 3, "step": ["0 mm", "6 mm"]}}
    other = WIRE | {"name": "other", "centre": ["30 mm", "0 mm"], "repeat": {"count": 2, "step": ["0 mm", "6 mm"]}}
    work = {"name": "work", "turns": ["turn.*"], "current": "50 A", "taps": [1, 2]}
    return {
        "symmetry": "axial",
        "frequency": {"at": ["20 kHz"]},
        "conductor": [turn, other],
        "coil": [work, {"name": "second", "turns": ["other.*"], "shorted": True}],
    } | more


@pytest.fixture(scope="module")
def result() -> Result:
    return solve_case(checked_case(written()))


def test_turns_add_up_to_the_coil(result: Result) -> None:
    work, second = chapter(result, "coils").record["coils"]
    total = sum(complex(*turn["voltage_v_per_turn"]) for turn in work["turns"])
    assert abs(total) == pytest.approx(work["total_voltage_v"], rel=1e-10)
    assert [tap["turns"] for tap in work["taps"]] == [1, 2]
    first_two = sum(complex(*turn["voltage_v_per_turn"]) for turn in work["turns"][:2])
    assert complex(*work["taps"][1]["voltage_v"]) == pytest.approx(first_two)
    assert second["shorted"]
    assert second["total_voltage_v"] <= second["total_voltage_error_v"]
    assert abs(complex(*second["current_a"])) > 1.0


def test_a_report_asks_no_current_of_a_shorted_coil(result: Result) -> None:
    asked = dict(requirement(result))
    assert asked["current of work"].startswith("50 A rms through 3 turns in series")
    assert asked["current of second"].startswith("that which the others induce, its ends joined, through 2 turns")


def test_what_is_shorted_lowers_the_inductance_by_its_coupling(result: Result) -> None:
    """A coil with a shorted one beside it has L (1 - k^2 / (1 + 1 / Q2^2)): circuit theory.

    That leaves out the mutual resistance by eddy currents of either in the other, here a fiftieth of w M.
    """
    found = chapter(result, "coils").record
    work, (pair,) = found["coils"][0], found["pairs"]
    loaded = result.at("20 kHz").circuits["work"]
    factor = 1 / (1 + 1 / found["coils"][1]["quality"] ** 2)
    expected = work["total_inductance_h"] * (1 - factor * pair["coupling_factor"] ** 2)
    assert loaded.inductance == pytest.approx(expected, rel=1e-3)
    assert 0 < pair["largest_efficiency_of_the_link"] < 1


def test_words_tell_voltages_coupling_and_what_is_left_out(result: Result) -> None:
    said = " ".join(chapter(result, "coils").sentences)
    for word in ("coupling factor", "between its ends", "tap after 2 turns", "shorted", "pitch of a helix"):
        assert word in said


@pytest.mark.parametrize(
    ("coil", "message"),
    [
        ({"name": "work", "turns": [], "current": "1 A"}, "at least one conductor"),
        ({"name": "work", "turns": ["turn.*"]}, "either current or shorted"),
        ({"name": "work", "turns": ["tern.*"], "current": "1 A"}, "tern"),
        ({"name": "work", "turns": ["turn.*"], "current": "1 A", "taps": [3]}, "tap between two turns"),
        ({"name": "work", "turns": ["turn.*"], "current": "1 A", "reversed": ["other.1"]}, "a turn of this coil"),
        ({"name": "work", "turns": ["turn.1", "turn.*"], "current": "1 A"}, "each turn once"),
        ({"name": "work", "turns": ["turn.*"], "shorted": True}, "a current above 0 A"),
    ],
)
def test_faults_of_coils(coil: dict[str, object], message: str) -> None:
    with pytest.raises(CaseError, match=message):
        checked_case(written(coil=[coil]))


def test_a_coil_in_a_plane_section_is_refused() -> None:
    with pytest.raises(CaseError, match="a section round an axis"):
        checked_case(written(symmetry="plane"))


def test_a_closed_ring_is_no_turn() -> None:
    ring = WIRE | {"name": "ring", "centre": ["20 mm", "0 mm"], "closed": True}
    with pytest.raises(CaseError, match="closed ring"):
        checked_case(written(conductor=[ring], coil=[{"name": "work", "turns": ["ring"], "current": "1 A"}]))


def test_a_coil_made_in_python_is_that_of_the_case_file(result: Result) -> None:
    again = case(
        "coil",
        written()["conductor"],
        [coil("work", ["turn.*"], current="50 A", taps=[1, 2]), coil("second", ["other.*"], shorted=True)],
        at=["20 kHz"],
        symmetry="axial",
    )
    assert again.data.coil == result.case.data.coil
    with pytest.raises(CaseError, match="turns"):
        coil("work", [], current="50 A")


@pytest.mark.parametrize("table", ["waveform", "fault"])
def test_a_shorted_coil_is_given_no_current(table: str) -> None:
    with pytest.raises(CaseError, match='name work: what is shorted answers by itself'):
        checked_case(written(**{table: {"circuit": ["second"]}}))


def test_beside_a_shorted_coil_currents_over_time_and_frequency_are_followed() -> None:
    """It answers what the single solve says, and the ladder stands for what is left at the terminals."""
    turn = WIRE | {"name": "turn", "centre": ["40 mm", "0 mm"]}
    other = WIRE | {"name": "other", "centre": ["30 mm", "0 mm"]}
    coils = [{"name": "work", "turns": ["turn"], "current": "50 A"},
             {"name": "second", "turns": ["other"], "shorted": True}]  # fmt: skip
    sine = {"frequency": "2 kHz", "harmonics": [{"order": 1, "current": "50 A"}]}
    fault = {"current": "1 kA", "frequency": "2 kHz", "time_constant": "0.5 ms", "duration": "1 ms"}
    sweep = {"from": "200 Hz", "to": "4 kHz", "points": 3}
    found = solve_case(checked_case(written(
        conductor=[turn, other], coil=coils, frequency={"at": ["2 kHz"], "sweep": sweep},
        accuracy={"resistance": "1 %"}, ladder={}, waveform=sine, fault=fault,
    )))  # fmt: skip
    point = found.at("2 kHz")
    assert found.sweep is not None
    last = found.points[-1].circuits["second"]
    assert abs(last.voltage) < 1e-9 < abs(last.current)
    assert chapter(found, "waveform").record["loss_w_per_turn"] == pytest.approx(point.total_loss, rel=2e-2)
    ladder = chapter(found, "ladder").record
    assert ladder["circuits"] == ["work"]
    assert chapter(found, "fault").record["circuits"] == ["work"]
    for name in ("ladder", "waveform", "fault"):
        assert any("second: shorted" in line for line in chapter(found, name).sentences), name
    resting = ladder["total_exact_resistance_at_rest_ohm"][0][0]  # of the driven coil alone
    assert resting == pytest.approx(point.circuits["work"].own_dc_resistance, rel=1e-9)


@pytest.mark.parametrize("strands", [7, 61])  # each solved for, or all as a medium
def test_a_bundle_is_one_turn_whatever_it_consists_of(strands: int) -> None:
    """At rest R of each turn is that of its strands side by side: 2 pi R / (sigma n pi d^2 / 4), about."""
    bundle = {
        "name": "turn", "shape": "bundle", "strands": strands, "strand_diameter": "0.5 mm", "lay": "transposed",
        "take_up": 1, "material": "copper", "centre": ["40 mm", "0 mm"],
        "repeat": {"count": 2, "step": ["0 mm", "8 mm"]},
    }  # fmt: skip
    work = {"name": "work", "turns": ["turn.*"], "current": "10 A", "taps": [1]}
    result = solve_case(checked_case(written(conductor=[bundle], coil=[work], frequency={"at": ["0 Hz", "2 kHz"]})))
    ring = 2 * math.pi * 0.04 / (58e6 * strands * math.pi / 4 * 0.5e-3**2)
    for point, found in zip(result.points, chapter(result, "coils").record["coils"], strict=True):
        coil = point.circuits["work"]
        assert coil.turns == 2
        assert [turn["conductor"] for turn in found["turns"]] == ["turn.1", "turn.2"]
        assert coil.loss == pytest.approx(point.total_loss, rel=1e-9)
        total = sum(complex(*turn["voltage_v_per_turn"]) for turn in found["turns"])
        assert total == pytest.approx(coil.voltage, rel=1e-9)
        assert coil.dc_resistance == pytest.approx(2 * ring, rel=5e-3)
        assert coil.own_dc_resistance == pytest.approx(coil.dc_resistance, rel=5e-3)
    assert result.points[0].circuits["work"].resistance == pytest.approx(2 * ring, rel=5e-3)


def test_a_circuit_in_series_counts_its_turns() -> None:
    """As many as the same turns as a coil."""
    circuit = {"name": "work", "out": ["turn.*"], "current": "50 A", "sharing": "series"}
    found = chapter(solve_case(checked_case(written(coil=[], circuit=[circuit]))), "coils")
    assert found.tables[0].rows[0][2] == "3"
    (work,) = found.record["coils"]
    total = sum(complex(*turn["voltage_v_per_turn"]) for turn in work["turns"])
    assert abs(total) == pytest.approx(work["total_voltage_v"], rel=1e-10)
