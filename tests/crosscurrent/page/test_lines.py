"""Flux lines of a page."""

import numpy as np
import pytest
from common import rod

from crosscurrent.page.lines import flux_lines
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.field.solve import solve


def test_lines_around_two_wires_are_circles_of_constant_ratio() -> None:
    """Outside of two thin wires A goes with ln(r2 / r1): along a line the ratio of distances stays (Apollonius)."""
    pair = Problem((rod("a", 0.002), rod("b", 0.002, 0.05)), (Circuit("feed", 1.0, ("a",), ("b",)),))
    lines = [np.array(flat).reshape(-1, 2) for flat in flux_lines(solve(pair, 0.0).fine)]
    assert len(lines) > 8
    away = [np.stack((np.hypot(x, y), np.hypot(x - 0.05, y))) for x, y in (line.T for line in lines)]
    outside = [both for both in away if both.min() > 0.001]
    assert len(outside) > 4
    for one, other in outside:
        assert np.ptp(np.log(one / other)) < 0.02


def test_nothing_flows_no_lines() -> None:
    still = Problem((rod("a", 0.002), rod("b", 0.002, 0.05)), (Circuit("feed", 0.0, ("a",), ("b",)),))
    assert flux_lines(solve(still, 50.0).fine) == pytest.approx([])
