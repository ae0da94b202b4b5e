"""The command `compare`: the folder checked first, tables and where the files are printed."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from made_answers import PAIR, circuit, conductor, point

from crosscurrent import comparing
from crosscurrent.postprocess.answers.compared_rows import ComparedDesign
from crosscurrent.postprocess.answers.comparison import compared

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def calls(monkeypatch: pytest.MonkeyPatch) -> list[Any]:
    """What was compared and where it went, without a solve: R of 1 and of 2 mohm/m."""
    seen: list[Any] = []
    lossy = point(1e3, circuit(resistance=2e-3), conductors=(conductor("rod", 0.2), PAIR[1]))
    comparison = compared(
        [
            ComparedDesign("thick", "Thick", (point(1e3),), (), {"width": "10 mm"}),
            ComparedDesign("thin", "Thin", (lossy,), (), {"width": "5 mm"}),
        ]
    )

    def compare_cases(paths: tuple[Path, ...], progress: object) -> tuple[object, tuple[()]]:
        seen.append(paths)
        return comparison, ()

    monkeypatch.setattr(comparing, "compare_cases", compare_cases)
    monkeypatch.setattr(comparing, "write_comparison", lambda *handed: seen.append(handed))
    return seen


def test_designs_side_by_side(run: Run, calls: list[Any], tmp_path: Path) -> None:
    status, out, err = run("compare", "thick.toml", "thin.toml", "--out", str(tmp_path / "both"))
    assert (status, err) == (0, "")
    resistance = next(line for line in out.splitlines() if "R of feed at 1 kHz" in line)
    assert resistance.index("1") < resistance.index("2.000")
    assert "width" in out
    assert out.index("Verdict") < out.index("best in loss, R of feed: thick") < out.index("Designs side by side")
    assert f"The comparison and its pictures are in {tmp_path / 'both'}/" in "".join(out.splitlines()[-3:])
    assert calls[0] == (Path("thick.toml"), Path("thin.toml"))
    assert calls[1][2] == tmp_path / "both"


def test_the_folder_is_named_comparison_if_none_is_given(
    run: Run, calls: list[Any], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("compare", "thick.toml", "thin.toml")[0] == 0
    assert calls[1][2] == Path("comparison")


def test_a_folder_that_cannot_be_is_refused_before_anything_is_solved(
    run: Run, calls: list[Any], tmp_path: Path
) -> None:
    (tmp_path / "taken").write_text("", encoding="utf-8")
    status, out, err = run("compare", "thick.toml", "thin.toml", "--out", str(tmp_path / "taken"))
    assert (status, out) == (2, "")
    assert "expected a folder for the results, found a file" in err
    assert calls == []
