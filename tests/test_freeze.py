"""Answers that are kept: a part of them can be renewed."""

import json
import lzma
from pathlib import Path

import pytest
from frozen import freeze


def test_answers_of_other_cases_stay(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    told: list[str] = []
    monkeypatch.setattr(freeze, "tell", told.append)
    file = tmp_path / "answers.json.xz"

    def kept(said: str, only: str) -> dict[str, str]:
        monkeypatch.setattr(freeze, "run_all", lambda cases: dict.fromkeys(cases, freeze.Answer(0, said, "", {}, {})))
        freeze.store(file, only)
        return {key: answer["said"] for key, answer in json.loads(lzma.decompress(file.read_bytes())).items()}

    assert set(kept("before", "frozen/water-*").values()) == {"before"}
    now = kept("now", "water-flow")
    assert {key for key, said in now.items() if said == "now"} == {"frozen/water-flow"}
    assert len(now) > 1
    monkeypatch.setattr(freeze, "FOLDERS", {"frozen": tmp_path})  # no case is left
    assert not kept("now", "*")
    assert told[-1] == "0 cases, 0 values stored; 0 cases kept"
