"""One conductor by itself."""

import math

import pytest

from crosscurrent.geometries.plane.shapes import tube
from crosscurrent.solver.field.alone import alone
from crosscurrent.solver.field.solve import solve


def test_a_pipe_at_rest_loses_what_its_metal_costs():
    problem = alone(tube(0.012, 0.001), 1000.0, "pipe")
    assert problem.names == ("pipe",)
    area = math.pi * (0.006**2 - 0.005**2)
    assert solve(problem, 0.0).fine.powers[0].real == pytest.approx(1e6 / (58e6 * area), rel=1e-9)
