"""The shipped cases: listed with their questions, copied whole or not at all, and travelling in the wheel."""

from __future__ import annotations

from pathlib import Path

import pytest

from crosscurrent.casefile.reader import read_case
from crosscurrent.examples import UnknownExample, copied, known, shipped
from crosscurrent.folders import OutputError

CASES = Path(__file__).resolve().parents[2] / "cases"


def test_every_shipped_case_asks_and_answers() -> None:
    assert [example.name for example in shipped()] == sorted(path.stem for path in CASES.glob("*.toml"))
    for example in shipped():
        assert "?" in example.question, example.name
        assert example.answer, example.name
        assert example.title == read_case(CASES / f"{example.name}.toml").title


def test_every_case_comes_with_what_it_reads(tmp_path: Path) -> None:
    for example in shipped():
        files = copied(example, tmp_path)
        assert files == (f"{example.name}.toml", *example.files)
        for name in files:
            assert (tmp_path / name).read_bytes() == (CASES / name).read_bytes(), name
        if example.files:
            read_case(tmp_path / f"{example.name}.toml")
    assert {path.name for path in tmp_path.iterdir()} >= {"drawings", "inverter-current.csv"}


def test_nothing_is_overwritten_and_nothing_half_is_left(tmp_path: Path) -> None:
    (tmp_path / "inverter-current.csv").write_text("mine")
    with pytest.raises(OutputError, match=r"inverter-current[.]csv: there is such a file already"):
        copied(known("feed-harmonics"), tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["inverter-current.csv"]
    assert (tmp_path / "inverter-current.csv").read_text() == "mine"


def test_stopped_it_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    mkdir = Path.mkdir

    def stopped(self: Path, **how: bool) -> None:
        if self.name == "drawings":
            raise KeyboardInterrupt
        mkdir(self, **how)

    monkeypatch.setattr(Path, "mkdir", stopped)
    with pytest.raises(KeyboardInterrupt):
        copied(known("t-slot-busbar"), tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_an_unknown_name_is_a_key_and_a_value_error() -> None:
    with pytest.raises(UnknownExample, match=r'no shipped case "feed-facin"; did you mean "feed-facing"\?'):
        known("feed-facin")
    with pytest.raises(KeyError):
        known("")
    assert known("feed-facing.toml").name == "feed-facing"
