"""The instant of the largest force against a search through the cycle, and the force there by the stress."""

from __future__ import annotations

import numpy as np
import pytest
from common import TURN, bar

from crosscurrent.solver.field.beams import pushes
from crosscurrent.solver.field.peak_force import instant, peak_forces, peaks
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve

PHASES = Problem(
    tuple(bar(name, 0.03, 0.005, y=-0.012 * k) for k, name in enumerate("abc")),
    tuple(Circuit(f"L{k}", 100 * TURN**k, (name,)) for k, name in enumerate("abc")),
)


def test_instant_of_forces_at_random() -> None:
    rng = np.random.default_rng(6)
    turn = np.linspace(0, np.pi, 20001)
    for _ in range(20):
        mean, (a, b) = rng.normal(size=2), rng.normal(size=(2, 2))
        swing = a + 1j * b
        course = np.hypot(*(mean[:, None] + (swing[:, None] * np.exp(2j * turn)).real))
        found = float(np.hypot(*(mean + (swing * np.exp(2j * instant(mean, swing))).real)))
        assert course.max() * (1 - 1e-12) <= found <= course.max() * (1 + 1e-6)


@pytest.mark.parametrize("frequency", [0.0, 50.0])
def test_largest_forces_of_three_phases(frequency: float) -> None:
    flow = solve(PHASES, frequency).fine
    found = peak_forces(flow, peaks(flow))
    assert [one.value for one in found] == pytest.approx([p.peak for p in pushes(flow)], rel=2e-5)


def test_the_load_tells_what_more_of_all_currents_does() -> None:
    """Forces go with the square of the field: load . A is the force itself."""
    flow = solve(PHASES, 50.0).fine
    for one in peak_forces(flow, peaks(flow)):
        assert (one.turn * (one.load @ flow.potential)).real == pytest.approx(one.value, rel=1e-9)
