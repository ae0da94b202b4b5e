"""What no reduced model can hold, conductor by conductor."""

from __future__ import annotations

import pytest

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.band.obstacle import obstacle
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.metals.materials import MATERIALS


@pytest.mark.parametrize(("roughness", "why"), [(0.0, None), (1e-6, '"b" is rough, which changes its metal')])
def test_the_first_that_stands_in_the_way_is_named(roughness: float, why: str | None) -> None:
    copper, wire = MATERIALS["copper"], round_bar(1e-3)
    smooth = Conductor(Part("a", wire), copper)
    other = Conductor(Part("b", wire.placed((2e-3, 0.0))), copper, roughness=roughness)
    found = obstacle(Problem((smooth, other), (Circuit("feed", 1.0, ("a",), ("b",)),)))
    assert found is None if why is None else why in (found or "")
