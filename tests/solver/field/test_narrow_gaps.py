"""The narrowest gap that the checks let through is one the mesh and the solve serve."""

from __future__ import annotations

import math

import common
import pytest
from common import MU0, bar

from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.materials import MATERIALS


def pair(gap: float) -> Problem:
    y = 0.003 + gap / 2
    return common.pair(bar("outgoing", 0.1, 0.006, 0.0, y), bar("return", 0.1, 0.006, 0.0, -y), 900.0, "feed")


def test_bars_half_a_micrometre_apart_are_solved() -> None:
    """R and the inner reactance of two wide faces: 2 / (sigma delta w), the law of the skin (any textbook)."""
    problem = pair(0.55e-6)
    found = solve(problem, 85e3, accuracy=1e-2).fine.circuit(problem.circuits[0]) / 900
    delta = MATERIALS["copper"].skin_depth(85e3)
    faces = 2 / (58e6 * delta * 0.1)
    assert found.real == pytest.approx(faces, rel=0.03)  # the edges add a little
    assert found.imag == pytest.approx(faces + 2 * math.pi * 85e3 * MU0 * 0.55e-6 / 0.1, rel=0.03)
