"""Ranges and fills."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.api import case, circuit, conductor
from crosscurrent.casefile.case import Case
from crosscurrent.casefile.faults import CaseError
from crosscurrent.studies.plan import Range, fill, plan_over


@pytest.mark.parametrize("span", [(0.001, 0.1), (0.002, 0.006), (-1.0, 3.0)])
def test_shares_of_a_range_and_back(span: tuple[float, float]) -> None:
    ranged = Range("x", *span, "length")
    assert (ranged.at(0.0), ranged.at(1.0)) == span
    for share in np.linspace(0.05, 0.95, 7):
        assert ranged.share(ranged.at(share)) == pytest.approx(share, abs=1e-12)
        step = (ranged.at(share + 1e-6) - ranged.at(share - 1e-6)) / 2e-6
        assert ranged.per_share(share) == pytest.approx(step, rel=1e-6)


def test_a_fill_has_its_points_in_every_quarter() -> None:
    points = np.array(fill(16, 2))
    assert {(int(x > 0.5), int(y > 0.5)) for x, y in points} == {(0, 0), (0, 1), (1, 0), (1, 1)}
    assert np.array_equal(points, fill(16, 2))


def _rod(size: float, metal: str = "copper") -> Case:
    rod = conductor("rod", "round", material=metal, diameter=f"{size} mm")
    return case("rod", rod, circuit("feed", "1 A", out=["rod"]), at=["0 Hz"])


def test_over_a_function() -> None:
    plan = plan_over(_rod, {"size": (1, 9), "metal": ["copper", "silver"]}, ("loss",), 3, 4)
    assert (plan.ranges[0].low, plan.question.circuit) == (1, "feed")
    assert plan.choices[0].options[1].values["metal"] == "silver"
    with pytest.raises(CaseError, match="from a lower to a higher number"):
        plan_over(_rod, {"size": (9, 1)}, ("loss",), None, 4)
    with pytest.raises(CaseError, match="something that varies"):
        plan_over(_rod, {}, ("loss",), None, 4)
    with pytest.raises(CaseError, match='found "lost"; did you mean "loss"'):
        plan_over(_rod, {"size": (1, 9)}, ("lost",), None, 4)
    with pytest.raises(CaseError, match="one aim, or two different ones, found loss, mass, cost"):
        plan_over(_rod, {"size": (1, 9)}, ("loss", "mass", "cost"), None, 4)
