"""What would help from slopes, against changed cases that are solved."""

from __future__ import annotations

from typing import Any

import pytest
from topic_cases import bars

from crosscurrent.casefile.case import Case, checked_case
from crosscurrent.postprocess.answers.limits import Verdict
from crosscurrent.run import solve_case
from crosscurrent.topics.limits_changes import UNCHANGED, _plain
from crosscurrent.topics.limits_slopes import by_slopes
from crosscurrent.topics.limits_variants import changed
from crosscurrent.topics.limits_verdicts import verdicts

LIMITS = {"loss": "1 W/m", "inductance": "1 nH/m", "force": "0.001 N/m", "resistance": "1 uohm/m"}


def test_changes_are_those_of_solved_cases() -> None:
    same_as_solved(checked_case(bars(limits=LIMITS)))


def same_as_solved(case: Case) -> None:
    """Of the first figure of each limit."""
    result = solve_case(case)
    assert case.data.limits is not None
    every = verdicts(case.data.limits, result, ())
    wanted: dict[str, list[Verdict]] = {}
    for number, judged in enumerate(every):
        if judged.limit in {v.limit for v in every[:number]}:
            continue
        plain = _plain(result, judged, False)
        found = by_slopes(result, judged, plain)
        assert found is not None, judged.limit
        for what, data in [] if wanted else changed(case, plain):
            wanted[what] = verdicts(case.data.limits, solve_case(Case(data, case.source, case.path)), ())
        assert {change.what for change in found} == set(wanted)
        for change in found:
            after = wanted[change.what][number].found.value
            assert change.to == pytest.approx(after, rel=0.01)
            assert change.to - change.before == pytest.approx(after - change.before, rel=0.1, abs=UNCHANGED * after)


COIL = {
    "name": "turn", "shape": "tube", "diameter": "6 mm", "wall": "1 mm", "material": "copper",
    "centre": ["30 mm", "-8 mm"], "repeat": {"count": 2, "step": ["0 mm", "8 mm"]},
}  # fmt: skip
BILLET = {
    "name": "billet", "shape": "bar", "width": "30 mm", "thickness": "40 mm", "centre": ["0 mm", "15 mm"],
    "material": "brass",
}  # fmt: skip
ROUND = {
    "symmetry": "axial",
    "frequency": {"at": ["2 kHz"]},
    "conductor": [COIL, BILLET],
    "coil": [{"name": "work", "turns": ["turn.*"], "current": "100 A"}],
}


def test_changes_round_an_axis_are_those_of_solved_cases() -> None:
    same_as_solved(checked_case(ROUND | {"limits": {"loss": "1 W", "inductance": "1 nH", "resistance": "1 uohm"}}))


def test_what_moves_a_coil_moves_its_piece_as_much() -> None:
    """Round an axis a limit on force is on all turns together, which push the piece as it pushes them."""
    case = checked_case(ROUND | {"limits": {"force": "0.001 N"}})
    result = solve_case(case)
    assert case.data.limits is not None
    coil, piece = verdicts(case.data.limits, result, ())
    one, other = (by_slopes(result, judged, _plain(result, judged, False)) for judged in (coil, piece))
    assert one is not None
    assert other is not None
    for first, second in zip(one, other, strict=True):
        assert first.to == pytest.approx(second.to, rel=2e-2)
    assert one[0].what == "10 % less current"
    assert one[0].to == pytest.approx(0.81 * coil.found.value, rel=1e-2)


PLACE = {"points": [{"name": "walkway", "at": ["0 mm", "200 mm"]}]}


@pytest.mark.parametrize(
    "more", [{"cooling": {}, "limits": {"loss": "1 W/m"}}, {"limits": {"field": "1 uT"}, "field": PLACE}]
)
def test_figures_without_an_exact_slope_are_solved_for(more: dict[str, Any]) -> None:
    limits = checked_case(bars(**more)).data.limits
    assert limits is not None
    result = solve_case(checked_case(bars(**more | {"limits": None})))  # nothing that would help is solved for
    judged = verdicts(limits, result, result.chapters)[0]
    assert by_slopes(result, judged, _plain(result, judged, False)) is None
