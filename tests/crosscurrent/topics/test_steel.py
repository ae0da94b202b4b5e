"""The chapter of steel at its field strength: what is told, what is refused, and how."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from topic_cases import bars, chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.reader import read_case
from crosscurrent.result import Result
from crosscurrent.run import solve_case

CURVE = "H [A/m], B [T]\n0, 0\n50, 0.05\n150, 0.5\n1000, 1.3\n10000, 1.7\n"
SHEET = {"conductivity": "6 MS/m", "initial_permeability": 1000, "saturation": "2 T"}


def beside_a_sheet(**more: Any) -> dict[str, Any]:
    """Two bars beside a steel sheet."""
    sheet = {"name": "sheet", "shape": "bar", "width": "120 mm", "thickness": "4 mm", "centre": ["0 mm", "-40 mm"],
             "material": "own"}  # fmt: skip
    return bars(**{"material": {"own": SHEET}, "accuracy": {"resistance": "1 %"}} | more) | {
        "conductor": [*bars()["conductor"], sheet]
    }


def solved(**more: Any) -> Result:
    return solve_case(checked_case(beside_a_sheet(**more)))


@pytest.fixture(scope="module")
def strong() -> Result:
    circuit = [{"name": "feed", "current": "20 kA", "out": ["a"], "back": ["b"]}]
    asked = {
        "waveform": {"frequency": "50 Hz", "harmonics": [{"order": 1, "current": "100 A"}]},
        "ladder": {"from": "50 Hz", "to": "1 kHz"},
        "fault": {"circuit": ["feed"], "current": "25 kA", "frequency": "50 Hz", "x_over_r": 8, "duration": "60 ms"},
        "slopes": {"of": ["a.width"]},
    }
    return solved(circuit=circuit, **asked)


def test_what_was_found_stands_beside_the_linear_answer(strong: Result) -> None:
    found: Any = chapter(strong, "steel").record
    (sheet,), (feed,) = found["conductors"], found["circuits"]
    point = strong.points[0]
    assert sheet["loss_w_per_m"] == pytest.approx(point.conductors["sheet"].loss, rel=1e-9)
    assert sheet["loss_error"] == pytest.approx(point.conductors["sheet"].loss_error, rel=1e-9)
    assert abs(sheet["linear_loss_w_per_m"] / sheet["loss_w_per_m"] - 1) > sheet["loss_error"]
    assert 1 < sheet["permeability_low"] < sheet["permeability_high"] < sheet["initial_permeability"]
    assert sheet["field_strength_crest_a_per_m"] > 1e3
    assert feed["inductance_h_per_m"] == pytest.approx(point.circuits["feed"].inductance, rel=1e-9)
    assert feed["linear_inductance_h_per_m"] > feed["inductance_h_per_m"]
    text = " ".join(chapter(strong, "steel").sentences)
    assert "no hysteresis" in text
    assert "superposition" in text


def test_it_replaces_the_warning_of_saturation(strong: Result) -> None:
    constant = {"conductivity": "6 MS/m", "permeability": 1000}
    circuit = [{"name": "feed", "current": "20 kA", "out": ["a"], "back": ["b"]}]
    plain = solved(circuit=circuit, material={"own": constant})
    assert any("likely to saturate" in text for text in plain.warnings)
    assert "steel" not in {one.key for one in plain.chapters}
    assert not any("likely to saturate" in text for text in strong.warnings)


def test_what_needs_a_constant_permeability_says_so(strong: Result) -> None:
    for start in ("no waveform", "no fault", "no ladder.cir"):
        (text,) = (text for text in strong.heading.warnings if text.startswith(start))
        assert '"sheet" has a magnetisation curve' in text
    assert "steel at its field strength gives no slopes" in " ".join(chapter(strong, "slopes").sentences)


def test_a_sweep_goes_point_by_point(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level("INFO", logger="crosscurrent")
    result = solved(frequency={"sweep": {"from": "50 Hz", "to": "100 Hz", "points": 2}})
    assert result.sweep is None
    assert 'frequency by frequency: conductor "sheet" has a magnetisation curve' in caplog.text
    assert [row["frequency_hz"] for row in chapter(result, "steel").record["conductors"]] == [50.0, 100.0]


def test_a_curve_out_of_a_file_and_a_red_hot_sheet(tmp_path: Path) -> None:
    (tmp_path / "curve.csv").write_text(CURVE, encoding="utf-8")
    text = """\
accuracy.resistance = "1 %"
[frequency]
at = ["50 Hz"]
[[conductor]]
name = "rod"
shape = "round"
diameter = "10 mm"
material = "own"
temperature = "TEMPERATURE"
[material.own]
conductivity = "6 MS/m"
magnetisation = "curve.csv"
[[circuit]]
name = "feed"
current = "100 A"
out = ["rod"]
"""
    case = tmp_path / "case.toml"
    case.write_text(text.replace("TEMPERATURE", "20 degC"), encoding="utf-8")
    result = solve_case(read_case(case))
    (rod,) = chapter(result, "steel").record["conductors"]  # type: ignore[misc]
    assert chapter(result, "steel").files == {"curve.csv": CURVE}  # the folder of the results can be run again
    assert rod["initial_permeability"] == pytest.approx(795.8, rel=1e-3)
    assert rod["permeability_high"] > rod["initial_permeability"]
    case.write_text(text.replace("TEMPERATURE", "780 degC"), encoding="utf-8")
    found = chapter(solve_case(read_case(case)), "steel")
    assert found.record["conductors"][0]["counts_as_air"]  # type: ignore[index,call-overload]
    assert "above its Curie temperature (770 degC)" in found.sentences[0]
