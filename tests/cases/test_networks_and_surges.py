"""Ladder, waveform and fault of a case: what the run leaves, against closed forms and single solves."""

from __future__ import annotations

import json
import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from crosscurrent.cases.reader import read_case
from crosscurrent.cases.run import Result, solve_case
from crosscurrent.postprocess.chapter import Chapter
from crosscurrent.postprocess.results import as_json
from crosscurrent.solver.problem import Circuit, Problem
from crosscurrent.solver.solve import solve

ROOT = Path(__file__).resolve().parents[2]
MU0 = 4e-7 * math.pi
PAIR = """
title = "Two rods"
length = "2 m"
[frequency]
at = ["1 kHz"]
sweep = { from = "50 Hz", to = "20 kHz", points = 2 }
[[conductor]]
name = "rod"
shape = "round"
diameter = "6 mm"
material = "copper"
centre = ["-20 mm", "0 mm"]
repeat = { count = 2, step = ["40 mm", "0 mm"] }
[[circuit]]
name = "pair"
current = "10 A"
out = ["rod.1"]
back = ["rod.2"]
[waveform]
frequency = "1 kHz"
harmonics = [
    { order = 1, current = "10 A" }, { order = 3, current = "3 A", phase = "40 deg" }, { order = 7, current = "1 A" },
    { frequency = "0 Hz", current = "2 A" },
]
[fault]
current = "10 kA"
frequency = "50 Hz"
time_constant = "40 ms"
duration = "100 ms"
"""


def run(text: str, folder: Path) -> Result:
    path = folder / "case.toml"
    path.write_text(text, encoding="utf-8")
    return solve_case(read_case(path))


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> Result:
    return run(PAIR, tmp_path_factory.mktemp("pair"))


def chapters(result: Result) -> dict[str, Chapter]:
    return {chapter.key: chapter for chapter in result.chapters}


def test_what_the_run_leaves(pair: Result, tmp_path: Path) -> None:
    found = json.loads(as_json(pair.heading, pair.points, pair.chapters))
    assert {"waveform", "ladder", "fault"} <= set(found)
    text = chapters(pair)["ladder"].files["ladder.cir"]
    assert text.isascii()
    assert ".subckt run pair pair_end" in text
    assert "a run of 2 m" in text
    drawn = [(key, *chapters(pair)[key].pictures) for key in ("ladder", "waveform", "fault")]
    assert drawn == [("ladder", "ladder"), ("waveform", "waveform"), ("fault", "fault", "fault-density")]
    for key, *stems in drawn:
        for stem in stems:
            chapters(pair)[key].pictures[stem]().savefig(tmp_path / f"{stem}.png")


def test_the_fault_of_two_rods(pair: Result) -> None:
    """Peak factor of IEC 60909-0 (1.02 + 0.98 exp(-3 R / X)), force of two filaments, heat of the offset current."""
    record = chapters(pair)["fault"].record
    reactance = 2 * math.pi * 50 * 0.04
    kappa = 1.02 + 0.98 * math.exp(-3 / reactance)
    assert record["peak_current_a"] == pytest.approx(kappa * math.sqrt(2) * 10e3, rel=0.01)
    peak = record["peak_current_a"]
    for rod in record["conductors"].values():
        assert rod["peak_force_n_per_m"] == pytest.approx(MU0 / (2 * math.pi) * peak**2 / 0.04, rel=5e-3)
        assert rod["steady_force_n_per_m"] == pytest.approx(MU0 / (2 * math.pi) * 1e8 / 0.04, rel=5e-3)
    t = np.linspace(0, 0.1, 200_001)
    current = math.sqrt(2) * 10e3 * (np.exp(-t / 0.04) - np.cos(2 * math.pi * 50 * t))
    integral = float(np.trapezoid(current**2, t))
    assert record["joule_integral_a2s"]["pair"] == pytest.approx(integral, rel=1e-6)
    still = 1 / (58e6 * math.pi * 0.003**2)
    assert record["conductors"]["rod.1"]["energy_j_per_m"] == pytest.approx(still * integral, rel=2e-3)
    assert 1 < record["conductors"]["rod.1"]["hot_spot_ratio"] < 1.2


def test_the_waveform_of_two_rods(pair: Result) -> None:
    record = chapters(pair)["waveform"].record
    assert record["rms_current_a"] == pytest.approx(math.sqrt(100 + 9 + 1 + 4))
    assert record["left_out_loss_bound_w_per_m"] == 0
    problem, total = pair.case.problem(), 0.0
    for row, current in zip(record["harmonics"], (2, 10, 3, 1), strict=True):
        circuit = Circuit("pair", current, ("rod.1",), ("rod.2",))
        alone = solve(Problem(problem.conductors, (circuit,)), row["frequency_hz"])
        assert row["loss_w_per_m"] == pytest.approx(alone.fine.powers.real.sum(), rel=1e-3)
        total += row["loss_w_per_m"]
    assert record["loss_w_per_m"] == pytest.approx(total)
    assert record["resistance_ohm_per_m"] == pytest.approx(total / 114)
    assert record["total_loss_w"] == pytest.approx(2 * total)


