"""Values at many frequencies from few: against the function itself, and left to it where a series would not hold."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.arrays import ComplexArray, FloatArray
from crosscurrent.solver.metals.from_few import from_few

RATES = np.geomspace(1e2, 1e8, 13)  # [rad/s]


class Answered:
    """Parts of an impedance, and how many frequencies were asked for."""

    def __init__(self, pole: complex = 0.0) -> None:
        self.asked, self.pole = 0, pole

    def __call__(self, frequency: FloatArray) -> ComplexArray:
        self.asked += len(frequency)
        turning = 2j * np.pi * frequency[:, None]
        found = RATES / (RATES + turning)
        if self.pole:
            found = found + 1 / (1 + (turning / self.pole) ** 2)
        return np.stack((found, np.full_like(found, 1e-20)), axis=2)  # as of a pattern that drives nothing


@pytest.mark.parametrize("decades", [0.1, 1, 3, 6])
def test_a_thousand_frequencies_from_few(decades: float) -> None:
    answered, frequency = Answered(), np.geomspace(1e2, 10 ** (2 + decades), 1000)
    np.testing.assert_allclose(from_few(answered, frequency), Answered()(frequency), atol=1e-12)
    assert answered.asked < 25 * decades + 30


def test_rest_is_asked_for_itself() -> None:
    frequency = np.concatenate(([0.0], np.geomspace(1e2, 1e5, 300), [0.0]))
    found = from_few(Answered(), frequency)
    np.testing.assert_allclose(found[[0, -1], :, 0], 1.0, rtol=1e-15)


@pytest.mark.parametrize("frequency", [[0.0], [50.0], [0.0, 50.0], [50.0, 50.0], list(np.geomspace(1e2, 1e5, 40))])
def test_few_are_asked_for_themselves(frequency: list[float]) -> None:
    answered, at = Answered(), np.array(frequency)
    np.testing.assert_array_equal(from_few(answered, at), Answered()(at))


def test_what_is_not_smooth_is_asked_for_itself() -> None:
    """As a resonance would be: its pole lies beside the axis."""
    frequency, pole = np.geomspace(1e2, 1e5, 1000), 2e4 * np.exp(0.01j)
    np.testing.assert_array_equal(from_few(Answered(pole), frequency), Answered(pole)(frequency))
