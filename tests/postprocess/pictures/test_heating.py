"""Curves over time and the map at the end of a heated ball."""

from __future__ import annotations

import numpy as np
import pytest
from heated_pieces import ball_answer
from matplotlib.figure import Figure

from crosscurrent.postprocess.pictures.heating import heating_picture
from crosscurrent.postprocess.topics.heating import HeatingAnswer


@pytest.fixture(scope="module")
def answer() -> HeatingAnswer:
    return ball_answer()


@pytest.fixture(scope="module")
def figure(answer: HeatingAnswer) -> Figure:
    return heating_picture(answer, "Ball")


def test_a_curve_for_hottest_point_faces_mean_and_core_with_its_end(figure: Figure, answer: HeatingAnswer) -> None:
    curves = figure.axes[0]
    drawn = [line for line in curves.lines if len(np.asarray(line.get_xdata())) == 121]
    ends = sorted(float(np.asarray(line.get_ydata())[-1]) for line in drawn)
    assert ends == sorted(float(answer.courses[name][-1]) for name in ("hottest", "surface", "mean", "core"))
    words = {text.get_text() for text in curves.texts}
    assert {f"{name} {answer.courses[name][-1]:.0f}" for name in ("hottest", "mean", "core")} <= words
    assert f"all faces {answer.courses['surface'][-1]:.0f}" in words
    assert "until 60" in words
    assert curves.get_xlabel() == "time [s]"


def test_the_map_shows_both_halves(figure: Figure) -> None:
    (maps,) = (axes for axes in figure.axes if axes.images)
    low, high = maps.get_xlim()
    assert low == pytest.approx(-high)
    assert maps.get_title(loc="left") == "cut along the axis, 30 mm across"
    image = np.asarray(maps.images[0].get_array(), dtype=float)
    middle = image[image.shape[0] // 2]
    assert np.abs(middle - middle[::-1]).mean() < 3  # of 255


def test_what_is_heated_stands_above(figure: Figure) -> None:
    said = [text.get_text() for text in figure.texts]
    assert said[:2] == ["Ball", "Heating of ball · 200 W · 10 kHz"]
