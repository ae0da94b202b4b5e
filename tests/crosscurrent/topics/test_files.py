"""Outlines from files in a case: with the hash of the file, and none where nothing was read."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from topic_cases import chapter, solved_bars

SQUARE = '<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20">{}</svg>'


def test_a_drawing_is_told_with_its_hash(tmp_path: Path) -> None:
    path = tmp_path / "square.svg"
    path.write_text(SQUARE.format('<path d="M 0 0 H 10 V 10 H 0 Z"/>'), encoding="utf-8")
    row = {"name": "a", "shape": "drawing", "file": str(path), "material": "copper"}
    circuit = [{"name": "feed", "current": "1 A", "out": ["a"]}]
    found = chapter(solved_bars(frequency={"at": ["0 Hz"]}, conductor=[row], circuit=circuit), "files").record["a"]
    assert found["sha256"] == hashlib.sha256(path.read_bytes()).hexdigest()
    assert (found["file"], found["outlines"], found["holes"]) == ("square.svg", 1, 0)
    assert found["area_m2"] == pytest.approx(1e-4)
