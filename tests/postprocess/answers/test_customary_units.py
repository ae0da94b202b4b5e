"""Inch-pound figures, by the definitions of foot (0.3048 m), pound (0.45359237 kg) and pound-force."""

from __future__ import annotations

import pytest

from crosscurrent.postprocess.answers.customary_units import customary


@pytest.mark.parametrize(
    ("value", "unit", "said"),
    [
        (1.0, "W/m", "304.8 mW/ft"),
        (1 / 0.3048, "W/m", "1.000 W/ft"),
        (1.0, "kg/m", "0.672 lb/ft"),
        (1e6, "A/m2", "645.2 A/in2"),
        (25.4e-6, "m", "1 thou"),
        (0.0254, "m", "1 in"),
        (0.6096, "m", "24 in"),
        (0.0, "degC", "32.0 degF"),
        (-40.0, "degC", "-40.0 degF"),
        (50.0, "Hz", ""),
        (None, "W/m", ""),
    ],
)
def test_figures_of_the_trade(value: float | None, unit: str, said: str) -> None:
    assert customary(value, unit) == said


def test_digits_are_asked_for_and_large_numbers_have_no_exponent() -> None:
    assert customary(1.0, "W/m", 2) == "305 mW/ft"  # whole digits are kept
    assert customary(1e9, "A/m2", 3) == "645000 A/in2"
