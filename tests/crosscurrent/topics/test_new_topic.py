"""The recipe "a further question" of DEVELOPERS.md holds: a table, a chapter and a line each make a whole topic."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pydantic import create_model

from crosscurrent import chapters
from crosscurrent.__main__ import main
from crosscurrent.casefile import case as casefile
from crosscurrent.casefile.entries import Length
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.model import CaseData
from crosscurrent.casefile.reader import read_case
from crosscurrent.casefile.tables.base import Table
from crosscurrent.postprocess.answers.chapter import Chapter, Measured
from crosscurrent.postprocess.answers.tables import TextTable
from crosscurrent.postprocess.report.render import as_html
from crosscurrent.report import report_of
from crosscurrent.run import solve_case
from crosscurrent.solved import SolvedCase

CASE = """
[frequency]
at = ["0 Hz"]
[[conductor]]
name = "rod"
shape = "round"
diameter = "10 mm"
material = "copper"
[[circuit]]
name = "feed"
current = "1 A"
out = ["rod"]
[shadow]
height = "2 m"
"""


class ShadowTable(Table):
    """How high a lamp hangs."""

    height: Length


def chapter(solved: SolvedCase) -> Chapter | None:
    asked = getattr(solved.case.data, "shadow", None)
    if asked is None:
        return None
    rows = tuple((c.name, f"{asked.height:g} m") for c in solved.case.problem().conductors)
    return Chapter(
        "shadow",
        "Shadow",
        {"height_m": asked.height},
        (TextTable("Shadows of the conductors", ("conductor", "lamp at"), rows),),
        ("the lamp hangs high",),
        ("a lamp too high dazzles nobody",),
        files={"shadow.txt": "dark\n"},
        measured={"shadow": (Measured(asked.height, 0.0, "m"),)},
    )


@pytest.fixture
def shadow(monkeypatch: pytest.MonkeyPatch) -> None:
    """The table in the case file and the chapter among the others."""
    larger = create_model("CaseData", __base__=CaseData, shadow=(ShadowTable | None, None))
    monkeypatch.setattr(casefile, "CaseData", larger)
    monkeypatch.setitem(chapters.CHAPTERS, "shadow", chapter)


def test_a_new_topic_reaches_every_output(
    shadow: None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "lamp.toml").write_text(CASE, encoding="utf-8")
    assert main(["run", str(tmp_path / "lamp.toml"), "--all"]) == 0
    said = capsys.readouterr().out
    data = json.loads((tmp_path / "lamp" / "results.json").read_text(encoding="utf-8"))
    report = as_html(report_of(solve_case(tmp_path / "lamp.toml"), ()))
    for text in ("Shadows of the conductors", "the lamp hangs high", "a lamp too high dazzles nobody"):
        assert text in " ".join(said.split())
        assert text in report
    assert data["shadow"] == {"height_m": 2.0, "in_words": ["the lamp hangs high"]}
    assert "a lamp too high dazzles nobody" in data["warnings"]
    assert (tmp_path / "lamp" / "shadow.txt").read_text(encoding="utf-8") == "dark\n"


def test_its_table_is_checked_like_any_other(shadow: None, tmp_path: Path) -> None:
    (tmp_path / "lamp.toml").write_text(CASE.replace('"2 m"', '"2 A"'), encoding="utf-8")
    with pytest.raises(CaseError, match="height"):
        read_case(tmp_path / "lamp.toml")


def test_without_it_the_table_is_unknown(tmp_path: Path) -> None:
    (tmp_path / "lamp.toml").write_text(CASE, encoding="utf-8")
    with pytest.raises(CaseError, match="shadow"):
        read_case(tmp_path / "lamp.toml")
