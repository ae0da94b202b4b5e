"""The narrowest gap that the checks let through is one the mesh and the solve serve."""

from __future__ import annotations

import math

import pytest

from crosscurrent.geometries.section import Part
from crosscurrent.geometries.shapes import bar
from crosscurrent.solver.materials import MATERIALS
from crosscurrent.solver.problem import Circuit, Conductor, Problem
from crosscurrent.solver.solve import solve

MU0 = 4e-7 * math.pi


def pair(gap: float) -> Problem:
    bars = (("outgoing", 0.003 + gap / 2), ("return", -0.003 - gap / 2))
    made = tuple(Conductor(Part(n, bar(0.1, 0.006).placed((0, y))), MATERIALS["copper"]) for n, y in bars)
    return Problem(made, (Circuit("feed", 900.0, ("outgoing",), ("return",)),))


def test_bars_half_a_micrometre_apart_are_solved() -> None:
    """R and the inner reactance of two wide faces: 2 / (sigma delta w), the law of the skin (any textbook)."""
    problem = pair(0.55e-6)
    found = solve(problem, 85e3, accuracy=1e-2).fine.circuit(problem.circuits[0]) / 900
    delta = MATERIALS["copper"].skin_depth(85e3)
    faces = 2 / (58e6 * delta * 0.1)
    assert found.real == pytest.approx(faces, rel=0.03)  # the edges add a little
    assert found.imag == pytest.approx(faces + 2 * math.pi * 85e3 * MU0 * 0.55e-6 / 0.1, rel=0.03)
