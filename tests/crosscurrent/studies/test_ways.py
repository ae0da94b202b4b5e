"""Searches side by side: each design is wanted once, on one process as on two."""

from __future__ import annotations

from collections import Counter

import pytest
from study_cases import ROD, written

from crosscurrent.casefile.case import Case
from crosscurrent.studies.design import Design
from crosscurrent.studies.plan import Question, Range
from crosscurrent.studies.run import given_up
from crosscurrent.studies.search import Search, searched
from crosscurrent.studies.trial import tried
from crosscurrent.studies.ways import Ways
from crosscurrent.studies.workers import completed

SPAN = (Range("size", 0.005, 0.03, "length"),)


@pytest.fixture(scope="module")
def case(tmp_path_factory: pytest.TempPathFactory) -> Case:
    return written(tmp_path_factory.mktemp("ways"), ROD + '[limits]\nloss = "2 W/m"\n')


def searches(case: Case, *starts: float) -> list[Search]:
    return [Search(case, {}, SPAN, Question(("mass",), 0.0, "feed"), "mass", (start,)) for start in starts]


@pytest.fixture(scope="module")
def alone(case: Case) -> list[list[tuple[object, ...]]]:
    return [[_without_time(d) for d in searched(search)] for search in searches(case, 0.9, 0.5)]


@pytest.mark.parametrize("workers", [1, 2])
def test_as_each_by_itself(case: Case, alone: list[list[tuple[object, ...]]], workers: int) -> None:
    ways, asked = Ways(searches(case, 0.9, 0.5, 0.9)), Counter[str]()
    for trial, design in completed(tried, ways, workers=workers, on_death=given_up, together=False):
        asked[trial.key] += 1
        ways.take(design)
    assert max(asked.values()) == 1
    found = [[_without_time(d) for d in way.designs] for way in ways.each]
    assert found == [alone[k] for k in (0, 1, 0)]


def _without_time(design: Design) -> tuple[object, ...]:
    return design.key, dict(design.figures), design.verdict
