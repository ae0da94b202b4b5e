"""What a band of the temperature leaves open of a loss."""

from __future__ import annotations

from dataclasses import replace

import pytest
from topic_answers import wire

from crosscurrent.solver.heat.loss_slope import loss_slope


def test_it_is_the_coefficient_at_the_temperature_in_use() -> None:
    """Copper of 0.393 %/K at 20 degC (IEC 60028): a / (1 + a (T - 20)) elsewhere; never negative."""
    assert loss_slope(wire(temperature=100.0)) == pytest.approx(0.00393 / (1 + 0.00393 * 80))
    carbon = wire()
    falling = replace(carbon, material=replace(carbon.material, temperature_coefficient=-0.001))
    assert loss_slope(falling) == pytest.approx(0.001)
