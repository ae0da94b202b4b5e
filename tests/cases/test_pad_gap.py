"""The shipped study pad-gap, as its answer says, between two bounds by filaments."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.special import ellipe, ellipk
from shipped_cases import CASES, check_shipped, solved
from topic_cases import chapter

from crosscurrent.casefile.reader import read_case
from crosscurrent.solver.field.coils import coupled
from crosscurrent.solver.field.solve import solve
from crosscurrent.studies.reading import plan_of

MU0, STRAND_SIDE, BEHIND = 4e-7 * math.pi, 3e-3, 4e-3  # [H/m], width of a turn, from it to the ferrite [m]
RADII = 0.08 + 0.014 * np.arange(8)


def between_filaments(apart: float) -> float:
    """Mutual inductance of the turns as circles (J. C. Maxwell, Treatise, art. 701, from memory) [H]."""
    a, b = RADII[:, None], RADII[None, :]
    m = 4 * a * b / ((a + b) ** 2 + apart**2)
    k = np.sqrt(m)
    return float((MU0 * np.sqrt(a * b) * ((2 / k - k) * ellipk(m) - 2 / k * ellipe(m))).sum())


def bounds(gap: float) -> tuple[float, float]:
    """Without any ferrite, and between endless sheets of it whose images repeat for ever."""
    sheets, at = gap + 2 * (STRAND_SIDE + BEHIND), BEHIND + STRAND_SIDE / 2
    images = (between_filaments(sheets - at - (2 * n * sheets + way * at)) for n in range(-40, 41) for way in (1, -1))
    return between_filaments(gap + STRAND_SIDE), sum(images)


def test_states_question_and_answer_and_solves(capsys: pytest.CaptureFixture[str]) -> None:
    check_shipped("pad-gap", capsys)


def test_coupling_falls_as_the_answer_says(tmp_path: Path) -> None:
    (pair,) = chapter(solved("pad-gap"), "coils").record["pairs"]
    assert pair["coupling_factor"] == pytest.approx(0.563, abs=1e-3)
    own = solved("pad-gap").points[0].circuits["pad"].inductance
    assert own is not None
    low, high = bounds(0.06)
    assert low < 0.563 * own < high
    plan = plan_of(read_case(CASES / "pad-gap.toml"))
    assert [option.values["gap"] for option in plan.choices[0].options] == [0.04, 0.06, 0.08, 0.1, 0.125, 0.15, 0.2]
    text = (CASES / "pad-gap.toml").read_text(encoding="utf-8").replace('gap = "60 mm"', 'gap = "200 mm"', 1)
    (tmp_path / "far.toml").write_text(text, encoding="utf-8")
    far = coupled(solve(read_case(tmp_path / "far.toml").problem(), 85e3, accuracy=3e-3))
    factor, _ = far.coupling(0, 1)
    assert factor == pytest.approx(0.099, abs=1e-3)
    assert far.inductance[0, 0] == pytest.approx(30.5e-6, rel=2e-3)
    low, high = bounds(0.2)
    assert low < factor * far.inductance[0, 0] < high
