"""Kinds of section that the trade brings: the first screen, and how much the terminal says without being asked.

CROSSCURRENT_EXAMPLES=3000 adds those that take long and whose further questions have tests of their own.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from first_screen import check

from crosscurrent.__main__ import main

SECTIONS = sorted((Path(__file__).parent / "sections").glob("*.toml"))
LONG = () if "CROSSCURRENT_EXAMPLES" in os.environ else ("pulse", "seven-rods", "foils", "steel-trunking")
SHIPPED = ("water-cooled-feed", "shuttle-trefoil-neutral")  # run with the other shipped cases


@pytest.mark.usefixtures("no_pictures")
@pytest.mark.parametrize("path", [p for p in SECTIONS if p.stem not in LONG], ids=lambda path: path.stem)
def test_first_screen_and_length(path: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["run", str(path), "--out", str(tmp_path / "out")]) == 0
    first = check(capsys.readouterr().out)
    data = json.loads((tmp_path / "out" / "results.json").read_text(encoding="utf-8"))
    found = data["summary"]
    assert found["total_loss_w_per_m"] > 0
    assert all(c["resistance_ohm_per_m"] > 0 for c in found["circuits"])
    assert all(p["power_balance"] < 1e-9 for p in data["points"])
    assert found["in_words"] == [line.rstrip() for line in first[1:]]


def test_all_kinds_are_there() -> None:
    cases = Path(__file__).parents[2] / "cases"
    assert all((cases / f"{name}.toml").is_file() for name in SHIPPED)
    assert {path.stem for path in SECTIONS} == {
        "steel-trunking", "tube-over-floor", "coax", "angles-from-a-drawing", "foils", "strip-over-plate", "bimetal",
        "seven-rods", "chassis-return", "flange-with-bolt", "pulse",
    }  # fmt: skip
