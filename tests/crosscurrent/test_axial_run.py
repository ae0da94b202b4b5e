"""A whole run round an axis: its figures, its names and its words."""

from __future__ import annotations

import json
import math
from pathlib import Path

import pytest

from crosscurrent.api import case, circuit
from crosscurrent.result import Result
from crosscurrent.run import solve_case

SIZE = {"shape": "bar", "width": "10 mm", "thickness": "6 mm", "material": "copper"}
TURNS = SIZE | {"name": "turn", "centre": ["35 mm", "-9 mm"], "repeat": {"count": 3, "step": ["0 mm", "9 mm"]}}
BILLET = {"name": "billet", "shape": "bar", "thickness": "40 mm", "material": "copper"}
COIL = circuit("coil", "100 A", out=["turn.*"], sharing="series")


@pytest.fixture(scope="module")
def result() -> Result:
    made = case("coil", [TURNS, BILLET | {"width": "30 mm"}], COIL, at=["0 Hz", "5 kHz"], symmetry="axial")
    return solve_case(made)


def test_at_rest_the_current_goes_as_one_over_the_radius(result: Result) -> None:
    """R of a ring of a rectangle is 2 pi / (sigma h ln(b/a)), from J = sigma V / (2 pi r)."""
    ring = 2 * math.pi / (58e6 * 6e-3 * math.log(40 / 30))
    coil = result.at("0 Hz").circuits["coil"]
    assert coil.turns == 3
    assert coil.resistance == pytest.approx(3 * ring, rel=1e-9)
    assert coil.dc_resistance == pytest.approx(3 * ring, rel=1e-9)
    assert coil.own_resistance == pytest.approx(3 * ring, rel=1e-9)


def test_losses_add_up_to_the_terminal_power(result: Result) -> None:
    point = result.at("5 kHz")
    assert point.circuits["coil"].loss == pytest.approx(sum(c.loss for c in point.conductors.values()), rel=1e-10)
    billet = point.conductors["billet"]
    assert billet.loss_ratio is None  # no current is led into it
    assert abs(billet.current) > 100.0  # against that of all three turns together, and not more than it
    assert billet.current.real < 0
    assert abs(billet.current) < 300.0


def test_half_a_billet_is_the_whole(result: Result) -> None:
    half = BILLET | {"width": "15 mm", "centre": ["7.5 mm", "0 mm"]}
    again = solve_case(case("coil", [TURNS, half], COIL, at=["5 kHz"], symmetry="axial"))
    assert again["coil"].resistance == pytest.approx(result.at("5 kHz").circuits["coil"].resistance, rel=1e-9)


def test_names_say_per_turn_or_total(result: Result, tmp_path: Path) -> None:
    folder = result.write(tmp_path / "coil")
    text = (folder / "results.json").read_text()
    assert "_per_m\"" not in text
    found = json.loads(text)
    assert found["symmetry"] == found["summary"]["symmetry"] == "axial"
    coil = found["points"][1]["circuits"]["coil"]
    assert coil["total_resistance_ohm"] == pytest.approx(3 * coil["resistance_ohm_per_turn"])
    assert coil["total_inductance_h"] == pytest.approx(3 * coil["inductance_h_per_turn"])
    assert found["points"][1]["conductors"]["turn.2"]["loss_w_per_turn"] > 0
    assert found["points"][1]["total_loss_w"] == pytest.approx(coil["total_loss_w"])
    head = (folder / "table.csv").read_text().splitlines()[0].split(",")
    assert "total_resistance_ohm" in head
    assert not [name for name in head if name.endswith("_per_m")]
    assert Result.read(folder).points == result.points
    assert Result.read(folder).summary == result.summary


def test_words_speak_of_turns(result: Result) -> None:
    words = [*result.summary.lines, result._repr_html_()]
    assert not [line for line in words for unit in ("W/m", "ohm/m", "H/m", "N/m", "per metre") if unit in line]
