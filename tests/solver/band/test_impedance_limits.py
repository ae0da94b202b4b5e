"""Both ends of the impedance of a Foster form, against its own sum."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.solver.band.foster import FosterForm
from crosscurrent.solver.band.impedance_limits import impedance_limits


def test_limits_of_a_sum_of_modes() -> None:
    """L(0) = L_oo + sum c c' / w; two conductors in series out and back: patterns (1, -1)."""
    pattern = np.array([[1.0], [-1.0]])
    surface = np.array([[3e-6, 1e-6], [1e-6, 3e-6]])
    rates, coupling = np.array([1e3, 1e5]), np.array([[0.1, -0.1], [0.2, 0.0]])
    found = impedance_limits(FosterForm(pattern, np.array([1e3, 2e3]), surface, rates, coupling))
    assert found.resistance_at_rest == pytest.approx(np.array([[1.5e-3]]))
    assert found.inductance_at_surface == pytest.approx(np.array([[4e-6]]))
    assert found.inductance_at_rest == pytest.approx(np.array([[4e-6 + 0.2**2 / 1e3 + 0.2**2 / 1e5]]))
