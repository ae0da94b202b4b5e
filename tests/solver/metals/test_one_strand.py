"""Bessel's solutions of one strand against scipy's functions."""

from __future__ import annotations

import cmath
import math

import numpy as np
import pytest
from scipy import special

from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.one_strand import bessel_ratio, ratios, skin_factor, strained


@pytest.mark.parametrize("z", [0.01 + 0.01j, 1 + 1j, 12 + 12j])
def test_ratios_of_bessel_functions(z: complex) -> None:
    expected = [special.iv(n + 1, z) / special.iv(n, z) for n in range(6)]
    np.testing.assert_allclose(ratios(np.array([z]), 5)[:, 0], expected, rtol=1e-12)


def test_skin_and_strain_of_a_strand() -> None:
    z = 0.25e-3 * cmath.sqrt(2j * math.pi * 1e6 * MU0 * 58e6)
    expected = (z / 2 * special.iv(0, z) / special.iv(1, z)).real
    assert skin_factor(0.5e-3, 58e6, 1e6) == pytest.approx(expected, rel=1e-12)
    assert bessel_ratio(z) == pytest.approx(special.iv(1, z) / special.iv(0, z), rel=1e-12)
    found = strained(0.5e-3, 58e6, np.array([0.0, 1e6]))
    assert found[0] == 0
    assert found[1] == pytest.approx(-special.iv(3, z) / special.iv(1, z), rel=1e-12)
