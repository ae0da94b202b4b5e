"""Colour scales: their end, their power, their ticks."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.postprocess.pictures.scale import Scale, _round_above


@pytest.mark.parametrize(("value", "end"), [(1.0, 1.0), (1.01, 1.2), (0.031, 0.04), (9.1, 10.0), (61.0, 80.0)])
def test_ends_are_round(value: float, end: float) -> None:
    assert _round_above(value) == pytest.approx(end)


def test_an_even_field_is_linear_and_nothing_is_clipped() -> None:
    scale = Scale.of(np.linspace(0, 1, 1001), np.ones(1001))
    assert scale == Scale(1.0, 1.0, False)
    assert scale.ticks[0] == 0.0
    assert scale.ticks[-1] == 1.0


def test_a_sharp_corner_does_not_set_the_end() -> None:
    values, areas = np.array([1.0, 1.0, 1000.0]), np.array([1.0, 1.0, 1e-9])
    scale = Scale.of(values, areas)
    assert scale.high == 1.0
    assert scale.clipped


def test_the_middle_value_gets_the_middle_colour() -> None:
    """0.25 over more than half of the area: 0.25^0.5 is 0.5."""
    scale = Scale.of(np.array([0.25, 0.25, 1.0]), np.array([1.0, 1.0, 0.9]))
    assert scale.power == pytest.approx(0.5)
    assert float(scale.norm(0.25)) == pytest.approx(0.5)


def test_no_field_at_all() -> None:
    assert Scale.of(np.zeros(3), np.ones(3)) == Scale(1.0, 1.0, False)
    assert Scale.of(np.zeros(0), np.zeros(0)).high == 1.0
