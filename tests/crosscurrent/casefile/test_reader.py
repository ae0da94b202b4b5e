"""Files that are no case file, and text that is no TOML: each in one line with a way out."""

from __future__ import annotations

from pathlib import Path

import pytest

from crosscurrent.casefile import reader
from crosscurrent.casefile.faults import CaseError
from crosscurrent.casefile.reader import read_case


def message(path: Path) -> str:
    with pytest.raises(CaseError) as caught:
        read_case(path)
    return str(caught.value)


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

    def refuse(*_: object) -> bytes:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(reader, "ordinary_bytes", refuse)
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


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    """As some editors put it in front; lines are counted as without it."""
    text = 'title = "x"\nambient = "35"\n'
    found = []
    for mark in (b"", b"\xef\xbb\xbf"):
        (tmp_path / "pier.toml").write_bytes(mark + text.encode())
        found.append(message(tmp_path / "pier.toml"))
    assert found[0] == found[1]
    assert 'pier.toml, line 2, key ambient: expected a temperature with a unit such as "70 degC"' in found[0]


def test_lines_end_as_every_system_ends_them(tmp_path: Path) -> None:
    (tmp_path / "pier.toml").write_bytes(b'title = "x"\r\n\r\nambient = "35"\r\n')
    assert "line 3, key ambient" in message(tmp_path / "pier.toml")


@pytest.mark.parametrize(
    ("text", "line", "hint"),
    [
        ("title = \u201cx\u201d", 1, 'write straight quotes: "'),
        ("\nambient = 35 furlong", 2, 'add quotes: write ambient = "35 furlong"'),
        ("title = Pier", 1, 'put text in quotes: title = "Pier"'),
        ('title = "x"\njust words', 2, "write key = value"),
        ('[frequency]\nat = ["0 Hz"]\n[frequency]', 3, "each key and each [table] may stand once"),
        ("[frequency", 1, "close what was opened: [table], [[list of tables]]"),
        ('title = "x', 1, "close every quote, bracket and brace; put commas between entries"),
    ],
)
def test_what_usually_goes_wrong_in_toml(tmp_path: Path, text: str, line: int, hint: str) -> None:
    (tmp_path / "pier.toml").write_text(text, encoding="utf-8")
    found = message(tmp_path / "pier.toml")
    assert found.startswith(f"pier.toml, line {line}: expected TOML, found ")
    assert hint in found


def test_a_fault_that_the_system_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> bytes:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(reader, "ordinary_bytes", broken)
    assert "found a file that cannot be read ([Errno 5] Input/output error)" in message(tmp_path / "pier.toml")


def test_bare_quantities_come_together_with_every_other_fault(tmp_path: Path) -> None:
    text = 'ambient = 35degC\n[frequency]\nat = ["50 Hz", 400 Hz]\n[cooling]\nfinsh = "dull"\n[acuracy]\n'
    (tmp_path / "pier.toml").write_text(text, encoding="utf-8")
    lines = message(tmp_path / "pier.toml").splitlines()
    assert lines[0] == "pier.toml: 6 faults"
    assert 'line 3: expected a quantity in quotes, found 400 Hz; add quotes: write "400 Hz"' in "\n".join(lines)
    for line, word in ((1, '"35degC"'), (5, "finish"), (6, "accuracy")):
        assert any(f"line {line}" in fault and word in fault for fault in lines), word
    assert sum("key conductor" in fault or "key circuit" in fault for fault in lines) == 2


def test_bare_quantities_are_told_beside_what_else_is_no_toml(tmp_path: Path) -> None:
    (tmp_path / "pier.toml").write_text("ambient = 35 degC\njust words\n", encoding="utf-8")
    lines = message(tmp_path / "pier.toml").splitlines()
    assert [line.split(":")[0] for line in lines[1:]] == ["pier.toml, line 1", "pier.toml, line 2"]
