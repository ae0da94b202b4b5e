"""What more metal at each wall does to the loss."""

import numpy as np
import pytest
from common import SIGMA, alone, frequency_for, pair, rod

from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.slopes import slopes
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.field.wall_gains import wall_gains


def test_all_walls_together_are_the_slope_over_the_radius():
    """A rod under ten skins deep, and one beside it that carries the return."""
    def make(diameter):
        return pair(rod("a", diameter), rod("b", 0.01, 0.03))

    solution = solve(make(0.01), frequency_for(5e-4))
    found = wall_gains(solution)
    steps = np.diff(found.places, axis=1)
    left = found.places[:, :-1, 0] < 0.015
    total = (np.hypot(steps[..., 0], steps[..., 1]) * found.gain)[left].sum()
    (slope,) = slopes(solution, [Change("radius", make(0.01 + 2e-9), 1e-9)])
    assert total == pytest.approx(slope.loss, rel=5e-3)


def test_alone_and_at_rest_every_wall_gains_the_same():
    """dP / dA = -P / A."""
    solution = solve(alone(rod("a", 0.01), 100.0), 0.0)
    area = np.pi * 0.005**2
    np.testing.assert_allclose(wall_gains(solution).gain, -(100.0**2) / (SIGMA * area) / area, rtol=2e-3)
