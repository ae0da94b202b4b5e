"""Stacks of wide strips against the layers of the reference rows (Rayleigh 1886; Dowell 1966)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from common import COPPER, MU0, SIGMA, frequency_for
from reference_rows import rows

from crosscurrent.solver.metals.layers import Layer, LayerError
from crosscurrent.solver.metals.stacks import stack_impedance

THICK, WIDTH = 1e-3, 1.0
AT_REST = 1 / (SIGMA * THICK * WIDTH)


@pytest.mark.parametrize("depths", [0.5, 1.0, 2.0, 3.0])
@pytest.mark.parametrize("count", [1, 2, 5])
def test_strips_out_and_back_are_the_layers_of_the_rows(depths: float, count: int) -> None:
    """Counted from the outside, strip m of a transposed half lies between the fields of m - 1 and of m currents."""
    layers = {(row.number("m"), row.number("t/delta")): row.value for row in rows("plates", 22)}
    strips, gaps = [Layer(COPPER, THICK)] * 2 * count, [1e-4] * (2 * count - 1)
    z = stack_impedance(strips, gaps, WIDTH, frequency_for(THICK / depths))
    currents = np.repeat([1.0, -1.0], count)
    loss = (currents @ z @ currents).real / AT_REST
    assert loss == pytest.approx(2 * sum(layers[m, depths] for m in range(1, count + 1)), rel=1e-9)


def test_two_plates_have_the_inductance_of_their_gap_and_of_the_rows() -> None:
    within = next(r for r in rows("plates", 1, 14) if r.quantity.startswith("Li") and r.number("t/delta") == 2.0)
    frequency, gap = frequency_for(THICK / 2), 5e-4
    z = stack_impedance([Layer(COPPER, THICK)] * 2, [gap], WIDTH, frequency)
    loop = z[0, 0] - z[0, 1] - z[1, 0] + z[1, 1]
    expected = MU0 * gap / WIDTH + 2 * within.value * MU0 * THICK / 3 / WIDTH
    assert loop.imag / (2 * math.pi * frequency) == pytest.approx(expected, rel=1e-9)


def test_the_matrix_is_that_of_a_passive_reciprocal_stack() -> None:
    strips = [Layer(COPPER, t) for t in (1e-3, 3e-4, 2e-3, 1e-2)]
    z = stack_impedance(strips, [1e-4, 2e-3, 5e-4], 0.1, 5e3, temperatures=[20.0, 90.0, 40.0, 20.0])
    np.testing.assert_allclose(z, z.T, rtol=0, atol=1e-12 * np.abs(z).max())
    assert np.linalg.eigvalsh(z.real).min() > 0


def test_gaps_have_to_lie_between_the_strips() -> None:
    with pytest.raises(LayerError, match="found 2 strips and 2 gaps"):
        stack_impedance([Layer(COPPER, THICK)] * 2, [1e-3, 1e-3], WIDTH, 50.0)
    with pytest.raises(LayerError, match="above 0 Hz"):
        stack_impedance([Layer(COPPER, THICK)] * 2, [1e-3], WIDTH, 0.0)
