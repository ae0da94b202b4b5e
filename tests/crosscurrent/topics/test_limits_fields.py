"""Limits of sections round an axis: each judged by the figure that the answers have, in the units of such sections."""

from __future__ import annotations

import math
import tomllib
from typing import Any

import pytest
from topic_cases import chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.result import Result
from crosscurrent.run import solve_case
from crosscurrent.solver.field.saturation import strong_induction

LIMITS = {
    "loss": "100 W", "resistance": "1 ohm", "inductance": "2 uH", "force": "1 N", "hoop_stress": "2 MPa",
    "voltage": "30 V", "current": "150 A", "waste": "80 %", "leakage": "90 %", "flux_density": "50 mT",
    "piece_power": "1 kW", "piece_temperature": "500 degC", "tank_voltage": "30 V", "reactive_power": "10 kvar",
}  # fmt: skip


def turn(name: str, radius: str, height: str) -> dict[str, Any]:
    return {"name": name, "shape": "round", "diameter": "4 mm", "material": "copper", "centre": [radius, height]}


def written(limits: dict[str, Any], **more: Any) -> dict[str, Any]:
    """Two coils one above the other round a brass pin that stands in a ferrite cap."""
    return {
        "symmetry": "axial",
        "frequency": {"at": ["20 kHz"]},
        "accuracy": {"resistance": "1 %"},
        "material": {"ferrite": {"conductivity": "0 S/m", "permeability": 2000, "permeability_loss": 20}},
        "conductor": [
            turn("low", "20 mm", "-6 mm") | {"repeat": {"count": 2, "step": ["0 mm", "6 mm"]}},
            turn("high", "20 mm", "12 mm"),
            {"name": "pin", "shape": "bar", "width": "16 mm", "thickness": "20 mm", "material": "brass"},
            {"name": "cap", "shape": "bar", "width": "30 mm", "thickness": "6 mm", "material": "ferrite",
             "centre": ["0 mm", "20 mm"]},
        ],
        "coil": [
            {"name": "work", "turns": ["low.*"], "current": "100 A"},
            {"name": "pick", "turns": ["high"], "current": "1 A"},
        ],
        "power": {"into": ["pin"]},
        "tank": {"joined": "series", "coil": "work"},
        "heating": [{"piece": "pin", "time": "20 s"}],
        "limits": limits,
    } | more  # fmt: skip


@pytest.fixture(scope="module")
def judged() -> Result:
    return solve_case(checked_case(written(LIMITS)))


def rows(result: Result, limit: str) -> dict[str, dict[str, Any]]:
    found = chapter(result, "limits").record["limits"]
    return {row["of"]: row for row in found if row["limit"] == limit}


def test_every_limit_is_judged(judged: Result) -> None:
    record = chapter(judged, "limits").record
    assert {row["limit"] for row in record["limits"]} == {*LIMITS} - {"piece_power"}
    assert record["not_judged"] == ["piece_power"]  # the only piece is heated on purpose
    assert "a piece in no circuit that [power] does not name" in " ".join(chapter(judged, "limits").warnings)


def test_figures_are_those_of_the_answers_and_in_total(judged: Result) -> None:
    (point,), omega = judged.points, 2 * math.pi * 20e3
    circuit = point.circuits["work"]
    loss = rows(judged, "loss")["20 kHz"]
    assert (loss["value"], loss["unit"], loss["allowed"]) == (pytest.approx(point.total_loss), "W", 100.0)
    for limit, value, unit in (("resistance", circuit.resistance, "ohm"), ("inductance", circuit.inductance, "H")):
        row = rows(judged, limit)["work at 20 kHz"]
        assert (row["value"], row["unit"]) == (pytest.approx(value), unit)
    tank = chapter(judged, "tank").record["points"][0]
    assert rows(judged, "tank_voltage")["work at 20 kHz"]["value"] == pytest.approx(tank["tank_voltage_v"])
    reactive = rows(judged, "reactive_power")["work at 20 kHz"]["value"]
    assert reactive == pytest.approx(100.0**2 * omega * circuit.inductance)
    (pair,) = chapter(judged, "coils").record["pairs"]
    (leakage,) = rows(judged, "leakage").values()
    assert leakage["value"] == pytest.approx(1 - abs(pair["coupling_factor"]))
    heated = chapter(judged, "heating").record["pieces"][0]["end"]["hottest"]
    assert rows(judged, "piece_temperature")["pin at 20 kHz"]["value"] == pytest.approx(heated["degc"], rel=1e-6)


def test_forces_are_those_along_the_axis_and_add_up_to_nothing(judged: Result) -> None:
    force = rows(judged, "force")
    assert {name.split(" at ")[0] for name in force} == {"work", "pick", "pin", "cap"}
    assert max(row["value"] for row in force.values()) > 1e-3
    found = [row for row in rows(judged, "hoop_stress").values() if row["of"].startswith("low.2")]
    assert 0 < found[0]["value"] < 2e6


def test_flux_density_is_that_where_ferrite_is_strongest(judged: Result) -> None:
    solution, row = judged.solutions[20e3], rows(judged, "flux_density")["cap at 20 kHz"]
    number = solution.problem.names.index("cap")
    crest = strong_induction(solution.fine, number)
    assert crest is not None
    assert row["value"] == pytest.approx(crest)
    assert row["error"] < 0.1 * crest
    assert {name.split(" at ")[0] for name in rows(judged, "flux_density")} == {"cap"}


def test_a_fault_of_supports_pushes_as_its_square(judged: Result) -> None:
    stated = {"fault_current": "1 kA", "peak_factor": 1.8, "circuit": "work"}
    only: dict[str, Any] = {"tank": None, "heating": []}
    limits = {"force": "1 kN", "hoop_stress": "200 MPa"}
    case = written(limits, **only, supports=stated)
    struck = solve_case(checked_case({k: v for k, v in case.items() if v is not None}))
    for limit in limits:
        before, now = (list(rows(result, limit).values()) for result in (judged, struck))
        assert now[0]["of"].endswith("at the fault")
        assert [row["value"] for row in now] == pytest.approx([row["value"] * 18.0**2 for row in before], rel=1e-9)


def test_a_shield_is_limited_where_power_names_what_is_heated() -> None:
    shield = {"name": "shield", "shape": "bar", "width": "60 mm", "thickness": "1 mm", "material": "copper",
              "centre": ["0 mm", "30 mm"]}  # fmt: skip
    case = written({"piece_power": "1 mW"}, tank=None, heating=[])
    case["conductor"].append(shield)
    result = solve_case(checked_case({k: v for k, v in case.items() if v is not None}))
    found = rows(result, "piece_power")
    assert {name.split(" at ")[0] for name in found} == {"shield"}
    assert found["shield at 20 kHz"]["value"] == pytest.approx(result.points[0].conductors["shield"].loss)
    assert chapter(result, "limits").record["verdict"] == "fail"


def test_units_per_metre_are_refused_round_an_axis_and_the_case_is_written_back() -> None:
    with pytest.raises(CaseError, match=r'limits: expected a power .*found "600 W/m"'):
        checked_case(written({"loss": "600 W/m"}))
    with pytest.raises(CaseError, match="limits: expected a plane section"):
        checked_case(written({"voltage_drop": "2 V"}))
    case = checked_case(written({"loss": "600 W", "force": "2 kN"}))
    again = tomllib.loads(case.source.decode())
    assert again["limits"] == {"loss": "600 W", "force": "2 kN"}
    model = case.data.limits
    assert model is not None
    assert model.model_dump(mode="json", exclude_defaults=True) == {"loss": "0.6 kW", "force": "2 kN"}
