"""Every pair that meters show, from an impedance and back."""

import numpy as np
import pytest

from crosscurrent.solver.meter.equivalents import PAIRS, impedance

W = 2 * np.pi * np.array([1e2, 1e4, 1e6])
Z = np.array([5e-3, 9e-3, 0.05]) + 1j * W * 1.2e-6
Y = 1 / Z
SHOWN = {
    "Rs": Z.real,
    "Xs": Z.imag,
    "Ls": Z.imag / W,
    "Rp": 1 / Y.real,
    "Xp": -1 / Y.imag,
    "Lp": -1 / Y.imag / W,
    "Z": abs(Z),
    "phase": np.angle(Z),
    "Q": Z.imag / Z.real,
    "D": Z.real / Z.imag,
}


@pytest.mark.parametrize(("first", "second"), PAIRS)
def test_pairs_give_back_the_impedance(first: str, second: str) -> None:
    assert impedance(first, second, SHOWN[first], SHOWN[second], W) == pytest.approx(Z, rel=1e-12)


def test_a_parallel_pair_against_its_admittance() -> None:
    """100 ohm beside 1 mH at 10 000 / s: Y = 0.01 - 0.1 j, so Z = (0.01 + 0.1 j) / 0.0101."""
    found = impedance("Rp", "Lp", np.array([100.0]), np.array([1e-3]), np.array([1e4]))
    assert found == pytest.approx((0.01 + 0.1j) / 0.0101)
