"""Slopes by differences: force, temperature and water, by the laws that they follow."""

from __future__ import annotations

import pytest
from topic_cases import bars, chapter

from crosscurrent.casefile.case import checked_case
from crosscurrent.run import solve_case


def found(**more: object) -> dict[tuple[str, str], dict[str, float]]:
    rows = chapter(solve_case(checked_case(bars(**more))), "slopes_by_differences").record["slopes"]
    return {(row["key"], row["figure"]): row for row in rows}


def relative(row: dict[str, float]) -> float:
    return row["slope_per_si"] * row["value_si"] / row["figure_value"]


def test_force_goes_with_the_square_of_the_current_and_air_warms_what_it_cools() -> None:
    asked = {"of": ["feed.current", "ambient"], "differences": ["force", "temperature"]}
    slopes = found(slopes=asked, cooling={})
    force = slopes["feed.current", "peak force"]
    assert relative(force) == pytest.approx(2.0, rel=2e-3)  # warmer metal spreads the current a little
    assert abs(relative(force) - 2.0) * force["figure_value"] / force["value_si"] <= force["slope_error"]
    assert 0.5 < slopes["ambient", "hottest conductor"]["slope_per_si"] < 1.5
    current = slopes["feed.current", "hottest conductor"]
    assert 1.0 < relative(current) * current["figure_value"] / (current["figure_value"] - 40.0) < 2.5


def test_water_rises_less_with_more_of_it() -> None:
    tube = {"shape": "tube", "diameter": "20 mm", "wall": "2 mm", "material": "copper"}
    rows = [tube | {"name": n, "centre": [x, "0 mm"]} for n, x in (("a", "-20 mm"), ("b", "20 mm"))]
    water = [{"conductors": ["a", "b"], "inlet": "25 degC", "flow": "4 l/min"}]
    asked = {"of": ["water.1.flow"], "differences": ["water"]}
    slopes = found(conductor=rows, water=water, length="3 m", slopes=asked, accuracy={"resistance": "1 %"})
    rise = slopes["water.1.flow", "rise of the water"]
    assert relative(rise) == pytest.approx(-1.0, abs=0.01)  # heat over flow, a little less heat where it is cooler
    assert rise["slope_error"] <= 0.1 * abs(rise["slope_per_si"])
