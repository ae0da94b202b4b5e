"""The command `examples`: the shipped cases with their questions, and a copy of one."""

from __future__ import annotations

from pathlib import Path

import pytest

from crosscurrent.__main__ import main
from crosscurrent.examples import shipped


def test_the_command(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["examples"]) == 0
    out = capsys.readouterr().out
    assert all(example.name in out for example in shipped())
    assert "What do they cost in watts" in out
    assert main(["examples", "t-slot-busbar"]) == 0
    assert capsys.readouterr().out.startswith("Copied t-slot-busbar.toml, drawings/t-slot-busbar.dxf.")
    assert main(["examples", "t-slot-busbar"]) == 2
    assert "there is such a file already" in capsys.readouterr().err
    assert main(["examples", "t-slot"]) == 2
    assert 'did you mean "t-slot-busbar"?' in capsys.readouterr().err
