"""The shipped case feed-harmonics, as its answer says."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shipped_cases import CASES, check_shipped, solved
from topic_cases import chapter


def test_states_question_and_answer_and_solves(capsys: pytest.CaptureFixture[str]) -> None:
    check_shipped("feed-harmonics", capsys)


def test_the_inverter_as_its_answer_says() -> None:
    record, ladder = (chapter(solved("feed-harmonics"), key).record for key in ("waveform", "ladder"))
    assert record["loss_w_per_m"] == pytest.approx(1275, rel=1e-3)
    assert record["resistance_ohm_per_m"] == pytest.approx(1.734e-3, rel=1e-3)
    rows = np.loadtxt(CASES / "inverter-current.csv", delimiter=",", skiprows=2)
    times, current = np.append(rows[:, 0], 1e3 / 85), np.append(rows[:, 1], rows[0, 1])
    fine = np.linspace(0, 1e3 / 85, 100_001)
    rms = math.sqrt(np.mean(np.interp(fine, times, current)[:-1] ** 2))
    assert record["rms_current_a"] == pytest.approx(rms, rel=1e-5)
    assert ladder["cells"] == 7
    assert max(ladder["resistance_error"], ladder["inductance_error"]) <= 0.005
