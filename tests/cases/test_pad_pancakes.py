"""The shipped case pad-pancakes, as its answer says."""

from __future__ import annotations

from pathlib import Path

import pytest
from shipped_cases import CASES, check_shipped, solved
from topic_cases import chapter

from crosscurrent.casefile.reader import read_case
from crosscurrent.solver.field.coils import coupled
from crosscurrent.solver.field.solve import solve


def test_states_question_and_answer_and_solves(capsys: pytest.CaptureFixture[str]) -> None:
    check_shipped("pad-pancakes", capsys)


def test_pancakes_are_coupled_as_the_answer_says(tmp_path: Path) -> None:
    (pair,) = chapter(solved("pad-pancakes"), "coils").record["pairs"]
    assert pair["coupling_factor"] == pytest.approx(0.336, abs=1e-3)
    assert pair["largest_efficiency_of_the_link"] == pytest.approx(0.983, abs=1e-3)
    point = solved("pad-pancakes").points[0]
    assert point.total_loss == pytest.approx(89, abs=0.5)
    assert sum(point.conductors[f"{of}-shield"].loss for of in ("pad", "boat")) == pytest.approx(10.6, abs=0.1)
    assert sum(point.conductors[f"{of}-ferrite"].loss for of in ("pad", "boat")) == pytest.approx(0.5, abs=0.05)
    text = (CASES / "pad-pancakes.toml").read_text(encoding="utf-8").replace('gap = "100 mm"', 'gap = "150 mm"')
    (tmp_path / "wide.toml").write_text(text, encoding="utf-8")
    wide = coupled(solve(read_case(tmp_path / "wide.toml").problem(), 85e3, accuracy=3e-3))
    assert wide.coupling(0, 1)[0] == pytest.approx(0.178, abs=1e-3)
