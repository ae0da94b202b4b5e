"""Steps in time: order conditions of J. C. Butcher (Numerical Methods for Ordinary Differential Equations, 2008), exact
exponentials, and what is counted up."""

import math

import numpy as np
import pytest
from scipy import sparse

from crosscurrent.solver.heat.implicit_steps import EMBEDDED, STAGES, Rates, StepsError, followed


def test_order_conditions():
    a, c = STAGES, STAGES.sum(axis=1)
    assert c == pytest.approx([0, 0.5, 0.332, 0.62, 0.85, 1.0], abs=1e-15)
    for weights, order in ((STAGES[-1], 4), (EMBEDDED, 3)):
        conditions = [
            (weights.sum(), 1), (weights @ c, 2), (weights @ c**2, 3), (weights @ a @ c, 6), (weights @ c**3, 4),
            (weights * c @ a @ c, 8), (weights @ a @ c**2, 12), (weights @ a @ a @ c, 24),
        ]  # fmt: skip
        for found, over in conditions[: 8 if order == 4 else 4]:
            assert found == pytest.approx(1 / over, abs=1e-15)


def decaying(rates):
    matrix = sparse.csc_array(np.diag(rates))
    return Rates(sparse.csc_array(np.eye(len(rates))), lambda v: (-matrix @ v, np.array([v.sum()])), lambda _: matrix)


def test_stiff_decay():
    rates = np.array([0.3, 4.0, 1e6])
    found = followed(decaying(rates), np.ones(3), 5.0, 1e-9, 1e-6)
    time = np.linspace(0, 5, 23)[1:]
    assert np.abs(found.at(time)[:, :2] - np.exp(-np.outer(time, rates[:2]))).max() < 1e-7
    assert found.value[-1, 2] == pytest.approx(0.0, abs=1e-12)
    assert found.counted[-1, 0] == pytest.approx(((1 - np.exp(-5 * rates)) / rates).sum(), rel=1e-6)
    assert found.time[-1] == 5.0
    assert (np.diff(found.time) > 0).all()


def test_what_is_not_a_number_is_an_error():
    bad = Rates(sparse.csc_array(np.eye(1)), lambda v: (v * math.nan, v[:0]), lambda _: sparse.csc_array((1, 1)))
    with pytest.raises(StepsError, match="cannot be followed beyond 0 s"):
        followed(bad, np.ones(1), 1.0, 1e-6, 1e-3)
