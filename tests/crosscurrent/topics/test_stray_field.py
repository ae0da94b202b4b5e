"""The table [field] of a case: what the chapter says beside the numbers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from topic_cases import chapter

from crosscurrent.casefile.reader import read_case
from crosscurrent.run import solve_case

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
    return chapter_of(folder, CASE.format(frequency=frequency, plating=plating))


def chapter_of(folder: Path, text: str) -> dict[str, Any]:
    (folder / "rod.toml").write_text(text, encoding="utf-8")
    found = chapter(solve_case(read_case(folder / "rod.toml")), "field")
    return {**found.record, "in_words": found.sentences, "rows": [row for table in found.tables for row in table.rows]}


@pytest.mark.parametrize("frequency", ["0 Hz", "500 MHz"])
def test_where_the_guidelines_have_no_level_it_is_said(tmp_path: Path, frequency: str) -> None:
    data = field_of(tmp_path, frequency)
    assert data["frequencies"][0]["reference_levels"] == []
    assert any("no level at this frequency" in text for text in data["in_words"])


def test_a_magnetic_coat_is_uncertain_too(tmp_path: Path) -> None:
    """A nickel skin thicker than its depth: the surface resistance goes with the root of the permeability."""
    data = field_of(tmp_path, "500 MHz", 'plating = [{ material = "nickel", thickness = "20 um" }]')
    band = data["frequencies"][0]["uncertain_permeability"]
    assert band["conductors"] == ["rod"]
    low, *_, high = band["loss_w_per_m"]["rod"]
    assert high / low == pytest.approx(10**0.5, rel=0.02)


def test_the_band_of_a_wall_holds_what_lies_between(tmp_path: Path) -> None:
    """A wall about as thick as its skin loses most at neither end of the band: the words take the largest and least."""
    text = CASE.format(frequency="50 Hz", plating="").replace("permeability = [50, 500]", "permeability = [100, 1000]")
    wall = '[[conductor]]\nname = "wall"\nshape = "bar"\nwidth = "100 mm"\nthickness = "3 mm"\nmaterial = "steel"\n'
    wall += 'centre = ["0 mm", "-30 mm"]\n[[circuit]]'
    field = chapter_of(tmp_path, text.replace("[[circuit]]", wall))
    band = field["frequencies"][0]["uncertain_permeability"]
    losses = [*band["loss_w_per_m"]["wall"], band["stated_loss_w_per_m"]["wall"]]
    assert max(losses) > 1.05 * max(losses[0], losses[-2])
    (words,) = [text for text in field["in_words"] if text.startswith("wall at 50 Hz: with a relative permeability")]
    assert f"{max(losses) * 1e6:.3g} uW/m" in words or f"{max(losses) * 1e3:.3g} mW/m" in words


def test_dark_core_distances_and_means_in_words(tmp_path: Path) -> None:
    """A core without field has none, and its bar; distances carry bars; each level says what it is a mean of."""
    text = CASE.format(frequency="1 MHz", plating="") + 'points = [{ name = "core", at = ["0 mm", "1 mm"] }]\n'
    data = chapter_of(tmp_path, text)
    (row,) = data["rows"]
    assert row[2] == "none"
    assert row[3].endswith("T")
    for level in data["frequencies"][0]["reference_levels"]:
        exact = 2e-7 * 10 / level["flux_density_t"] - 0.005
        assert abs(level["distance_m"] - exact) <= level["distance_error_m"] < 1e-2 * exact
    assert any("ICNIRP 2010, at any instant" in text for text in data["in_words"])
    assert any("ICNIRP 2020, whole body, mean over 30 minutes" in text for text in data["in_words"])
