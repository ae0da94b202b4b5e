"""A solved case: answers and fields by frequency, what was asked one by one, equality, and nothing to change."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from made_answers import point
from topic_cases import two_rods

from crosscurrent.casefile.case import checked_case
from crosscurrent.geometries.errors import UnknownKey
from crosscurrent.solved import SolvedCase

CASE = checked_case(
    two_rods(frequency={"at": ["0 Hz", "1 kHz"], "sweep": {"from": "2 kHz", "to": "8 kHz", "points": 3}})
)
FIELDS: Any = {0.0: "still", 1e3: "slow", 2e3: "low", 8e3: "high"}
BAND: Any = SimpleNamespace(frequency=np.array([2e3, 4e3, 8e3]), solution_at=lambda frequency: f"band {frequency:g}")
SOLVED = SolvedCase(
    case=CASE, points=tuple(point(f) for f in CASE.frequencies), solutions=FIELDS, sweep=BAND, states={1e3: FIELDS}
)


def test_answers_at_a_frequency_of_the_case() -> None:
    assert SOLVED.at("1 kHz") is SOLVED.at(1e3) is SOLVED.points[1]
    with pytest.raises(UnknownKey, match=r"expected one of the case's frequencies \(0 Hz, 1 kHz, .*\), found 3 kHz"):
        SOLVED.at("3 kHz")


def test_fields_are_kept_or_come_out_of_the_sweep() -> None:
    assert SOLVED.solution_at("1 kHz") == FIELDS[1e3]
    assert SOLVED.solution_at(3e3) == "band 3000"  # type: ignore[comparison-overlap]
    with pytest.raises(UnknownKey, match=r"drawn \(0 Hz, .*\) or lies in a sweep, found 9 kHz"):
        SOLVED.solution_at(9e3)
    with pytest.raises(UnknownKey):
        replace(SOLVED, sweep=None).solution_at(3e3)


def test_frequencies_asked_for_one_by_one() -> None:
    assert SOLVED.asked == {0.0: "still", 1e3: "slow"}


def test_circuits_and_conductors_are_those_of_the_first_frequency() -> None:
    assert SOLVED.circuits is SOLVED.points[0].circuits
    assert SOLVED.conductors is SOLVED.points[0].conductors


def test_equal_by_what_it_says() -> None:
    assert replace(SOLVED) == SOLVED
    assert replace(SOLVED, warnings=("w",)) != SOLVED
    assert replace(SOLVED, points=SOLVED.points[:1]) != SOLVED


def test_nothing_can_be_changed() -> None:
    anything: Any = SOLVED
    with pytest.raises(FrozenInstanceError):
        anything.warnings = ()
    for mapping in (anything.solutions, anything.states):
        with pytest.raises(TypeError):
            mapping[1.0] = None
    with pytest.raises(TypeError):
        hash(SOLVED)
