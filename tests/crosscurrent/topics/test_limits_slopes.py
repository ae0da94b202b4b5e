"""What would help from slopes, against changed cases that are solved."""

from __future__ import annotations

from typing import Any

import pytest
from topic_cases import bars

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.run import solve_case
from crosscurrent.topics.limits_changes import UNCHANGED, _plain
from crosscurrent.topics.limits_slopes import by_slopes
from crosscurrent.topics.limits_variants import changed
from crosscurrent.topics.limits_verdicts import verdicts


@pytest.mark.parametrize(
    ("limit", "value"),
    [("loss", "1 W/m"), ("inductance", "1 nH/m"), ("force", "0.001 N/m"), ("resistance", "1 uohm/m")],
)
def test_changes_are_those_of_solved_cases(limit: str, value: str) -> None:
    same_as_solved(checked_case(bars(limits={limit: value})))


def same_as_solved(case: Case) -> None:
    result = solve_case(case)
    assert case.data.limits is not None
    judged = verdicts(case.data.limits, result, ())[0]
    plain = _plain(result, judged, False)
    found = by_slopes(result, judged, plain)
    assert found is not None
    wanted = {what: solve_case(Case(data, case.source, case.path)) for what, data in changed(case, plain)}
    assert {change.what for change in found} == set(wanted)
    for change in found:
        after = verdicts(case.data.limits, wanted[change.what], ())[0].found.value
        assert change.to == pytest.approx(after, rel=0.01)
        assert change.to - change.before == pytest.approx(after - change.before, rel=0.1, abs=UNCHANGED * after)


COIL = {
    "name": "turn", "shape": "tube", "diameter": "6 mm", "wall": "1 mm", "material": "copper",
    "centre": ["30 mm", "-8 mm"], "repeat": {"count": 3, "step": ["0 mm", "8 mm"]},
}  # fmt: skip
BILLET = {"name": "billet", "shape": "bar", "width": "30 mm", "thickness": "40 mm", "material": "brass"}
ROUND = {
    "symmetry": "axial",
    "frequency": {"at": ["20 kHz"]},
    "conductor": [COIL, BILLET],
    "coil": [{"name": "work", "turns": ["turn.*"], "current": "100 A"}],
}


@pytest.mark.parametrize(("limit", "value"), [("loss", "1 W"), ("inductance", "1 nH"), ("resistance", "1 uohm")])
def test_changes_round_an_axis_are_those_of_solved_cases(limit: str, value: str) -> None:
    same_as_solved(checked_case(ROUND | {"limits": {limit: value}}))


PLACE = {"points": [{"name": "walkway", "at": ["0 mm", "200 mm"]}]}


@pytest.mark.parametrize(
    "more", [{"cooling": {}, "limits": {"loss": "1 W/m"}}, {"limits": {"field": "1 uT"}, "field": PLACE}]
)
def test_figures_without_an_exact_slope_are_solved_for(more: dict[str, Any]) -> None:
    case = checked_case(bars(**more))
    result = solve_case(case)
    assert case.data.limits is not None
    judged = verdicts(case.data.limits, result, result.chapters)[0]
    assert by_slopes(result, judged, _plain(result, judged, False)) is None
