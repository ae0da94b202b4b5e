"""Kinds of pictures are found by themselves: a file of its own is all that a new one takes."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import crosscurrent.postprocess.pictures.kinds
from crosscurrent.api import case, circuit, conductor
from crosscurrent.postprocess.pictures import draw_pictures, picture, picture_kinds
from crosscurrent.postprocess.report import as_html
from crosscurrent.report import report_of
from crosscurrent.result import Result, drawn
from crosscurrent.run import solve_case

KINDS = crosscurrent.postprocess.pictures.kinds
DUMMY = '''
from matplotlib.figure import Figure

from crosscurrent.postprocess.pictures.kind import PictureKind


def draw(scene):
    figure = Figure(figsize=(1, 1))
    figure.text(0.1, 0.5, scene.at)
    return figure


KIND = PictureKind("dummy-map", 2.5, "A dummy", draw, lambda point: f"at {point.frequency:g} Hz")
'''


@pytest.fixture(scope="module")
def rod() -> Result:
    made = conductor("rod", "round", diameter="2 mm", material="copper")
    return solve_case(case("Rod", made, circuit("feed", "10 A", out=["rod"]), at=["50 Hz"]))


@pytest.fixture
def folder_of_kinds(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    folder = tmp_path / "kinds"
    folder.mkdir()
    (folder / "dummy_map.py").write_text(DUMMY, encoding="utf-8")
    monkeypatch.setattr(KINDS, "__path__", [*KINDS.__path__, str(folder)])
    yield folder
    sys.modules.pop(f"{KINDS.__name__}.dummy_map", None)


def test_a_new_kind_takes_its_place_among_the_others(folder_of_kinds: Path) -> None:
    every = ["current-density", "phase", "dummy-map", "flux-lines", "along-outline", "power-in-pieces"]
    assert list(picture_kinds()) == every


def test_without_it_it_is_gone() -> None:
    assert "dummy-map" not in picture_kinds()


def test_a_new_kind_is_in_the_folder_and_in_the_report(
    rod: Result, folder_of_kinds: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(KINDS, "__path__", [str(folder_of_kinds)])  # spares the others' time
    (one,) = drawn(rod, tmp_path / "pictures")
    assert sorted(path.name for path in (tmp_path / "pictures").iterdir()) == [
        "dummy-map-50Hz.png",
        "dummy-map-50Hz.svg",
    ]
    assert (one.name, one.title, one.frequency) == ("dummy-map", "A dummy at 50 Hz", 50.0)
    page = as_html(report_of(rod, [one]))
    assert "<figcaption dir=\"auto\">A dummy at 50 Hz: at 50 Hz.</figcaption>" in page
    assert rod.picture("dummy-map").png.startswith(b"\x89PNG")


def test_a_name_that_is_no_kind(rod: Result) -> None:
    with pytest.raises(KeyError):
        picture(next(iter(rod.solutions.values())), rod.points[0], "Rod", "dummy-map")


def test_a_folder_that_is_not_there(rod: Result, tmp_path: Path) -> None:
    with pytest.raises(OSError, match="none"):
        draw_pictures(next(iter(rod.solutions.values())), rod.points[0], "Rod", folder=tmp_path / "none")
