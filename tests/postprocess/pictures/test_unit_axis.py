"""Axes in the prefix of their largest value."""

import numpy as np
import pytest
from matplotlib.figure import Figure

from crosscurrent.postprocess.pictures.unit_axis import unit_axis


@pytest.mark.parametrize(
    ("largest", "unit", "label", "shown"),
    [
        (0.0153, "ohm/m", "R [mΩ/m]", 15.3),
        (8.2e-7, "H/m", "L [nH/m]", 820.0),
        (3e-6, "ohm/m", "R [µΩ/m]", 3.0),
        (4.0, "H", "L [H]", 4.0),
        (2500.0, "W/m", "loss [kW/m]", 2.5),
    ],
)
def test_prefix_and_values_agree(largest: float, unit: str, label: str, shown: float) -> None:
    axes = Figure().subplots()
    scaled = unit_axis(axes, np.array([0.01 * largest, -largest]), unit, label.split(" ")[0])
    assert axes.get_ylabel() == label
    assert scaled(np.array([largest]))[0] == pytest.approx(shown)
