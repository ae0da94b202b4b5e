"""The results document and the flat table: plain JSON, one row a frequency and name, the same figures in both."""

from __future__ import annotations

import csv
import io
import json
import math
from dataclasses import replace

import pytest
from made_answers import circuit, point

from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.files.results import FORMAT, ROUND_THE_AXIS, Heading, as_csv, as_json, curve

HEADING = Heading("Feed \u2126", "9.9", "0" * 64, length=2.0, warnings=("w",), cautions=("c",))
POINTS = (point(0.0), point(1e3, circuit(resistance=2e-3), circuit("idle", None)))


def test_the_document_is_plain_json() -> None:
    text = as_json(HEADING, POINTS, [Chapter("limits", "Limits", {"limits": []}, sentences=("all pass",))])
    found = json.loads(text, parse_constant=lambda name: pytest.fail(name))
    assert found["format"] == FORMAT
    assert (found["title"], found["length_m"]) == ("Feed \u2126", 2.0)
    assert (found["warnings"], found["cautions"]) == (["w"], ["c"])
    assert [p["frequency_hz"] for p in found["points"]] == [0.0, 1e3]
    feed = found["points"][1]["circuits"]["feed"]
    assert feed["voltage_v_per_m"] == [0.02, 2.0]
    assert feed["total_resistance_ohm"] == 4e-3
    assert found["points"][1]["total_loss_w"] == pytest.approx(2 * 0.2)
    assert found["points"][1]["circuits"]["idle"]["resistance_ohm_per_m"] is None
    assert found["points"][0]["impedance_ohm_per_m"]["order"] == ["rod", "back"]
    assert found["limits"] == {"limits": [], "in_words": ["all pass"]}


def test_round_an_axis_densities_stay_per_square_metre() -> None:
    assert "crest_current_density_a_per_m2" in ROUND_THE_AXIS["peak_current_density_a_per_m2"]


def test_an_impedance_that_is_not_known_is_null() -> None:
    found = json.loads(as_json(HEADING, [replace(point(1e3), impedance=None)]))["points"][0]["impedance_ohm_per_m"]
    assert (found["real"], found["imag"]) == (None, None)


def test_the_table_has_a_row_for_every_frequency_and_name() -> None:
    rows = list(csv.DictReader(io.StringIO(as_csv(HEADING, POINTS))))
    assert [(row["frequency_hz"], row["kind"], row["name"]) for row in rows] == [
        ("0.0", "circuit", "feed"), ("0.0", "conductor", "rod"), ("0.0", "conductor", "back"),
        ("1000.0", "circuit", "feed"), ("1000.0", "circuit", "idle"), ("1000.0", "conductor", "rod"),
        ("1000.0", "conductor", "back"),
    ]  # fmt: skip
    assert (rows[3]["voltage_v_per_m_re"], rows[3]["voltage_v_per_m_im"]) == ("0.02", "2.0")
    assert (rows[1]["force_n_per_m_x"], rows[1]["force_n_per_m_y"]) == ("3.0", "-4.0")
    assert rows[4]["resistance_ohm_per_m"] == ""
    assert "faces" not in rows[0]


def test_a_curve_is_a_column_of_the_table() -> None:
    found = curve(POINTS, "feed", 2.0)
    assert found["resistance_ohm_per_m"].tolist() == [1e-3, 2e-3]
    assert found["total_loss_w"].tolist() == pytest.approx([0.2, 0.4])
    assert "total_loss_w" not in curve(POINTS, "feed")
    assert curve(POINTS, "rod")["force_n_per_m_y"].tolist() == [-4.0, -4.0]
    gaps = curve((point(0.0), point(1e3, circuit(resistance=None))), "feed")
    assert math.isnan(gaps["resistance_ohm_per_m"][1])


def test_an_unknown_name() -> None:
    with pytest.raises(KeyError):
        curve(POINTS, "fed")
