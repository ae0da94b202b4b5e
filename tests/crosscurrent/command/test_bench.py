"""The command `bench` says what is wrong, and ends."""

from pathlib import Path

import pytest

from crosscurrent.__main__ import main


def test_a_case_that_is_none(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["bench", str(tmp_path / "none.toml"), "--no-show"]) == 2
    assert "none.toml: cannot be read" in capsys.readouterr().err


def test_it_stands_in_the_help(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["bench", "--help"]) == 0
    assert "this machine only" in capsys.readouterr().out
