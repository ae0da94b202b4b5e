"""A result in Python: what it shows, plain numbers, pictures in a folder that cannot be, a case by its name."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest

import crosscurrent as cc
from crosscurrent.folders import OutputError


@pytest.fixture(scope="module")
def straps() -> cc.Result:
    plating = [{"material": "silver", "thickness": "20 um"}]
    made = [
        cc.conductor(n, "bar", material="brass", width="20 mm", thickness="2 mm", centre=("0 mm", y), plating=plating,
                     roughness="1 um")
        for n, y in (("a<b", "4 mm"), ("return", "-4 mm"))
    ]  # fmt: skip
    circuit = cc.circuit("strap", "30 A", out=["a<b"])
    return cc.solve(cc.case("Straps & lugs", made, circuit, at=["100 kHz"], length="40 mm"))


def test_a_notebook_sees_tables_sentences_warnings_and_cautions(straps: cc.Result) -> None:
    page = straps._repr_html_()
    assert "Straps &amp; lugs" in page
    assert "a&lt;b" in page
    assert "a<b" not in page
    assert "of the current in the" in page
    assert "<p>Warnings:</p>" in page
    assert "do not sum to zero" in page
    assert "<p>Cautions:</p>" in page
    assert all(text.split("'")[0][:40] in page for text in straps.cautions)
    assert "rms" in straps.cautions[0]


def test_case_and_result_in_one_line(straps: cc.Result) -> None:
    assert repr(straps.case) == "<Case 'Straps & lugs': conductors a<b, return; circuits strap; 100 kHz>"
    assert repr(straps) == f"<Result of {straps.case!r}>"


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from leaves(getattr(value, field.name), f"{path}.{field.name}")
    elif isinstance(value, Mapping):
        for key, inner in value.items():
            yield from leaves(inner, f"{path}[{key}]")
    elif isinstance(value, tuple):
        for k, inner in enumerate(value):
            yield from leaves(inner, f"{path}[{k}]")
    else:
        yield path, value


def test_every_number_is_plain(straps: cc.Result) -> None:
    found = dict(leaves(straps.points[0]))
    assert not [path for path, value in found.items() if isinstance(value, np.generic)]
    assert isinstance(found[".circuits[strap].loss"], float)


@pytest.mark.parametrize("below", ["", "inside"])
def test_pictures_cannot_go_into_a_file(straps: cc.Result, tmp_path: Path, below: str) -> None:
    (tmp_path / "taken").write_text("")
    with pytest.raises(OutputError, match=r"taken.*: no pictures can be written there \(.*\)"):
        straps.draw(tmp_path / "taken" / below)


def test_a_case_file_can_be_solved_by_its_name(tmp_path: Path) -> None:
    text = """
    frequency.at = ["0 Hz"]
    conductor = [{ name = "rod", shape = "round", diameter = "10 mm", material = "copper" }]
    circuit = [{ name = "feed", current = "1 A", out = ["rod"] }]
    """
    (tmp_path / "rod.toml").write_text(text, encoding="utf-8")
    resistance = 1 / (58e6 * np.pi * 0.005**2)
    assert cc.solve(str(tmp_path / "rod.toml")).circuits["feed"].resistance == pytest.approx(resistance, rel=1e-9)
    with pytest.raises(cc.CaseError, match="no such file"):
        cc.solve(tmp_path / "road.toml")


def test_results_whose_case_needs_its_drawings(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The folder has the case file, its drawings stay where they are."""
    square = '<svg xmlns="http://www.w3.org/2000/svg" width="10mm" height="10mm" viewBox="0 0 10 10">'
    square += '<path d="M1 1H9V9H1Z"/></svg>'
    (tmp_path / "square.svg").write_text(square)
    monkeypatch.chdir(tmp_path)
    part = cc.drawing("s", file="square.svg", material="copper")
    made = cc.case("in", part, cc.circuit("f", "1 A", out=["s"]), at=["0 Hz"])
    (tmp_path / "in.toml").write_bytes(made.source)
    result = cc.solve("in.toml")
    result.write("left")
    with pytest.raises(cc.ResultsError, match="its case cannot be read; read the case where its drawings are"):
        cc.Result.read("left")
    assert cc.Result.read("left", case=result.case).points == result.points
