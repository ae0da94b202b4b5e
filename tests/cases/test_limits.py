"""Limits: pass, fail, cannot tell; what would help; and what could not be judged."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from crosscurrent.__main__ import main

CASE = """
title = "Pair"
length = "10 m"
[frequency]
at = ["0 Hz"]
[[conductor]]
name = "bar"
shape = "bar"
width = "50 mm"
thickness = "5 mm"
material = "own"
centre = ["0 mm", "-5 mm"]
repeat = {{ count = 2, step = ["0 mm", "10 mm"] }}
[material.own]
conductivity = "50 MS/m"
[[circuit]]
name = "feed"
current = "500 A"
out = ["bar.1"]
back = ["bar.2"]
[limits]
{limits}
"""
# 2 x 500 A^2 / (50 MS/m x 250 mm2): 40 W/m
LOSS = 2 * 500**2 / (50e6 * 250e-6)


def judged(folder: Path, limits: str) -> dict[str, Any]:
    (folder / "pair.toml").write_text(CASE.format(limits=limits), encoding="utf-8")
    assert main(["run", str(folder / "pair.toml")]) == 0
    data: dict[str, Any] = json.loads((folder / "pair" / "results.json").read_text(encoding="utf-8"))
    return data


def test_pass_and_fail_with_margins(tmp_path: Path) -> None:
    data = judged(tmp_path, 'loss = "39 W/m"\nvoltage_drop = "1 V"')
    loss, drop = data["limits"]["limits"]
    assert (loss["verdict"], drop["verdict"]) == ("fail", "pass")
    assert loss["value"] == pytest.approx(LOSS, rel=1e-6)
    assert loss["margin"] == pytest.approx(39 - LOSS, abs=1e-4)
    assert drop["value"] == pytest.approx(LOSS / 500 * 10, rel=1e-6)
    assert data["limits"]["in_words"][0].startswith("1 of 2 limits fail")


def test_a_limit_within_the_error_bar_cannot_be_told(tmp_path: Path) -> None:
    first = judged(tmp_path, 'inductance = "1 uH/m"')["limits"]["limits"][0]
    assert first["verdict"] == "pass"
    assert first["error"] > 0
    edge = first["value"] + 0.2 * first["error"]
    (tmp_path / "edge").mkdir()
    data = judged(tmp_path / "edge", f'inductance = "{edge * 1e9:.12f} nH/m"')
    assert data["limits"]["limits"][0]["verdict"] == "cannot tell"
    assert "nobody can tell" in data["limits"]["in_words"][0]


def test_what_would_help_is_computed(tmp_path: Path) -> None:
    """At direct current the loss goes with the square of the current and with one over width and thickness."""
    helps = judged(tmp_path, 'loss = "39 W/m"')["limits"]["would_help"]
    changes = {row["change"]: row["changes_value_by"] for row in helps}
    assert changes["10 % less current"] == pytest.approx(-0.19 * LOSS, rel=1e-3)
    assert changes["10 % more width"] == pytest.approx((1 / 1.1 - 1) * LOSS, rel=1e-3)
    assert changes["10 % more thickness"] == pytest.approx((1 / 1.1 - 1) * LOSS, rel=1e-3)
    assert changes["10 % more gap"] == pytest.approx(0, abs=1e-3)
    assert helps[0]["change"] == "10 % less current"


def test_force_in_service_is_the_peak(tmp_path: Path) -> None:
    """Two bars 10 mm apart between centres: below mu0 I^2 / (2 pi d), as wide bars push less; steady at 0 Hz."""
    force = judged(tmp_path, 'force = "20 N/m"')["limits"]["limits"][0]
    assert 0.2 < force["value"] / (2e-7 * 500**2 / 0.01) < 0.5
    assert math.isfinite(force["error"])


def test_what_cannot_be_judged_is_said(tmp_path: Path) -> None:
    data = judged(tmp_path, 'temperature_bare = "90 degC"\nfield = "1 mT"')
    assert data["limits"]["not_judged"] == ["temperature_bare", "field"]
    assert any("temperature_bare: nothing to judge by; it needs [cooling]" in text for text in data["warnings"])


def test_a_name_that_is_not_there_is_a_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "pair.toml").write_text(CASE.format(limits='touchable = ["lid"]'), encoding="utf-8")
    assert main(["run", str(tmp_path / "pair.toml")]) == 2
    assert '"lid"' in capsys.readouterr().err
