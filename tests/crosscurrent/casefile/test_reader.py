"""Every faulty case file gives exactly the message that stands beside it."""

from __future__ import annotations

from pathlib import Path

import pytest

from crosscurrent.cases.faults import CaseError
from crosscurrent.cases.reader import read_case
from crosscurrent.geometries.errors import CrosscurrentError

FAULTY = sorted((Path(__file__).parent / "faulty").glob("*.toml"))


def message(path: Path) -> str:
    with pytest.raises(CaseError) as caught:
        read_case(path)
    return str(caught.value)


@pytest.mark.parametrize("path", FAULTY, ids=lambda path: path.stem)
def test_message_is_exactly_as_written(path: Path) -> None:
    assert message(path) == path.with_suffix(".txt").read_text(encoding="utf-8").rstrip("\n")


def test_there_are_enough_and_each_has_its_message() -> None:
    assert len(FAULTY) >= 45
    texts = {path.stem for path in (Path(__file__).parent / "faulty").glob("*.txt")}
    assert texts == {path.stem for path in FAULTY}


def test_all_faults_come_in_one_pass() -> None:
    with pytest.raises(CaseError) as caught:
        read_case(Path(__file__).parent / "faulty" / "many-faults.toml")
    assert [fault.line for fault in caught.value.faults] == [2, 10, 13, 20, 25, 27, 28]
    assert isinstance(caught.value, (CrosscurrentError, ValueError))


def test_missing_file(tmp_path: Path) -> None:
    (tmp_path / "pier.toml").write_text("")
    expected = "peer.toml: expected a case file, found no such file; beside it are pier.toml"
    assert message(tmp_path / "peer.toml") == expected


def test_missing_folder(tmp_path: Path) -> None:
    expected = "pier.toml: expected a case file, found no such file; check its name and folder"
    assert message(tmp_path / "nowhere" / "pier.toml") == expected


def test_folder(tmp_path: Path) -> None:
    (tmp_path / "pier").mkdir()
    assert message(tmp_path / "pier") == "pier: expected a case file, found a folder; name the file inside it"


def test_path_through_a_file(tmp_path: Path) -> None:
    (tmp_path / "pier").write_text("")
    expected = "feed.toml: expected a case file, found a path that runs through a file; check its name and folder"
    assert message(tmp_path / "pier" / "feed.toml") == expected


def test_no_permission(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "pier.toml"
    path.write_text("")

    def refuse(self: Path) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "read_bytes", refuse)
    expected = "pier.toml: expected a case file, found a file that may not be read; check its permissions"
    assert message(path) == expected


@pytest.mark.parametrize("content", [b"", b"\n  \n", b"\xef\xbb\xbf"])
def test_empty_file(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "pier.toml").write_bytes(content)
    expected = "pier.toml: expected a case file, found an empty file; `crosscurrent new bar` writes one to start from"
    assert message(tmp_path / "pier.toml") == expected


def test_latin_1(tmp_path: Path) -> None:
    (tmp_path / "pier.toml").write_bytes(b'title = "pier"\nambient = "35 \xb0C"\n')
    expected = "pier.toml, line 2: expected text in UTF-8, found the byte 0xb0, which is none; save it as UTF-8"
    assert message(tmp_path / "pier.toml") == expected


def test_utf_16(tmp_path: Path) -> None:
    (tmp_path / "pier.toml").write_bytes('title = "pier"'.encode("utf-16"))
    assert message(tmp_path / "pier.toml") == "pier.toml: expected text in UTF-8, found UTF-16; save it as UTF-8"


def test_zero_byte_in_a_name() -> None:
    assert "found a file that cannot be read" in message(Path("pier\0.toml"))


def test_binary_file(tmp_path: Path) -> None:
    (tmp_path / "pier.toml").write_bytes(b"\x00\x01\x02")
    assert message(tmp_path / "pier.toml").startswith("pier.toml, line 1: expected TOML, found")
