"""The answer of a mode to an exponential: its equation, its beginning, and the case of equal rates."""

import numpy as np
import pytest

from crosscurrent.solver.time.modes import exponential_response

RATES, TIMES = np.array([1.0, 30.0, 1e4]), np.array([0.0, 1e-3, 0.02, 0.5])


@pytest.mark.parametrize("rate", [0.0, -5.0, 2j * np.pi * 50, -3.0 + 40j])
def test_it_solves_its_equation(rate):
    state, slope = exponential_response(RATES, rate, TIMES)
    np.testing.assert_allclose(slope, -RATES * state + np.exp(rate * TIMES)[:, None], atol=1e-9)
    assert np.abs(state[0]).max() == 0


@pytest.mark.parametrize("apart", [0.0, 1e-9, 1e-4, 9.99e-4, 1.001e-3])
def test_equal_rates_are_no_special_case(apart):
    """x = (exp(-w (1 - a) t) - exp(-w t)) / (w a), at a = 0 t exp(-w t)."""
    w, t = 30.0, np.array([0.01, 0.1])
    state, _ = exponential_response(np.array([w]), -w * (1 - apart), t)
    exact = t * np.exp(-w * t) * (np.expm1(w * apart * t) / (w * apart * t) if apart else 1)
    np.testing.assert_allclose(state[:, 0].real, exact, rtol=1e-9)
