"""The covariance of a reading against drawn readings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from crosscurrent.solver.meter.reading import MeterReading
from crosscurrent.solver.meter.uncertainty import Uncertainty, stacked

F = np.geomspace(1e2, 1e5, 12)
Z = 1e-2 + 1j * F * 1e-6


def reading():
    one = np.ones(len(F))
    return MeterReading(frequencies=F, resistance=Z.real, reactance=Z.imag, gain=2e-3 * one, angle=1e-3 * one,
                        floor=1e-4 * one, noise_resistance=1e-5 * one, noise_reactance=2e-5 * one,
                        ranges=(F > 5e3).astype(int), length=1.0)  # fmt: skip


def test_covariance_is_that_of_drawn_errors():
    """4000 draws: standard deviations to 5 %, the chi-square has the mean and variance of its distribution."""
    rng, r = np.random.default_rng(3), reading()
    found = Uncertainty.of(r, np.zeros(len(F)), np.zeros(len(F)))
    rows = []
    for _ in range(4000):
        gain, angle, a, b = (rng.normal(size=2)[r.ranges] for _ in range(4))
        z = Z * (2e-3 * gain + 1e-3j * angle) + 1e-4 * (a + 1j * b)
        rows.append(stacked(z + rng.normal(size=len(F)) * 1e-5 + 2e-5j * rng.normal(size=len(F))))
    drawn = np.array(rows)
    assert drawn.std(axis=0) == pytest.approx(found.each, rel=0.05)
    squares = (found.whitened(drawn.T) ** 2).sum(axis=0)
    assert squares.mean() == pytest.approx(2 * len(F), rel=0.02)
    assert squares.var() == pytest.approx(4 * len(F), rel=0.15)


def test_scatter_leaves_out_what_is_common():
    found = Uncertainty.of(reading(), np.zeros(len(F)), np.zeros(len(F)))
    common = stacked(1e-3 * Z)
    assert np.abs(found.scatter(common)).max() < 0.1 * np.abs(common / found.noise).max()
    kick = np.zeros(2 * len(F))
    kick[4] = 5e-5
    assert found.scatter(kick)[4] > 3


def test_the_floor_can_be_taken_off():
    one, none = reading(), np.zeros(len(F))
    found = Uncertainty.of(one, none, none)
    assert found.floors.shape == (2 * len(F), 4)  # R and X of two ranges
    without = Uncertainty.of(replace(one, floor=none), none, none)
    assert found.without_floor().each == pytest.approx(without.each, rel=1e-9)
    assert without.floors.size == 0


def test_a_loosened_one_is_wider_and_has_a_larger_determinant():
    found = Uncertainty.of(reading(), np.zeros(len(F)), np.zeros(len(F)))
    wider = found.loosened(np.full(len(F), 1e-4))
    assert (wider.each > found.each).all()
    assert wider.size > found.size
    assert wider.size == pytest.approx(
        0.5 * np.linalg.slogdet(wider.common + np.diag(wider.noise**2))[1], rel=1e-9
    )  # fmt: skip
