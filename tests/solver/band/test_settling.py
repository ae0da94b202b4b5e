"""What a growing model would still change: against forms whose elements change by known parts."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.solver.band.foster import FosterForm
from crosscurrent.solver.band.settling import expected_error, moved

ONE, WATCHED = np.eye(1), np.array([1e2, 1e4])


def _form(inductance: float, conductance: float = 1e3) -> FosterForm:
    return FosterForm(ONE, np.array([conductance]), inductance * ONE, np.array([1e4]), np.array([[0.0]]))


def test_the_largest_relative_change_counts() -> None:
    assert moved(_form(1e-6), _form(1.01e-6), WATCHED) == pytest.approx(0.01 / 1.01)
    assert moved(_form(1e-6), _form(1.01e-6, 2e3), WATCHED) == pytest.approx(1.0)
    assert moved(_form(1e-6), _form(1e-6, -1e3), WATCHED) == math.inf


def test_changes_that_shrink_go_on_shrinking() -> None:
    history = [_form(1e-6 * (1 + 0.1**k)) for k in (1, 2, 3)]
    assert expected_error(history, WATCHED) == pytest.approx(0.009**2 / 0.09, rel=0.03)
    assert expected_error(history[:2], WATCHED) == math.inf
    assert expected_error(history[::-1], WATCHED) == math.inf
