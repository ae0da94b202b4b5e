"""Results read back: every figure that was written, and files that are none."""

from __future__ import annotations

import json
from dataclasses import fields, replace
from pathlib import Path

import numpy as np
import pytest
from made_answers import PAIR, circuit, point

from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.postprocess.answers.answers import FaceAnswer, LayerAnswer, RoughnessAnswer
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.postprocess.files.read import OWN, ResultsError, read_document, read_results
from crosscurrent.postprocess.files.results import FORMAT, Heading, as_json, document

HEADING = Heading("Feed \u2126", "9.9", "0" * 64, length=2.0, warnings=("w", "x"), cautions=("c",))
ROUGH = replace(
    PAIR[0], roughness=RoughnessAnswer(1e-6, 1.2, 1.1, 1.3), sentence="it flows outside",
    layers={"copper": LayerAnswer(0.7, 0.6), "tin": LayerAnswer(0.3, 0.4)},
    faces=(FaceAnswer("outside", 0.9, 0.8, 1e-4), FaceAnswer("inside", None, None, None)),
)  # fmt: skip
STILL = replace(PAIR[1], loss_ratio=None, skin_depth=None, layers={}, faces=())
POINTS = (
    point(0.0),
    point(1e3, circuit(resistance=2e-3), circuit("idle", None)),
    point(85e3, conductors=(ROUGH, STILL)),
    replace(point(1e6), impedance=None),
)
CHAPTERS = (
    Chapter("limits", "limits", {"limits": [], "depth": {"a": None}}, sentences=("all pass", "none is near")),
    Chapter("stray_field", "stray field", {"points": [1.0, 2.5]}),
)


def test_every_field_of_every_answer_comes_back() -> None:
    heading, points, chapters = read_document(as_json(HEADING, POINTS, CHAPTERS), "results.json")
    assert heading == HEADING
    assert len(points) == len(POINTS)
    for found, written in zip(points, POINTS, strict=True):
        for field in fields(written):
            if field.name == "impedance":
                continue
            assert getattr(found, field.name) == getattr(written, field.name), field.name
        if written.impedance is None:
            assert found.impedance is None
        else:
            np.testing.assert_array_equal(found.impedance, written.impedance)
    assert [(c.key, c.title, c.record, c.sentences) for c in chapters] == [
        (c.key, c.title, c.record, c.sentences) for c in CHAPTERS
    ]


def test_what_is_read_is_written_again_to_the_letter() -> None:
    text = as_json(HEADING, POINTS, CHAPTERS)
    assert as_json(*read_document(text, "results.json")) == text


def test_all_of_a_document_that_is_no_chapter_is_known() -> None:
    assert {*document(HEADING, POINTS), "symmetry"} == set(OWN)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", r"expected a results document \(JSON\), found Expecting value"),
        ("title = 3", r"expected a results document \(JSON\)"),
        ("[1, 2]", "found 'something else'; run the case again"),
        ("{}", "found None; run the case again"),
        (json.dumps({"format": "crosscurrent-results/0"}), "found 'crosscurrent-results/0'; run the case again"),
        (json.dumps({"format": "crosscurrent-comparison/1"}), f'of the format "{FORMAT}", found'),
    ],
)
def test_text_that_is_no_results_document(text: str, found: str) -> None:
    with pytest.raises(ResultsError, match=f"^a/results.json: .*{found}"):
        read_document(text, "a/results.json")


def test_a_folder_without_results(tmp_path: Path) -> None:
    with pytest.raises(ResultsError, match=r"results.json: expected the results of a run, found none that can be read"):
        read_results(tmp_path)
    (tmp_path / "results.json").write_bytes(b"\xff\xfe\xb0")
    with pytest.raises(ResultsError, match="found none that can be read"):
        read_results(tmp_path)
    (tmp_path / "results.json").unlink()
    (tmp_path / "results.json").mkdir()
    with pytest.raises(ResultsError, match="found none that can be read"):
        read_results(tmp_path)
    assert issubclass(ResultsError, (CrosscurrentError, ValueError))


def test_a_folder_with_results(tmp_path: Path) -> None:
    (tmp_path / "results.json").write_text(as_json(HEADING, POINTS), encoding="utf-8")
    heading, points, chapters = read_results(tmp_path)
    assert (heading, len(points), chapters) == (HEADING, 4, ())
