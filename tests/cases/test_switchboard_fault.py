"""The shipped case switchboard-fault, as its answer says and as the standard estimates."""

from __future__ import annotations

import math

import pytest
from shipped_cases import check_shipped, solved
from topic_cases import chapter

MU0 = 4e-7 * math.pi


def test_states_question_and_answer_and_solves(capsys: pytest.CaptureFixture[str]) -> None:
    check_shipped("switchboard-fault", capsys)


def test_the_switchboard_as_its_answer_says() -> None:
    record = chapter(solved("switchboard-fault"), "fault").record
    assert record["peak_current_a"] == pytest.approx(50.9e3, rel=2e-3)
    forces = [c["peak_force_n_per_m"] for c in record["conductors"].values()]
    assert max(forces) == pytest.approx(5.4e3, rel=0.01)
    # IEC 60865-1: mu0 / (2 pi) sqrt(3) / 2 i_p^2 / a, less for bars as tall as they are far apart (its factor k12)
    filaments = MU0 / (2 * math.pi) * math.sqrt(3) / 2 * record["peak_current_a"] ** 2 / 0.07
    assert 0.75 * filaments < max(forces) < 0.95 * filaments
    assert all(c["energy_j_per_m"] == pytest.approx(2.81e3, rel=5e-3) for c in record["conductors"].values())
