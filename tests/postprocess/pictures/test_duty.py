"""The picture of a duty: curves of the hottest, names at their ends, the time with current shaded."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from topic_answers import wire

from crosscurrent.postprocess.pictures.duty import LISTED, apart, cycle_plot
from crosscurrent.postprocess.topics.duty import Course
from crosscurrent.solver.heat.duty import Cycle

COUNT = LISTED + 2
TIME = np.linspace(0, 600.0, 7)
# rod k swings by k kelvin above 40 degC
TEMPERATURE = 40 + np.arange(COUNT) * np.sin(np.pi * TIME / 600)[:, None]


@pytest.fixture(scope="module")
def axes():
    rods = tuple(wire(f"rod {k}") for k in range(COUNT))
    course = Course("start", 50.0, rods, 800.0, 150.0, 450.0, cycle=Cycle(TIME, TEMPERATURE, np.ones(COUNT)))
    return cycle_plot(course, "Feed $x$").axes[0]


def test_axes_say_what_and_in_which_unit(axes) -> None:
    assert axes.get_xlabel() == "time from switching on [min]"
    assert axes.get_ylabel() == "temperature [°C]"
    assert axes.get_xlim() == (0, 10)
    words = [t.get_text() for t in axes.figure.texts]
    assert words[0] == "Feed $x$"
    assert words[1].startswith("start · 800 A · ")
    assert words[1].endswith("50 Hz")


def test_curves_hold_the_temperatures_of_the_hottest(axes) -> None:
    assert len(axes.lines) == LISTED
    for rank, line in enumerate(axes.lines):
        np.testing.assert_allclose(line.get_xdata(), TIME / 60)
        np.testing.assert_array_equal(line.get_ydata(), TEMPERATURE[:, COUNT - 1 - rank])
    assert axes.patches[0].get_extents().transformed(axes.transData.inverted()).x1 == pytest.approx(2.5)


def test_names_stand_apart_beyond_the_frame(axes) -> None:
    renderer = axes.figure.canvas.get_renderer()
    boxes = [t.get_window_extent(renderer) for t in axes.texts if t.get_text().startswith("rod")]
    assert len(boxes) == LISTED
    assert all(box.x0 >= axes.bbox.x1 for box in boxes)
    assert all(a.y0 > b.y0 for a, b in pairwise(boxes))
    assert max(box.x1 for box in boxes) < axes.figure.bbox.x1


def test_values_are_moved_only_as_far_as_needed() -> None:
    assert apart([3.0, 2.9, 1.0], 0.5) == [3.0, 2.5, 1.0]
    assert apart([1.0, 3.0], 0.5) == [1.0, 3.0]
