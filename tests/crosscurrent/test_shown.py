"""What a result gives in Python: pictures that show themselves, curves as arrays, chapters."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from crosscurrent.api import case, circuit, conductor
from crosscurrent.comparing import compare
from crosscurrent.postprocess.files.results import as_csv
from crosscurrent.result import Result
from crosscurrent.run import solve_case


@pytest.fixture(scope="module")
def rod() -> Result:
    made = conductor("rod", "round", diameter="2 mm", material="copper")
    feed = circuit("feed", "10 A", out=["rod"])
    return solve_case(case("Rod", made, feed, at=["0 Hz", "1 kHz", "100 kHz"], length="2 m", limits={"loss": "1 W/m"}))


def test_a_curve_has_the_figures_of_every_frequency(rod: Result) -> None:
    curve = rod.curve("feed")
    assert curve["frequency_hz"].tolist() == [0.0, 1e3, 1e5]
    # copper of 58 MS/m: 1 / (sigma pi r^2)
    assert curve["resistance_ohm_per_m"][0] == pytest.approx(1 / (58e6 * np.pi * 1e-6), rel=1e-6)
    assert curve["total_loss_w"] == pytest.approx(2 * 100 * curve["resistance_ohm_per_m"], rel=1e-12)
    assert np.isnan(curve["reactance_ohm_per_m"]).sum() == 0


def test_a_curve_is_what_the_table_file_says(rod: Result) -> None:
    rows = [row for row in csv.DictReader(io.StringIO(as_csv(rod.heading, rod.points))) if row["name"] == "rod"]
    for key, values in rod.curve("rod").items():
        written = [float(row[key]) if row[key] else np.nan for row in rows]
        np.testing.assert_array_equal(values, written, err_msg=key)


def test_what_is_missing_at_a_frequency_is_nan(rod: Result) -> None:
    depth = rod.curve("rod")["skin_depth_m"]
    assert np.isnan(depth).tolist() == [True, False, False]
    assert depth[1] == pytest.approx(np.sqrt(2 / (2 * np.pi * 1e3 * 4e-7 * np.pi * 58e6)), rel=1e-6)


def test_a_picture_shows_itself_and_can_be_kept(rod: Result, tmp_path: Path) -> None:
    picture = rod.picture("current-density", at=1e5)
    content, size = picture._repr_png_()
    assert content.startswith(b"\x89PNG\r\n")
    assert size["width"] * 160 // 96 == pytest.approx(picture.size[0], abs=2)
    assert picture.save(tmp_path / "map.png").read_bytes() == content
    (drawn,) = (path for path in rod.draw(tmp_path, at=1e5) if path.name == "current-density-100kHz.png")
    # the file is laid out together with its SVG: text may sit a fraction of a pixel elsewhere
    shown, kept = (np.asarray(Image.open(source).convert("L"), dtype=float) for source in (io.BytesIO(content), drawn))
    assert shown.shape == kept.shape
    assert np.abs(shown - kept).mean() < 3.0


def test_a_comparison_shows_its_tables_and_has_a_short_name(rod: Result) -> None:
    other = solve_case(
        case("Thick", conductor("rod", "round", diameter="4 mm", material="copper"),
             circuit("feed", "10 A", out=["rod"]), at=["1 kHz"], length="2 m")
    )  # fmt: skip
    found = compare({"thin": rod, "thick": other})
    assert repr(found) == "<Comparison of thin, thick: 5 figures>"
    assert "<td>conductor rod: diameter</td><td>2 mm</td><td>4 mm</td>" in found._repr_html_()


def test_a_chapter_shows_itself(rod: Result) -> None:
    chapter = rod.chapter("limits")
    assert repr(chapter) == "<Chapter 'limits': Limits and verdict>"
    assert "<b>Limits and verdict</b>" in chapter._repr_html_()
    assert "the limit fails: loss at 100 kHz" in chapter._repr_html_()


def test_what_is_not_there_is_answered_with_what_is(rod: Result) -> None:
    with pytest.raises(KeyError, match=r"current-density, phase, .*found 'map'"):
        rod.picture("map")
    with pytest.raises(KeyError, match=r"a circuit or conductor \(feed, rod\), found 'fed'"):
        rod.curve("fed")
    with pytest.raises(KeyError, match=r"a chapter of this case \(limits, .*found 'water'"):
        rod.chapter("water")
