"""[[heating]] in a case file: an aluminium billet and a copper ring in a coil."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from topic_cases import chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.postprocess.answers.cautions import HOT_PIECE
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.result import Result
from crosscurrent.run import solve_case

DENSITY, CAPACITY = 2700.0, 900.0
METAL = {
    "conductivity": "30 MS/m", "density": "2700 kg/m3", "heat_capacity": "900 J/(kg*K)",
    "thermal_conductivity": "200 W/(m*K)",
}  # fmt: skip
STEEL = {
    "conductivity": "5 MS/m", "initial_permeability": 100, "saturation": "2 T", "density": "7800 kg/m3",
    "heat_capacity": "600 J/(kg*K)", "thermal_conductivity": "30 W/(m*K)",
}  # fmt: skip


def written(metal: dict[str, Any] = METAL, **heating: Any) -> dict[str, Any]:
    turn = {"shape": "round", "diameter": "6 mm", "material": "copper", "name": "turn", "centre": ["30 mm", "-8 mm"],
            "repeat": {"count": 3, "step": ["0 mm", "8 mm"]}}  # fmt: skip
    billet = {"name": "billet", "shape": "bar", "width": "40 mm", "thickness": "60 mm", "material": "own"}
    return {
        "title": "Billet",
        "symmetry": "axial",
        "frequency": {"at": ["5 kHz"]},
        "material": {"own": metal},
        "conductor": [billet, turn],
        "circuit": [{"name": "coil", "current": "500 A", "out": ["turn.*"], "sharing": "series"}],
        "heating": [{"piece": "billet", "time": "2 min"} | heating],
    }


ROUGH = {"resistance": "1 %"}


@pytest.fixture(scope="module")
def result() -> Result:
    return solve_case(checked_case(written(until="40 degC")))


def test_heat_balances_and_is_the_loss_of_the_field(result: Result) -> None:
    (piece,) = chapter(result, "heating").record["pieces"]
    heat, loss = piece["total_heat_j"], result.conductors["billet"].loss
    assert heat["imbalance"] < 1e-9
    assert heat["made"] == pytest.approx(120.0 * loss, rel=1e-9)
    assert heat["made"] == pytest.approx(heat["kept"] + heat["radiated"] + heat["to_air"], rel=1e-9)
    # kept is mass times heat capacity times the mean rise
    mass = DENSITY * np.pi * 0.02**2 * 0.06
    rise = piece["end"]["mean"]["degc"] - 20.0
    assert heat["kept"] == pytest.approx(mass * CAPACITY * rise, rel=1e-9)
    assert 0 < heat["to_air"] + heat["radiated"] < 0.2 * heat["made"]
    assert piece["total_power_start_w"] == pytest.approx(loss) == piece["total_power_end_w"]


def test_times_words_files_and_picture(result: Result, tmp_path: Path) -> None:
    found = chapter(result, "heating")
    (piece,) = found.record["pieces"]
    course = piece["courses"]
    for name in ("surface", "mean", "core"):
        when = piece["reached_s"][name]
        assert np.interp(when, course["time_s"], course[f"{name}_degc"]) == pytest.approx(40.0, abs=0.05)
    assert any("billet reaches 40 degC: its hottest point after" in text for text in found.sentences)
    hottest = f"billet is heated to {max(course['hottest_degc']):.0f} degC +-"
    assert result.summary.lines[2].startswith(f"Temperature: {hottest}")
    assert found.cautions == (HOT_PIECE,)
    assert piece["profile"]["r_m"][0] == 0.0
    assert piece["profile"]["r_m"][-1] == pytest.approx(0.02)
    assert piece["profile"]["degc"][0] == pytest.approx(piece["end"]["core"]["degc"], abs=1e-6)
    folder = result.write(tmp_path / "billet")
    lines = (folder / "heating-billet-5kHz.csv").read_text().splitlines()
    assert lines[0] == "time_s,surface_degc,mean_degc,core_degc,hottest_degc,coldest_degc"
    assert len(lines) == 1 + len(course["time_s"])
    assert (folder / "pictures" / "heating-billet-5kHz.png").stat().st_size > 10_000
    text = (folder / "results.json").read_text()
    assert json.loads(text)["heating"]["pieces"][0]["reached_s"] == piece["reached_s"]
    assert "per metre" not in " ".join(found.sentences)


def test_a_power_that_is_held() -> None:
    found = chapter(solve_case(checked_case(written(power="300 W", emissivity=0.01, film="0 W/(m2*K)"))), "heating")
    (piece,) = found.record["pieces"]
    assert piece["total_heat_j"]["made"] == pytest.approx(120 * 300.0, rel=1e-9)
    assert piece["total_heat_j"]["to_air"] == 0.0
    mass = DENSITY * np.pi * 0.02**2 * 0.06
    assert piece["end"]["mean"]["degc"] == pytest.approx(20 + 36000 / mass / CAPACITY, rel=1e-3)


def test_a_loss_that_stays_cold_is_told() -> None:
    table = written(METAL | {"temperature_coefficient": "0.004 /K"}, time="2 min")
    table["circuit"][0]["current"], table["accuracy"] = "3 kA", ROUGH
    warnings = chapter(solve_case(checked_case(table)), "heating").warnings
    (said,) = (text for text in warnings if "its loss is that at 20 degC all along" in text)
    assert said.endswith("write fields = 3 and an until above 20 degC, and it follows")


def test_steel_loses_its_power_above_the_curie_temperature() -> None:
    table = written(STEEL, until="900 degC", fields=2, time="40 s", film="9 W/(m2*K)")
    table["circuit"][0]["current"], table["accuracy"] = "3 kA", ROUGH
    found = chapter(solve_case(checked_case(table)), "heating")
    (piece,) = found.record["pieces"]
    assert any("passes the Curie temperature" in text and "its loss falls there" in text for text in found.warnings)
    assert piece["fields_at_degc"] == pytest.approx([20.0, 755.0, 785.0, 900.0])
    assert piece["end"]["mean"]["degc"] > 500
    assert piece["total_power_end_w"] < 0.7 * piece["total_power_start_w"]
    assert piece["total_heat_j"]["imbalance"] < 1e-9


def test_a_piece_hotter_than_its_last_field_is_told() -> None:
    """Its loss stays where the fields end, below the Curie temperature: hotter than with those beyond it."""

    def heated(until: str) -> Chapter:
        table = written(STEEL, until=until, fields=2, time="45 s", film="9 W/(m2*K)")
        table["circuit"][0]["current"], table["accuracy"] = "3 kA", ROUGH
        return chapter(solve_case(checked_case(table)), "heating")

    short, whole = heated("300 degC"), heated("2000 degC")
    ends = [found.record["pieces"][0]["end"]["mean"]["degc"] for found in (short, whole)]
    assert ends[0] > ends[1] + 50
    told = "\n".join(short.warnings)
    assert "where its loss falls: fields up to until, 300 degC, do not show it; write a higher until" in told
    assert f"no field is solved above 300 degC, though its mean reaches {ends[0]:.0f} degC" in told
    assert "its loss falls there" not in told
    assert not any("no field is solved above" in text for text in whole.warnings)


def test_what_passes_the_curie_temperature_with_one_field_is_told() -> None:
    table = written(STEEL | {"saturation": "2 T"}, time="40 s", film="9 W/(m2*K)")
    table["circuit"][0]["current"], table["accuracy"] = "5 kA", ROUGH
    table["conductor"][0]["material"] = "steel"
    warnings = chapter(solve_case(checked_case(table)), "heating").warnings
    assert any("passes the Curie temperature of steel" in text for text in warnings)


def test_metal_that_follows_its_temperature_keeps_its_heat() -> None:
    """Kept is the mass times the integral of c over temperature: (900 + T / 2) T of the mean rise T, and a little."""
    table = [{"at": "20 degC", "heat_capacity": "900 J/(kg*K)", "thermal_conductivity": "200 W/(m*K)"},
             {"at": "220 degC", "heat_capacity": "1100 J/(kg*K)", "thermal_conductivity": "300 W/(m*K)"}]  # fmt: skip
    data = written(METAL | {"heat_capacity": None}, over_temperature=table, film="0 W/(m2*K)", emissivity=0.05)
    data["accuracy"] = ROUGH
    data["material"]["own"].pop("heat_capacity")
    (piece,) = chapter(solve_case(checked_case(data)), "heating").record["pieces"]
    heat, rise = piece["total_heat_j"], piece["end"]["mean"]["degc"] - 20.0
    assert heat["imbalance"] < 1e-9
    mass = DENSITY * np.pi * 0.02**2 * 0.06
    spread = piece["end"]["hottest"]["degc"] - piece["end"]["coldest"]["degc"]
    excess = heat["kept"] / mass - (900.0 * rise + 0.5 * rise**2)  # half the variance over it, at most spread^2 / 8
    assert -1e-6 * heat["kept"] / mass < excess < spread**2 / 8
    assert piece["over_temperature"]["heat_capacity_j_per_kg_k"] == pytest.approx([900.0, 1100.0])


def test_a_table_over_temperature_is_of_plain_pieces() -> None:
    table = [{"at": "20 degC", "heat_capacity": "900 J/(kg*K)"}, {"at": "220 degC", "heat_capacity": "1100 J/(kg*K)"}]
    data = written(over_temperature=table)
    data["conductor"][0]["plating"] = [{"material": "tin", "thickness": "20 um"}]
    with pytest.raises(CaseError, match="a piece of one metal, plain"):
        checked_case(data)
