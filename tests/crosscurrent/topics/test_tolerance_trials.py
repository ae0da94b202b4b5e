"""Changed cases within tolerances: solved once each, with no more questions than needed, those that cannot be told."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from topic_cases import bars

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.postprocess.answers.chapter import Chapter
from crosscurrent.run import solved_case
from crosscurrent.solved import SolvedCase
from crosscurrent.topics.tolerance_figures import FigureKey
from crosscurrent.topics.tolerance_trials import Trials, causes_of


def test_each_place_is_solved_once_and_without_further_questions() -> None:
    seen: list[Case] = []

    def resolve(case: Case) -> tuple[SolvedCase, Sequence[Chapter]]:
        seen.append(case)
        return solved_case(case, lambda *_: None), ()

    ladder = {"from": "50 Hz", "to": "1 kHz"}
    data = bars(frequency={"at": ["0 Hz"]}, slopes={}, ladder=ladder, named={"x": "20 mm +- 40 mm"})
    data["conductor"][1]["centre"] = ["x", "0 mm"]
    case = checked_case(data)
    trials = Trials(case, causes_of(case), resolve, 1e-4)
    found = [trials.at(np.array([0.5])) for _ in range(2)]
    assert len(seen) == 1
    assert seen[0].data.conductor[1].centre[0] == 0.04
    assert seen[0].data.slopes is None
    assert seen[0].data.ladder is None
    assert seen[0].accuracy == 1e-4
    assert found[0] == found[1]
    assert found[0] is not None
    assert {key.what for key in found[0]} == {"resistance", "inductance", "loss"}
    assert FigureKey("resistance", "feed", 0) in found[0]
    assert trials.at(np.array([-1.0])) is None
    assert "overlap" in trials.refused[(-1.0,)]
