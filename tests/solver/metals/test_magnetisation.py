"""Magnetisation curves and their effective permeability, against integrals of the general library."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.magnetisation import Law, Magnetisation

CURVE = Magnetisation.froelich(1000.0, 2.0)


def froelich(h: float) -> float:
    """B of H >= 0 by the formula itself."""
    c = MU0 * 999.0
    return MU0 * h + c * h / (1 + c * h / 2.0)


@pytest.mark.parametrize("h", [0.1, 30.0, 1.6e3, 9e4, 3e6])
def test_the_points_are_joined_as_the_formula_runs(h: float) -> None:
    assert float(CURVE.density(h)) == pytest.approx(froelich(h), rel=1e-4)


@pytest.mark.parametrize("h", [10.0, 2e3, 1e5])
def test_fundamental_of_flux_where_strength_is_a_sine(h: float) -> None:
    mean = quad(lambda t: froelich(h * np.sin(t)) * np.sin(t), 0, np.pi / 2)[0] * 4 / np.pi
    assert CURVE.permeability(np.array([h]), "H")[0] == pytest.approx(mean / h / MU0, rel=1e-3)


@pytest.mark.parametrize("crest", [0.01, 1.2, 2.1])
def test_fundamental_of_strength_where_flux_is_a_sine(crest: float) -> None:
    def strength(b: float) -> float:
        return float(brentq(lambda h: froelich(h) - b, 0.0, 1e7, xtol=1e-9, rtol=1e-13)) if b else 0.0

    first = quad(lambda t: strength(crest * np.sin(t)) * np.sin(t), 0, np.pi / 2)[0] * 4 / np.pi
    assert CURVE.permeability(np.array([first]), "B")[0] == pytest.approx(crest / first / MU0, rel=3e-3)


@pytest.mark.parametrize("law", ["H", "B", "none"])
def test_weak_fields_meet_the_initial_and_strong_ones_air(law: Law) -> None:
    found = CURVE.permeability(np.array([0.0, 1e-6, 1e9]), law)
    assert found[:2] == pytest.approx(1000.0, rel=1e-4)
    assert 1 < found[2] < 1.01
