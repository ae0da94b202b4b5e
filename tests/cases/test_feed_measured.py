"""The shipped case feed-measured, as its answer says."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shipped_cases import CASES, check_shipped, solved
from topic_cases import chapter

MU0, COPPER, ALPHA = 4e-7 * math.pi, 58e6, 0.00393  # IEC 60028


def rows() -> np.ndarray:
    text = (CASES / "feed-measured.csv").read_text(encoding="utf-8").replace(",", ".").splitlines()
    return np.array([[float(cell) for cell in line.split(";")] for line in text[5:]])


def test_states_question_and_answer_and_solves(capsys: pytest.CaptureFixture[str]) -> None:
    check_shipped("feed-measured", capsys)


def test_the_file_is_read_as_it_stands() -> None:
    record = chapter(solved("feed-measured"), "measured").record
    shown = np.array([[p["frequency_hz"], p["resistance_ohm"], p["inductance_h"], p["quality"]]
                      for p in record["points"]])  # fmt: skip
    assert shown[:, :3] == pytest.approx(rows()[:, :3] * [1e3, 1e-3, 1e-9])
    assert shown[:, 3] == pytest.approx(rows()[:, 3], rel=2e-3)  # its last digit


def test_the_bench_as_its_answer_says() -> None:
    record = chapter(solved("feed-measured"), "measured").record
    points = {p["frequency_hz"]: p for p in record["points"]}
    apart = {f: p["resistance_ohm"] / p["calculated_resistance_ohm"] - 1 for f, p in points.items()}
    assert apart[100] == pytest.approx(0.13, abs=0.005)
    assert all(abs(p["resistance_residual"]) < 2 for f, p in points.items() if f >= 30e3)
    off = [p["inductance_h"] / p["calculated_inductance_h"] - 1 for p in points.values()]
    assert max(off) == pytest.approx(0.10, abs=0.005)
    assert max(p["inductance_residual"] for p in points.values()) == pytest.approx(4.2, abs=0.1)


def test_the_shipped_bench_says_gap_and_joints() -> None:
    record = chapter(solved("feed-measured"), "measured").record["diagnosis"]
    assert record["verdict"] == "named"
    amounts = {one["key"]: one for one in record["explanations"][0]["causes"]}
    assert set(amounts) == {"gap", "contact"}
    assert amounts["gap"]["value"] == pytest.approx(1.12e-3, abs=3e-6)  # what the file was made with
    assert amounts["contact"]["value"] == pytest.approx(1.8e-5, abs=2 * amounts["contact"]["standard_uncertainty"])


def test_calculated_against_direct_current_and_wide_plates() -> None:
    """At 100 Hz the metal is nearly full; far above, L = mu0 (gap + skin) length / width, less a little by edges."""
    points = chapter(solved("feed-measured"), "measured").record["points"]
    sigma = COPPER / (1 + ALPHA * 2)
    rest = 2 * 2.4 / (sigma * (0.1 * 0.006 - 2 * (4 - math.pi) * 0.0005**2))
    assert rest < points[0]["calculated_resistance_ohm"] < 1.06 * rest
    skin = 1 / math.sqrt(math.pi * 300e3 * MU0 * sigma)
    assert points[-1]["calculated_inductance_h"] == pytest.approx(MU0 * (1e-3 + skin) * 2.4 / 0.1, rel=0.05)
    # the tolerance of the gap moves L by mu0 / width times it; the field that bulges out at the edges takes some of it
    wide = MU0 * 0.05e-3 * 2.4 / 0.1
    assert 0.9 * wide < points[-1]["calculated_inductance_tolerance_h"] < wide
