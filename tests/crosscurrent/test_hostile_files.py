"""Every file that a user names: no device, pipe or folder hangs, and nothing of another file is repeated."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from topic_cases import SCREENED_RODS

from crosscurrent.__main__ import main
from crosscurrent.result import Result

SECRET = "root:x:0:0:root:/root:/bin/bash\nkey = hunter2\n"
WAVEFORM = SCREENED_RODS + '[waveform]\nfrequency = "1 kHz"\nfile = "FILE"\n'
CONDUCTOR = '[[conductor]]\nname = "part"\nshape = "{}"\nmaterial = "copper"\nunit = "mm"\nfile = "{}"\n'
MEASURED = SCREENED_RODS + '[measured]\nfile = "FILE"\n'
ENDINGS = ("", ".toml", ".csv", ".dxf", ".svg", ".msh", ".stl", ".vtk", ".s1p")
WAYS = {
    "case": lambda file: ["run", file],
    "look": lambda file: ["look", file],
    "waveform": lambda file: WAVEFORM.replace("FILE", file),
    "measured": lambda file: MEASURED.replace("FILE", file),
    "drawing": lambda file: SCREENED_RODS + CONDUCTOR.format("drawing", file),
    "mesh": lambda file: SCREENED_RODS + CONDUCTOR.format("mesh", file),
}


def said(way: str, file: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """What the command says of a file named in one of the ways."""
    words = WAYS[way](str(file))
    if isinstance(words, str):
        case = file.parent / "rods.toml"
        case.write_text(words, encoding="utf-8")
        words = ["run", str(case)]
    assert main(words) == 2
    shown = capsys.readouterr()
    assert "Traceback" not in shown.err
    return shown.out + shown.err


def pipe(path: Path) -> None:
    os.mkfifo(path)


def device(path: Path) -> None:
    path.symlink_to("/dev/zero")


def folder(path: Path) -> None:
    path.mkdir()


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize(
    ("make", "found"), [(pipe, "found a pipe"), (device, "found a device"), (folder, "found a folder; name the file")]
)
def test_no_ordinary_file(
    tmp_path: Path, way: str, make: Callable[[Path], None], found: str, capsys: pytest.CaptureFixture[str]
) -> None:
    make(tmp_path / "it.vtk")
    assert found.partition(";")[0] in said(way, tmp_path / "it.vtk", capsys)


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("name", [f"it{end}" for end in ENDINGS])
def test_nothing_of_another_file_is_repeated(
    tmp_path: Path, way: str, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / name).write_text(SECRET, encoding="utf-8")
    shown = said(way, tmp_path / name, capsys)
    assert not [word for word in ("root", "bash", "hunter2") if word in shown.replace(str(tmp_path), "")]


@pytest.mark.parametrize(
    ("way", "most"), [(way, "5 MB" if way in ("case", "waveform", "measured") else "50 MB") for way in WAYS]
)
def test_too_large(tmp_path: Path, way: str, most: str, capsys: pytest.CaptureFixture[str]) -> None:
    with (tmp_path / "it.vtk").open("wb") as stream:
        stream.truncate(60_000_000)
    shown = said(way, tmp_path / "it.vtk", capsys)
    assert f"file of at most {most}, found 60 MB" in shown


def test_results_that_are_a_pipe(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "results.json")
    with pytest.raises(ValueError, match="expected the results of a run, found none that can be read"):
        Result.read(tmp_path)
