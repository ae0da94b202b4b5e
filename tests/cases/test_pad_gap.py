"""The shipped study pad-gap, as its answer says, between two bounds by filaments."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.special import ellipe, ellipk
from shipped_cases import CASES, check_shipped, solved
from topic_cases import chapter

from crosscurrent.casefile.reader import read_case
from crosscurrent.studies.reading import plan_of
from crosscurrent.studies.trial import Trial, tried

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


def test_coupling_falls_as_the_answer_says() -> None:
    (pair,) = chapter(solved("pad-gap"), "coils").record["pairs"]
    assert pair["coupling_factor"] == pytest.approx(0.563, abs=1e-3)
    own = solved("pad-gap").points[0].circuits["pad"].inductance
    assert own is not None
    low, high = bounds(0.06)
    assert low < 0.563 * own < high
    case = read_case(CASES / "pad-gap.toml")
    plan = plan_of(case)
    assert [option.values["gap"] for option in plan.choices[0].options] == [0.04, 0.06, 0.08, 0.1, 0.125, 0.15, 0.2]
    coarser = case.data.model_copy(update={"accuracy": case.data.accuracy.model_copy(update={"resistance": 3e-3})})
    far = tried(Trial(replace(case, data=coarser), {"gap": 0.2}, plan.question)).figures
    assert 1 - far["leakage"] == pytest.approx(0.099, abs=1e-3)
    assert far["inductance_h_per_m"] == pytest.approx(30.5e-6, rel=2e-3)
    low, high = bounds(0.2)
    assert low < (1 - far["leakage"]) * far["inductance_h_per_m"] < high
