"""How the commands read their words: files that are there, quantities of options, pictures, shapes."""

from __future__ import annotations

from pathlib import Path

import pytest

from crosscurrent.command.app import (
    CommandError,
    check_picture,
    frequencies_of,
    known_shape,
    metals_first,
    quantity,
    write_new,
)
from crosscurrent.geometries.errors import CrosscurrentError


def test_a_new_file_is_written_once(tmp_path: Path) -> None:
    write_new(tmp_path / "a.toml", "one \u00b5m\n", "--file")
    with pytest.raises(CommandError, match=r"a.toml: there is such a file already; give another name with --file"):
        write_new(tmp_path / "a.toml", "two\n", "--file")
    assert (tmp_path / "a.toml").read_text(encoding="utf-8") == "one \u00b5m\n"


def test_a_file_that_cannot_be_written(tmp_path: Path) -> None:
    with pytest.raises(CommandError, match=r"cannot be written \(No such file or directory\); .* with --case"):
        write_new(tmp_path / "none" / "a.toml", "", "--case")


def test_a_file_is_there_whole_or_not_at_all(tmp_path: Path) -> None:
    with pytest.raises(UnicodeEncodeError):
        write_new(tmp_path / "a.toml", "whole \ud800", "--file")
    assert list(tmp_path.iterdir()) == []


def test_a_quantity_names_its_option() -> None:
    assert quantity("--temperature", "212 degF", "temperature") == pytest.approx(100.0)
    with pytest.raises(CommandError, match=r'^--temperature: expected a temperature .* found "70"'):
        quantity("--temperature", "70", "temperature")


@pytest.mark.parametrize(
    ("given", "read"),
    [
        ("plating --at 1MHz brass nickel 2um gold --roughness 1um",
         "plating brass nickel 2um gold --at 1MHz --roughness 1um"),
        ("depth copper --at 50Hz 60Hz silver", "depth copper silver --at 50Hz 60Hz"),
        ("depth --at copper", "depth --at copper"),
        ("depth copper --at", "depth copper --at"),
        ("depth copper --at 50Hz", "depth copper --at 50Hz"),
        ("run a.toml --at 50Hz b", "run a.toml --at 50Hz b"),
        ("", ""),
    ],
)  # fmt: skip
def test_metals_behind_the_frequencies_come_first(given: str, read: str) -> None:
    assert metals_first(given.split()) == read.split()


def test_frequencies_are_above_zero() -> None:
    assert frequencies_of(["85 kHz", "50 Hz"]) == [85e3, 50.0]
    assert frequencies_of([]) == []
    with pytest.raises(CommandError, match="direct current has no skin depth"):
        frequencies_of(["50 Hz", "0 kHz"])


@pytest.mark.parametrize(("name", "found"), [("a.jpg", "found "), ("a", "found "), ("none/a.png", 'found "none"')])
def test_pictures_that_cannot_be(name: str, found: str) -> None:
    with pytest.raises(CommandError, match=f"^--picture: expected .*{found}"):
        check_picture(Path(name))


@pytest.mark.parametrize("name", ["a.png", "a.svg", "a.b.PNG"])
def test_pictures_that_can_be(name: str, tmp_path: Path) -> None:
    check_picture(tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_shape_by_its_name() -> None:
    assert known_shape("box") == "box"
    with pytest.raises(CommandError, match=r'no shape "bix"; did you mean "box"[?] known: bar, round, tube'):
        known_shape("bix")
    with pytest.raises(CommandError, match='no shape "qqqq"; known: bar, '):
        known_shape("qqqq")


def test_a_command_at_fault_is_a_fault_of_the_input() -> None:
    assert issubclass(CommandError, CrosscurrentError)
    assert issubclass(CommandError, ValueError)
