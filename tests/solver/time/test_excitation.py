"""Currents in time against the standards' peak factor, plain formulas and their own slope."""

import math

import numpy as np
import pytest

from crosscurrent.solver.time.excitation import half_sine, offset, step


@pytest.mark.parametrize("x_over_r", [2.0, 5.0, 14.0, 50.0])
def test_peak_of_a_short_circuit_current(x_over_r):
    """IEC 60909-0: kappa = 1.02 + 0.98 exp(-3 R / X), good to about 2 %, here at the making angle that is worst."""
    constant = x_over_r / (2 * math.pi * 50)
    times = np.linspace(0, 0.02, 4001)
    # begins at the zero of the voltage: the current would lag by atan(X/R)
    found = offset(1000.0, 50.0, constant, 0.02, angle=-math.atan(x_over_r)).current(times)
    assert found.max() / (1000 * math.sqrt(2)) == pytest.approx(1.02 + 0.98 * math.exp(-3 / x_over_r), rel=0.02)


def test_a_short_circuit_current_begins_at_zero_and_ends_as_a_sine():
    made = offset(700.0, 50.0, 0.01, 0.5, angle=0.4)
    assert made.current(np.array([0.0]))[0] == pytest.approx(0.0, abs=1e-10)
    late = np.linspace(0.4, 0.42, 2001)
    assert math.sqrt(np.mean(made.current(late)[:-1] ** 2)) == pytest.approx(700.0, rel=1e-6)
    assert made.period == pytest.approx(0.02)


def test_a_half_wave_is_over_after_half_a_period():
    pulse = half_sine(100.0, 400.0, 0.01)
    times = np.linspace(0, 0.01, 8001)
    current = pulse.current(times)
    assert np.abs(current[times > 0.5 / 400 + 1e-9]).max() < 1e-9
    assert np.trapezoid(current**2, times) == pytest.approx(100.0**2 * 0.5 / 400, rel=1e-6)


def test_slope_is_the_derivative():
    made, times, close = offset(700.0, 50.0, 0.01, 0.5, angle=0.4), np.linspace(0.001, 0.03, 50), 1e-7
    slope = (made.current(times + close) - made.current(times - close)) / (2 * close)
    np.testing.assert_allclose(made.slope(times), slope, rtol=1e-6, atol=1.0)


def test_a_step_has_no_period():
    assert step(3.0, 1.0).period == math.inf
    assert step(3.0, 1.0).current(np.array([0.0, 0.5])) == pytest.approx([3.0, 3.0])
