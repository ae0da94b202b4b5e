"""What a report says was asked for: complete, and in the words of the case."""

from __future__ import annotations

import pytest
from topic_cases import solved_tubes, tube

from crosscurrent.casefile.case import checked_case
from crosscurrent.report_answers import answer_groups
from crosscurrent.report_requirement import requirement
from crosscurrent.run import solve_case

PLATED = tube("go", "-10 mm") | {"plating": [{"material": "silver", "thickness": "5 um"}], "temperature": "70 degC"}


@pytest.fixture(scope="module")
def rows() -> dict[str, str]:
    circuits = [{"name": "feed", "current": "1000 A", "out": ["go"], "back": ["back"]}]
    result = solved_tubes(
        conductor=[PLATED, tube("back", "10 mm") | {"temperature": "50 degC"}],
        circuit=circuits,
        limits={"loss": "2 kW/m", "temperature_bare": "90 degC"},
        report={"requirement": "cool & quiet"},
        ambient="35 degC",
    )
    return dict(requirement(result))


def test_currents_frequency_and_length(rows: dict[str, str]) -> None:
    assert rows["asked for"] == "cool & quiet"
    assert rows["current of feed"] == "1 kA rms, out through go, back through back"
    assert rows["frequency"] == "0 Hz"
    assert rows["length of the run"] == "3 m (9.843 ft)"
    assert rows["ambient"] == "35 degC (95.0 degF)"


def test_metals_platings_and_temperatures(rows: dict[str, str]) -> None:
    assert rows["go"].startswith("copper, dia 12 (472.4)")
    assert "silver 5 um" in rows["go"]
    assert rows["back"].startswith("copper")
    assert "silver" not in rows["back"]
    assert rows["temperature"] == "50 to 70 degC as stated"


def test_limits(rows: dict[str, str]) -> None:
    assert rows["limits"] == "temperature bare 90 degC, loss 2 kW/m"


def test_what_cools_and_who_took_the_ambient() -> None:
    found = dict(requirement(solved_tubes(water=[{"conductors": ["go"], "inlet": "25 degC", "flow": "4 l/min"}])))
    assert found["water"] == "conductors go, inlet 25 degC, flow 4 l/min"
    assert found["temperature"].startswith("computed in water: ")
    assert dict(requirement(solved_tubes()))["temperature"].endswith("the ambient taken where none is stated")


def test_of_many_circuits_the_first_are_told() -> None:
    tubes = [tube(f"t{k}", f"{15 * k} mm") for k in range(9)]
    circuits = [{"name": f"c{k}", "current": "10 A", "out": [f"t{k}"], "back": ["t8"]} for k in range(8)]
    found = dict(requirement(solved_tubes(conductor=tubes, circuit=circuits)))
    assert found["2 more circuits"] == "see the case at the end"
    assert "current of c5" in found
    assert "current of c6" not in found


def test_a_wanted_power_and_its_tank_are_asked_for() -> None:
    turn = {"name": "turn", "shape": "round", "diameter": "4 mm", "material": "copper", "centre": ["20 mm", "0 mm"]}
    billet = {"name": "billet", "shape": "bar", "width": "20 mm", "thickness": "20 mm", "material": "brass"}
    case = {
        "symmetry": "axial", "frequency": {"at": ["20 kHz"]}, "conductor": [turn, billet],
        "coil": [{"name": "work", "turns": ["turn"], "current": "100 A"}],
        "power": {"into": ["billet"], "wanted": "1 kW"}, "tank": {"joined": "series"},
    }  # fmt: skip
    result = solve_case(checked_case(case))
    found = dict(requirement(result))
    assert found["power"] == "into billet, wanted 1 kW"
    assert found["tank"] == "joined series"
    scaled = result.points[0].circuits["work"].current
    assert found["current of work"] == f"{abs(scaled) / 1e3:.4g} kA rms, out through turn"
    assert "12.57 mm2" in found["turn"]  # pi / 4 times 4 mm squared
    total, *_ = answer_groups(result, result.points, 12)
    rows = {row.name: row.value for row in total.rows}
    assert rows["power into billet at 20 kHz"] == "1.000 kW"
    point = result.points[0]
    share = point.conductors["billet"].loss / point.total_loss
    assert rows["efficiency at 20 kHz"] == f"{100 * share:.4g} %"
