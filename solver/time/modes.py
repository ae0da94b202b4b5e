"""How one decaying mode answers an exponential: exactly, also where their rates nearly agree."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import ComplexArray, FloatArray


def exponential_response(rates: FloatArray, rate: complex, times: FloatArray) -> tuple[ComplexArray, ComplexArray]:
    """Solution of dx/dt = -w x + exp(rate t) from x = 0, and its derivative, for every w.

    Parameters
    ----------
    rates : (r,) float
        w of every mode, above 0 [1/s].
    rate : complex
        Of the exponential [1/s].
    times : (m,) float
        [s], not below 0.

    Returns
    -------
    state, derivative : (m, r) complex
        [s], [-]

    Examples
    --------
    A step: (1 - exp(-w t)) / w.

    >>> state, slope = exponential_response(np.array([2.0]), 0.0, np.array([1.0]))
    >>> round(complex(state[0, 0]).real, 6), round(complex(slope[0, 0]).real, 6)
    (0.432332, 0.135335)
    """
    total = rate + rates
    near = np.abs(total) < 1e-3 * rates
    own, given = np.exp(-times[:, None] * rates), np.exp(times * rate)[:, None]
    safe = np.where(near, 1.0, total)
    state = (given - own) / safe
    change = (rate * given + rates * own) / safe
    if near.any():
        w, small = rates[near], np.where(total[near] == 0, 1e-300, total[near])
        with np.errstate(over="ignore", invalid="ignore"):
            close = own[:, near] * np.expm1(small * times[:, None]) / small
        state[:, near] = np.nan_to_num(close)
        change[:, near] = given - w * state[:, near]
    return state, change
