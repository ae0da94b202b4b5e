"""Bounds of data sheets as standard uncertainties."""

import math

import numpy as np
import pytest

from crosscurrent.solver.meter.accuracy import MeterRange, errors_at

SHEET = (MeterRange(1e4, 0.0005, 10e-6), MeterRange(1e6, 0.003, 100e-6))


def test_a_bound_is_a_uniform_distribution() -> None:
    found = errors_at(np.array([1e3, 1e4, 1e5]), SHEET)
    assert found.gain * math.sqrt(3) == pytest.approx([0.0005, 0.0005, 0.003])
    assert found.floor * math.sqrt(3) == pytest.approx([10e-6, 10e-6, 100e-6])
    assert found.ranges.tolist() == [0, 0, 1]


def test_its_standard_deviation_is_that_of_draws() -> None:
    drawn = np.random.default_rng(1).uniform(-0.0005, 0.0005, 400_000)
    assert errors_at(np.array([50.0]), SHEET).gain[0] == pytest.approx(drawn.std(), rel=3e-3)