def test_the_ladder_of_two_rods(pair: Result) -> None:
    record = chapters(pair)["ladder"].record
    assert record["cells"] <= 4
    assert max(record["resistance_error"], record["inductance_error"]) <= 0.01
    assert record["exact_resistance_at_rest_ohm_per_m"][0][0] == pytest.approx(
        2 / (58e6 * math.pi * 0.003**2), rel=1e-9
    )
    # two thin wires: mu0 / pi (ln(D / a) + 1/4) at rest; all current on the surface: mu0 / pi acosh(D / 2a)
    inside = MU0 / math.pi * (math.log(40 / 3) + 0.25)
    assert record["exact_inductance_at_rest_h_per_m"][0][0] == pytest.approx(inside, rel=1e-4)
    outside = MU0 / math.pi * math.acosh(20 / 3)
    assert record["exact_inductance_at_surface_h_per_m"][0][0] == pytest.approx(outside, rel=1e-4)
    ladder = chapters(pair)["ladder"].files["ladder.cir"]
    elements = [line.split() for line in ladder.splitlines() if line[0] in "RL"]
    assert float(elements[0][3]) == pytest.approx(2 * record["exact_resistance_at_rest_ohm_per_m"][0][0])


def test_a_rough_conductor_has_no_ladder_but_a_waveform(tmp_path: Path) -> None:
    text = PAIR.replace('material = "copper"', 'material = "copper"\nroughness = "1 um"')
    found = chapters(run(text[: text.index("[fault]")], tmp_path))
    assert found["ladder"].record == {"cells": None}
    assert "rough" in found["ladder"].warnings[0]
    assert not found["ladder"].files
    assert len(found["waveform"].record["harmonics"]) == 4


def test_a_step_and_a_half_sine(tmp_path: Path) -> None:
    head = PAIR[: PAIR.index("[waveform]")].replace("sweep", "# sweep")
    step = '[fault]\nform = "step"\ncurrent = "1 kA"\nduration = "1 s"\n'
    found = chapters(run(head + step, tmp_path))["fault"].record
    still = 1 / (58e6 * math.pi * 0.003**2)
    assert found["conductors"]["rod.2"]["energy_j_per_m"] == pytest.approx(1e6 * still, rel=1e-3)
    assert found["joule_integral_a2s"]["pair"] == pytest.approx(1e6, rel=1e-6)
    half = '[fault]\nform = "half-sine"\ncurrent = "1 kA"\nfrequency = "50 Hz"\nduration = "30 ms"\n'
    record = chapters(run(head + half, tmp_path))["fault"].record
    assert record["joule_integral_a2s"]["pair"] == pytest.approx(1e6 * 0.01, rel=1e-5)
    assert record["peak_current_a"] == pytest.approx(math.sqrt(2) * 1e3, rel=1e-3)


@cache
def shipped(name: str) -> dict[str, Chapter]:
    return chapters(solve_case(read_case(ROOT / "cases" / f"{name}.toml")))


def test_the_switchboard_as_its_answer_says() -> None:
    record = shipped("switchboard-fault")["fault"].record
    assert record["peak_current_a"] == pytest.approx(50.9e3, rel=2e-3)
    forces = [c["peak_force_n_per_m"] for c in record["conductors"].values()]
    assert max(forces) == pytest.approx(5.4e3, rel=0.01)
    # IEC 60865-1: mu0 / (2 pi) sqrt(3) / 2 i_p^2 / a, less for bars as tall as they are far apart (its factor k12)
    filaments = MU0 / (2 * math.pi) * math.sqrt(3) / 2 * record["peak_current_a"] ** 2 / 0.07
    assert 0.75 * filaments < max(forces) < 0.95 * filaments
    assert all(c["energy_j_per_m"] == pytest.approx(2.81e3, rel=5e-3) for c in record["conductors"].values())


def test_the_inverter_as_its_answer_says() -> None:
    found = shipped("feed-harmonics")
    record, ladder = found["waveform"].record, found["ladder"].record
    assert record["loss_w_per_m"] == pytest.approx(1275, rel=1e-3)
    assert record["resistance_ohm_per_m"] == pytest.approx(1.734e-3, rel=1e-3)
    rows = np.loadtxt(ROOT / "cases" / "inverter-current.csv", delimiter=",", skiprows=2)
    times, current = np.append(rows[:, 0], 1e3 / 85), np.append(rows[:, 1], rows[0, 1])
    fine = np.linspace(0, 1e3 / 85, 100_001)
    rms = math.sqrt(np.mean(np.interp(fine, times, current)[:-1] ** 2))
    assert record["rms_current_a"] == pytest.approx(rms, rel=1e-5)
    assert ladder["cells"] == 7
    assert max(ladder["resistance_error"], ladder["inductance_error"]) <= 0.005
