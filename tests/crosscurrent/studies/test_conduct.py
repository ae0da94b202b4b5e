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
from crosscurrent.studies import conduct
from crosscurrent.studies.conduct import study_case
from crosscurrent.studies.leave import record
from crosscurrent.studies.run import Study
from crosscurrent.studies.store import Store
from crosscurrent.studies.trial import tried

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
    commented = ROD.replace('size = "20 mm"', 'size = "20 mm"  # as in stock')
    said, folder = study_case(_file(tmp_path, commented + VARIED), None)
    assert folder == tmp_path / "rod-study"
    found = json.loads((folder / "study.json").read_text())
    assert found["format"] == "crosscurrent-study/1"
    assert found["best"]["values"]["size"] == pytest.approx(0.04)
    assert found["at_edge"] == {"size": "high"}
    assert found["in_words"] == list(said.sentences)
    rows = list(csv.DictReader((folder / "designs.csv").open()))
    assert len(rows) == found["counts"]["designs"] >= 4
    assert all(float(row["size_m"]) * 1e3 > 9 for row in rows)
    sizes = [float(row["size_m"]) for row in rows]  # whatever came first
    assert sizes == sorted(sizes)
    assert read_case(folder / "best" / "case.toml").data.conductor[0].diameter == pytest.approx(0.04)
    best = (folder / "best" / "case.toml").read_text()
    assert best == (commented + VARIED).replace('"20 mm"', '"40 mm"')
    with Store(folder / "designs.sqlite") as store:
        assert len(store) == len(rows)
    assert not list(tmp_path.glob("*.sqlite"))


@pytest.mark.usefixtures("no_pictures")
def test_the_best_order_is_a_case(tmp_path: Path) -> None:
    _, folder = study_case(_file(tmp_path, STACK), tmp_path / "out")
    best = json.loads((folder / "study.json").read_text())["best"]
    total = json.loads((folder / "best" / "results.json").read_text())["points"][0]["total_loss_w_per_m"]
    assert total == pytest.approx(best["figures"]["loss_w_per_m"], abs=best["errors"]["loss_w_per_m"])


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch) -> None:
    """No pictures and no result of the best design, which take most of the time of so small a study."""

    def numbers_alone(study: Study, folder: Path, *, report: bool) -> None:
        (folder / "study.json").write_text(json.dumps(record(study)))

    monkeypatch.setattr(conduct, "leave", numbers_alone)


def _designs(folder: Path) -> list[tuple[str, dict[str, float]]]:
    with Store(folder / "designs.sqlite") as store:
        return [(design.key, dict(design.figures)) for design in store]


def _solves(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, tuple[str, ...]]]:
    """What is solved from here on: key of the design, and the slopes that were wanted."""
    solved: list[tuple[str, tuple[str, ...]]] = []
    monkeypatch.setattr(conduct, "tried", lambda trial: solved.append((trial.key, trial.along)) or tried(trial))
    return solved


@pytest.mark.usefixtures("bare")
@pytest.mark.parametrize("after", [2, 5])
def test_a_stopped_study_goes_on(after: int, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Stopped among the four over the range, or on the way of a search: the second run solves only the rest."""
    path = _file(tmp_path, ROD + '[limits]\nloss = "2 W/m"\n' + VARIED.replace("resistance", "mass"))
    solved = _solves(monkeypatch)
    _, whole = study_case(path, tmp_path / "whole")
    wanted, designs = list(solved), _designs(whole)
    solved.clear()
    asked = iter([False] * (after - 1) + [True])
    with pytest.raises(RunStopped, match=r"after \d designs, which are kept"):
        study_case(path, None, stop=lambda: next(asked))
    assert (tmp_path / "rod-study.designs.sqlite").is_file()
    assert not (tmp_path / "rod-study").exists()
    assert len(solved) == after
    _, folder = study_case(path, None)
    assert solved == wanted
    assert len(wanted) == 7
    assert _designs(folder) == designs


@pytest.mark.usefixtures("bare")
def test_a_finished_study_solves_nothing_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = _file(tmp_path, ROD + VARIED)
    study_case(path, None)
    solved = _solves(monkeypatch)
    _, folder = study_case(path, None)
    assert not solved
    assert len(_designs(folder)) == 5


@pytest.mark.usefixtures("bare")
def test_another_study_of_the_same_case(tmp_path: Path) -> None:
    """It does not read what an earlier one left there, which varied something else."""
    study_case(_file(tmp_path, ROD + VARIED), None)
    other = '[[vary]]\nname = "metal"\nvalues = ["copper", "silver"]\n[study]\nleast = "resistance"\n'
    _, folder = study_case(_file(tmp_path, ROD + other), None)
    with Store(folder / "designs.sqlite") as store:
        assert [design.values["metal"] for design in store] == ["copper", "silver"]


def test_nothing_is_written_for_a_faulty_case(tmp_path: Path) -> None:
    with pytest.raises(CaseError):
        study_case(_file(tmp_path, ROD), None)
    assert [p.name for p in tmp_path.iterdir()] == ["rod.toml"]
