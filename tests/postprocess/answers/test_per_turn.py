"""Words of sections round an axis."""

from __future__ import annotations

import pytest

from crosscurrent.postprocess.answers.per_turn import per_turn


@pytest.mark.parametrize(
    ("plane", "axial"),
    [
        ("2.823 kW/m +- 0.03 %", "2.823 kW +- 0.03 %"),
        ("R 2.8 mohm/m, L 2 uH/m, 13 V/m", "R 2.8 mohm, L 2 uH, 13 V"),
        ("force x [N/m]", "radial force [N]"),
        ("H up to 3.2 kA/m in metal of 58 MS/m", "H up to 3.2 kA/m in metal of 58 MS/m"),
        ("12 W/m2, 390 W/(m*K), 5 kW/m^2", "12 W/m2, 390 W/(m*K), 5 kW/m^2"),
        ("SW/m", "SW/m"),
    ],
)
def test_only_figures_of_a_straight_run_lose_their_metre(plane: str, axial: str) -> None:
    assert per_turn(plane) == axial
