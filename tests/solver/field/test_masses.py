"""Area and mass of every metal, whichever conductor it is in."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from topic_answers import wire

from crosscurrent.solver.field.masses import metal_shares
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.metals.materials import MATERIALS


def test_regions_of_one_metal_add_up_and_the_most_comes_first() -> None:
    unknown = replace(MATERIALS["brass"], name="alloy", density=None)
    conductors = (wire("a"), replace(wire("b"), material=unknown), wire("c"))
    mesh = SimpleNamespace(region=np.array([0, 0, 1, 2, -1]), areas=lambda: np.array([1e-4, 2e-4, 5e-4, 4e-4, 1.0]))
    solution: Any = SimpleNamespace(
        problem=Problem(conductors, ()), fine=SimpleNamespace(discretisation=SimpleNamespace(mesh=mesh))
    )
    copper, alloy = metal_shares(solution)
    assert (copper.material, copper.area) == ("copper", pytest.approx(7e-4))
    assert copper.mass == pytest.approx(7e-4 * 8890)
    assert (alloy.material, alloy.mass) == ("alloy", None)
