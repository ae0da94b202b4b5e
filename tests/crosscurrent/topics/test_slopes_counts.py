"""Slopes over the number of strands, and of bundles in a case file."""

from __future__ import annotations

from functools import cache
from typing import Any

import pytest
from topic_cases import bars, chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.result import Result
from crosscurrent.run import solve_case

LEAD = {
    "name": "a", "shape": "bundle", "strands": 400, "strand_diameter": "0.2 mm", "outer_diameter": "6 mm",
    "material": "copper", "centre": ["0 mm", "20 mm"],
}  # fmt: skip
OF = ["a.strands", "a.strand_diameter", "a.outer_diameter", "a.centre.y"]


def solved(of: list[str] | None = None, **more: Any) -> Result:
    tables = bars(frequency={"at": ["20 kHz"]}, accuracy={"resistance": "0.01 %"})
    slopes = {} if of is None else {"slopes": {"of": of}}
    lead = {key: value for key, value in (LEAD | more).items() if value is not None}
    return solve_case(checked_case(tables | {"conductor": [lead, tables["conductor"][1]]} | slopes))


def test_more_strands_and_thicker_ones_are_those_of_changed_cases() -> None:
    found = {one.key: one for one in solved(OF).points[0].slopes}
    assert set(found) == set(OF)
    ends = {
        "a.strands": [{"strands": n} for n in (392, 408)],
        "a.strand_diameter": [{"strand_diameter": f"{d} mm"} for d in (0.1998, 0.2002)],
    }
    for key, (less, more) in ends.items():
        one, other = (solved(None, **row).points[0].circuits["feed"] for row in (less, more))
        step = 16.0 if key == "a.strands" else 4e-7
        for name in ("resistance", "inductance"):
            wanted = (getattr(other, name) - getattr(one, name)) / step
            size = getattr(one, name) / found[key].value
            assert getattr(found[key].circuits["feed"], name) == pytest.approx(wanted, rel=1e-3, abs=1e-4 * size), key


def test_groups_grow_from_within() -> None:
    result = solved(["a.strands"], strands=None, construction="5 x 80")
    (slope,) = result.points[0].slopes
    assert slope.value == 400
    assert slope.circuits["feed"].resistance is not None


@cache
def seven() -> Result:
    return solved(["a.strands", "a.pitch"], strands=7, strand_diameter="0.9 mm", outer_diameter=None, pitch="1.2 mm")


def test_strands_solved_for_one_by_one_are_one_conductor() -> None:
    (slope,) = seven().points[0].slopes
    assert set(slope.conductors) == {"a", "b"}
    assert sum(one.loss for one in slope.conductors.values()) == pytest.approx(slope.loss, rel=1e-6)
    one, other = (slope.conductors[name] for name in "ab")
    assert None not in (one.force, other.force, one.force_error, other.force_error)
    assert abs(one.force - other.force) <= one.force_error + other.force_error  # they push each other


def test_strands_that_do_not_fit_or_lie_one_by_one_are_told() -> None:
    said = " ".join(chapter(seven(), "slopes").sentences)
    assert "a.strands has no slope: each strand is solved for" in said
    tight = solved(["a.strands"], strands=445, insulated_diameter="0.26 mm", take_up=1.0)
    assert "fiftieth more or fewer of them make no sound case" in " ".join(chapter(tight, "slopes").sentences)


def test_a_figure_that_no_bundle_has_is_refused() -> None:
    with pytest.raises(CaseError, match=r'found "a\.strnads"; did you mean "a\.strands"'):
        solved(["a.strnads"])
