"""What a growing model would still change: against forms whose elements change by known parts."""

from __future__ import annotations

import math

import numpy as np
import pytest

from crosscurrent.geometries.arrays import ComplexArray
from crosscurrent.solver.band.foster import FosterForm
from crosscurrent.solver.band.settling import expected_error, moved

ONE, WATCHED = np.eye(1), np.array([1e2, 1e4])


def _impedance(inductance: float, conductance: float = 1e3) -> ComplexArray:
    form = FosterForm(ONE, np.array([conductance]), inductance * ONE, np.array([1e4]), np.array([[0.0]]))
    return form.impedance(WATCHED)


def test_the_largest_relative_change_counts() -> None:
    assert moved(_impedance(1e-6), _impedance(1.01e-6)) == pytest.approx(0.01 / 1.01)
    assert moved(_impedance(1e-6), _impedance(1.01e-6, 2e3)) == pytest.approx(1.0)
    assert moved(_impedance(1e-6), _impedance(1e-6, -1e3)) == math.inf


def test_changes_that_shrink_go_on_shrinking() -> None:
    history = [_impedance(1e-6 * (1 + 0.1**k)) for k in (1, 2, 3)]
    assert expected_error(history) == pytest.approx(0.009**2 / 0.09, rel=0.03)
    assert expected_error(history[:2]) == math.inf
    assert expected_error(history[::-1]) == math.inf
