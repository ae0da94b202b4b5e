"""The causes of a measured difference, asked of a case."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shipped_cases import solved
from topic_cases import chapter

from crosscurrent.solver.meter.diagnosis import Diagnosis
from crosscurrent.topics.diagnosis import MOST, diagnosed, weighed
from crosscurrent.topics.measured import answered, run_of


def test_the_shipped_bench_says_gap_and_joints():
    record = chapter(solved("feed-measured"), "measured").record["diagnosis"]
    assert record["verdict"] == "named"
    amounts = {one["key"]: one for one in record["explanations"][0]["causes"]}
    assert set(amounts) == {"gap", "contact"}
    assert amounts["gap"]["value"] == pytest.approx(1.12e-3, abs=3e-6)  # what the file was made with
    assert amounts["contact"]["value"] == pytest.approx(1.8e-5, abs=2 * amounts["contact"]["standard_uncertainty"])


def test_few_frequencies_are_not_enough():
    case = solved("feed-measured").case
    answer = answered(case, run_of(case))
    few = answer.overlay.reading
    short = {k: v[:4] if isinstance(v, np.ndarray) else v for k, v in vars(few).items()}
    said = diagnosed(case, replace(answer, overlay=replace(answer.overlay, reading=type(few)(**short))))
    assert said == "causes of the difference: expected 6 frequencies or more, found 4"
    assert not isinstance(said, Diagnosis)


def test_long_readings_are_thinned_between_their_ends():
    case = solved("feed-measured").case
    one = run_of(case).reading
    many = type(one)(**{k: np.resize(v, 500) if isinstance(v, np.ndarray) else v for k, v in vars(one).items()})
    many = replace(many, frequencies=np.geomspace(1e2, 1e5, 500))
    found = weighed(many)
    assert len(found.frequencies) == MOST
    assert found.frequencies[[0, -1]] == pytest.approx([1e2, 1e5])
    assert weighed(one) is one
