"""The table [field] of a case: what the chapter says beside the numbers."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from crosscurrent.__main__ import main

CASE = """
title = "Rod"
[frequency]
at = ["{frequency}"]
[[conductor]]
name = "rod"
shape = "round"
diameter = "10 mm"
material = "copper"
{plating}
[[circuit]]
name = "feed"
current = "10 A"
out = ["rod"]
[field]
permeability = [50, 500]
"""


def field_of(folder: Path, frequency: str, plating: str = "") -> dict[str, Any]:
    (folder / "rod.toml").write_text(CASE.format(frequency=frequency, plating=plating), encoding="utf-8")
    assert main(["run", str(folder / "rod.toml")]) == 0
    data: dict[str, Any] = json.loads((folder / "rod" / "results.json").read_text(encoding="utf-8"))["field"]
    return data


@pytest.mark.parametrize("frequency", ["0 Hz", "500 MHz"])
def test_where_the_guidelines_have_no_level_it_is_said(tmp_path: Path, frequency: str) -> None:
    data = field_of(tmp_path, frequency)
    assert data["frequencies"][0]["reference_levels"] == []
    assert any("no level at this frequency" in text for text in data["in_words"])


def test_a_magnetic_coat_is_uncertain_too(tmp_path: Path) -> None:
    """A nickel skin thicker than its depth: the surface resistance goes with the root of the permeability."""
    data = field_of(tmp_path, "20 MHz", 'plating = [{ material = "nickel", thickness = "20 um" }]')
    band = data["frequencies"][0]["uncertain_permeability"]
    assert band["conductors"] == ["rod"]
    low, high = band["loss_w_per_m"]["rod"]
    assert high / low == pytest.approx(10**0.5, rel=0.02)
