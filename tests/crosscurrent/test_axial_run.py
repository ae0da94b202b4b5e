"""A whole run round an axis: its figures, its names and its words."""

from __future__ import annotations

import csv
import html
import json
import math
import re
from pathlib import Path

import pytest
from topic_cases import chapter

from crosscurrent.api import case, circuit
from crosscurrent.casefile.case import checked_case
from crosscurrent.command.run_output import show_result
from crosscurrent.postprocess.answers.cautions import (
    CAPACITOR,
    HIGH_FREQUENCY,
    HOT_PIECE,
    INDUCTION,
    PULL,
    RESONANCE,
    in_short,
)
from crosscurrent.postprocess.report import as_html
from crosscurrent.report import report_of
from crosscurrent.result import Result
from crosscurrent.run import solve_case

SIZE = {"shape": "bar", "width": "10 mm", "thickness": "6 mm", "material": "copper"}
TURNS = SIZE | {"name": "turn", "centre": ["35 mm", "-9 mm"], "repeat": {"count": 3, "step": ["0 mm", "9 mm"]}}
BILLET = {"name": "billet", "shape": "bar", "thickness": "40 mm", "material": "copper"}
RING = 2 * math.pi / (58e6 * 6e-3 * math.log(40 / 30))  # of 10 x 6 mm from 30 mm, by J = sigma V / (2 pi r)
COIL = circuit("coil", "100 A", out=["turn.*"], sharing="series")


@pytest.fixture(scope="module")
def result() -> Result:
    made = case("coil", [TURNS, BILLET | {"width": "30 mm"}], COIL, at=["0 Hz", "5 kHz"], symmetry="axial")
    return solve_case(made)


def test_at_rest_the_current_goes_as_one_over_the_radius(result: Result) -> None:
    """R of a ring of a rectangle is 2 pi / (sigma h ln(b/a)), from J = sigma V / (2 pi r)."""
    coil = result.at("0 Hz").circuits["coil"]
    assert coil.turns == 3
    assert coil.resistance == pytest.approx(3 * RING, rel=1e-9)
    assert coil.dc_resistance == pytest.approx(3 * RING, rel=1e-9)
    assert coil.own_resistance == pytest.approx(3 * RING, rel=1e-9)


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


@pytest.mark.usefixtures("no_pictures")
def test_names_say_per_turn_or_total(result: Result, tmp_path: Path) -> None:
    folder = result.write(tmp_path / "coil")
    text = (folder / "results.json").read_text()
    assert not re.findall(r'"\w*_(?:w|ohm|h|v|n)_per_m"', text)
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


@pytest.mark.usefixtures("no_pictures")
def test_a_sweep_is_one_reduced_model_with_names_in_total(tmp_path: Path) -> None:
    band = {"from": "100 Hz", "to": "2 kHz", "points": 5}
    made = case("coil", [TURNS, BILLET | {"width": "30 mm"}], COIL, sweep=band, symmetry="axial",
                ladder={"from": "100 Hz", "to": "2 kHz", "bound": "0.5 %"},
                slopes={"of": ["billet.thickness"]})  # fmt: skip
    folder = solve_case(made).write(tmp_path / "coil")
    with (folder / "sweep.csv").open() as lines:
        head = next(csv.reader(lines))
    assert {"coil: total_resistance_ohm", "coil: total_inductance_h", "billet: loss_w_per_turn"} <= set(head)
    with (folder / "slopes.csv").open() as lines:
        head = next(csv.reader(lines))
    assert {"total_loss_w_per_si", "coil: total_resistance_ohm_per_si"} <= set(head)
    found = json.loads((folder / "results.json").read_text())
    assert found["sweep"]
    assert found["ladder"]["total_exact_resistance_at_rest_ohm"][0][0] == pytest.approx(3 * RING, rel=1e-9)
    assert found["ladder"]["length_m"] is None
    text = (folder / "ladder.cir").read_text()
    assert "/m" not in text
    assert f"R0 coil n0 {3 * RING:.7g}"[:-1] in text


def test_changed_cases_stay_round_the_axis() -> None:
    """R at rest goes with one over conductivity: within 0.5 % its band is as wide, but for the square of that."""
    own = {"own": {"conductivity": "58 MS/m +- 0.5 %"}}
    made = case("coil", [TURNS | {"material": "own"}], COIL, at=["0 Hz"], symmetry="axial", materials=own)
    point = solve_case(made).chapter("tolerance").record["points"][0]
    low, high = point["circuits"]["coil"]["total_resistance_ohm"]["worst_case"]
    assert low == pytest.approx(3 * RING / 1.005, rel=1e-4)
    assert high == pytest.approx(3 * RING / 0.995, rel=1e-4)


def test_what_a_hot_piece_of_steel_asks_of_people_is_on_the_terminal_and_in_the_report(
    capsys: pytest.CaptureFixture[str],
) -> None:
    """A power that no current within the limit brings, a piece past its Curie temperature, all cautions of coils."""
    billet = BILLET | {"width": "30 mm", "material": "steel"}
    coil = {"name": "work", "turns": ["turn.*"], "current": "300 A"}
    tables = {
        "symmetry": "axial", "frequency": {"at": ["5 kHz"]}, "accuracy": {"resistance": "2 %"},
        "conductor": [TURNS, billet], "coil": [coil], "power": {"wanted": "9 kW", "into": ["billet"]},
        "tank": {"joined": "parallel"}, "limits": {"current": "200 A"},
        "heating": [{"piece": "billet", "time": "30 s"}],
    }  # fmt: skip
    result = solve_case(checked_case(tables))
    page = html.unescape(as_html(report_of(result, [])))
    show_result(result, Path("out"), everything=True)
    told = " ".join(capsys.readouterr().out.split())
    for text in (INDUCTION, PULL, CAPACITOR, RESONANCE, HOT_PIECE, HIGH_FREQUENCY):
        assert text in result.cautions
        assert text in page
        assert " ".join(text.split()) in told
    for words in ("no current within the limit of 200.0 A brings 9.000 kW", "passes the Curie temperature of steel"):
        assert any(words in text for text in result.heading.warnings), words
        assert words in page
        assert words in told
    show_result(result, Path("out"))
    brief = " ".join(capsys.readouterr().out.split())
    assert in_short(result.cautions) in brief
    assert "no current within the limit of 200.0 A" in brief
    assert chapter(result, "limits").record["verdict"] == "fail"
