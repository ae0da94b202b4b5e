"""A study from its case file: its folder, and going on after an interruption."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from study_cases import ROD, STACK

from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case
from crosscurrent.geometries.errors import RunStopped
from crosscurrent.studies import run
from crosscurrent.studies.conduct import study_case
from crosscurrent.studies.store import Store

VARIED = """
[[vary]]
name = "size"
from = "10 mm"
to = "40 mm"
[study]
least = "resistance"
designs = 4
starts = 1
"""


def _file(folder: Path, text: str) -> Path:
    path = folder / "rod.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_folder_of_a_study(tmp_path: Path) -> None:
    said, folder = study_case(_file(tmp_path, ROD + VARIED), None)
    assert folder == tmp_path / "rod-study"
    found = json.loads((folder / "study.json").read_text())
    assert found["format"] == "crosscurrent-study/1"
    assert found["best"]["values"]["size"] == pytest.approx(0.04)
    assert found["at_edge"] == {"size": "high"}
    assert found["in_words"] == list(said.sentences)
    rows = list(csv.DictReader((folder / "designs.csv").open()))
    assert len(rows) == found["counts"]["designs"] >= 4
    assert all(float(row["size_m"]) * 1e3 > 9 for row in rows)
    assert read_case(folder / "best" / "case.toml").data.conductor[0].diameter == pytest.approx(0.04)
    with Store(folder / "designs.sqlite") as store:
        assert len(store) == len(rows)
    assert not list(tmp_path.glob("*.sqlite"))


def test_the_best_order_is_a_case(tmp_path: Path) -> None:
    _, folder = study_case(_file(tmp_path, STACK), tmp_path / "out")
    best = json.loads((folder / "study.json").read_text())["best"]
    total = json.loads((folder / "best" / "results.json").read_text())["points"][0]["total_loss_w_per_m"]
    assert total == pytest.approx(best["figures"]["loss_w_per_m"], abs=best["errors"]["loss_w_per_m"])


def test_a_stopped_study_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was found is kept beside the folder; the second run solves only the rest."""
    path = _file(tmp_path, ROD + VARIED)
    asked = iter([False, False, True])
    with pytest.raises(RunStopped, match="after 2 designs, which are kept"):
        study_case(path, None, stop=lambda: next(asked))
    assert (tmp_path / "rod-study.designs.sqlite").is_file()
    assert not (tmp_path / "rod-study").exists()
    solved: list[str] = []
    tried = run.tried
    monkeypatch.setattr(run, "tried", lambda trial: solved.append(trial.key) or tried(trial))
    study_case(path, None)
    assert len(solved) == len(set(solved)) == 2 + 1  # of four over the range, and one beside the best


def test_a_finished_study_solves_nothing_spread_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = _file(tmp_path, ROD + VARIED)
    study_case(path, None)
    monkeypatch.setattr(run, "tried", lambda trial: pytest.fail("solved again"))
    _, folder = study_case(path, None)
    assert (folder / "study.json").is_file()


def test_nothing_is_written_for_a_faulty_case(tmp_path: Path) -> None:
    with pytest.raises(CaseError):
        study_case(_file(tmp_path, ROD), None)
    assert [p.name for p in tmp_path.iterdir()] == ["rod.toml"]
