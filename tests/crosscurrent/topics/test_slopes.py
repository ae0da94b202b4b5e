"""[slopes] in a case: keys of the contract, one frequency and several, what has no slope, and what is at fault."""

from __future__ import annotations

import json
from typing import Any

import pytest
from topic_cases import bars, chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.casefile.varied import varied
from crosscurrent.postprocess.files.read import read_document
from crosscurrent.postprocess.files.results import as_json
from crosscurrent.result import Result
from crosscurrent.run import solve_case
from crosscurrent.solver.field.solution import DirectSolution


def solved(**more: Any) -> Result:
    return solve_case(checked_case(bars(slopes={}, **more)))


@pytest.fixture(scope="module")
def pair() -> Result:
    return solved(length="1 m")


def test_figures_of_the_contract(pair: Result) -> None:
    document = json.loads(as_json(pair.heading, pair.points, pair.chapters))
    found = {one["key"]: one for one in document["points"][0]["slopes"]}
    assert {"a.width", "b.thickness", "a.centre.x", "copper.conductivity", "feed.current", "frequency"} <= set(found)
    assert set(found["a.width"]["circuits"]["feed"]) == {
        "resistance_ohm_per_m_per_si", "resistance_slope_error", "inductance_h_per_m_per_si", "inductance_slope_error",
        "resistance_relative", "inductance_relative",
    }  # fmt: skip
    current = found["feed.current"]
    assert current["loss_relative"] == pytest.approx(2.0, rel=1e-5)
    assert current["circuits"]["feed"]["resistance_relative"] == pytest.approx(0.0, abs=1e-6)


def test_slopes_are_those_of_changed_cases(pair: Result) -> None:
    slope = next(one for one in pair.points[0].slopes if one.key == "a.thickness")
    ends = [solve_case(varied(pair.case, {"a.thickness": 0.05 + step})).points[0] for step in (-5e-4, 5e-4)]
    for name, of in (("resistance", "resistance"), ("inductance", "inductance")):
        before, after = (getattr(p.circuits["feed"], of) for p in ends)
        assert getattr(slope.circuits["feed"], name) == pytest.approx((after - before) / 1e-3, rel=1e-3)
    assert slope.loss == pytest.approx((ends[1].total_loss - ends[0].total_loss) / 1e-3, rel=1e-3)


def test_read_back(pair: Result) -> None:
    _, points, _ = read_document(as_json(pair.heading, pair.points, pair.chapters), "results.json")
    assert points[0].slopes == pair.points[0].slopes


def test_some_figures_alone() -> None:
    result = solve_case(checked_case(bars(slopes={"of": ["a.width", "frequency"]})))
    assert [one.key for one in result.slopes[50.0]] == ["a.width", "frequency"]


def test_losses_of_conductors_alone_add_up(pair: Result) -> None:
    for slope in pair.points[0].slopes:
        alone = slope.conductors.values()
        assert sum(one.loss for one in alone) == pytest.approx(slope.loss, abs=1e-6 * sum(abs(o.loss) for o in alone))


def test_peak_forces_of_conductors(pair: Result) -> None:
    """They go with the square of the current; no net force, so that both are alike."""
    current = next(one for one in pair.points[0].slopes if one.key == "feed.current")
    assert [one.force_relative for one in current.conductors.values()] == pytest.approx([2.0, 2.0], rel=1e-5)
    found = chapter(pair, "slopes")
    assert any("the peak force on" in one and "feed.current +2.000 %" in one for one in found.sentences)
    assert any(table.heading.startswith("Peak force on each conductor") for table in found.tables)
    assert not any(s.keeps for s in pair.solutions.values() if isinstance(s, DirectSolution))  # factors are let go


def test_temperatures_that_were_found_are_held() -> None:
    result = solved(cooling={})
    slope = next(one for one in result.points[0].slopes if one.key == "feed.current")
    assert slope.loss_relative == pytest.approx(2.0, rel=1e-5)
    assert chapter(result, "slopes").record["temperatures_held"]


def test_a_sweep_leaves_its_slopes_at_every_frequency() -> None:
    asked = {"sweep": {"from": "50 Hz", "to": "500 Hz", "points": 8}}
    found = chapter(solve_case(checked_case(bars(frequency=asked, slopes={"of": ["a.width", "frequency"]}))), "slopes")
    head, *rows = found.files["slopes.csv"].splitlines()
    assert head.startswith("frequency_hz,figure,value_si,unit,solved,loss")
    assert len(rows) == 8 * 2
    assert found.record["solved_in_the_sweep"] == 8
