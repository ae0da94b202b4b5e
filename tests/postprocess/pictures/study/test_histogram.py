"""How a figure is spread: every design in a bar, marks where they belong."""

import math

import numpy as np
import pytest
from made_designs import assert_same_bytes, assert_texts_stand_apart, said

from crosscurrent.postprocess.pictures.study.data import StudyLimit, StudyScale
from crosscurrent.postprocess.pictures.study.histogram import histogram_figure

LOSS = StudyScale("loss of all bars", "W/m")
LIMITS = [StudyLimit("loss at most 95 W/m", 0, 95.0), StudyLimit("loss at most 900 W/m", 0, 900.0)]
SPREAD = 90 + 2 * np.sin(np.arange(400.0))


def drawn(values=SPREAD, nominal=90.0, band=(88.0, 92.0), scale=LOSS):
    return histogram_figure(scale, values, nominal, band, LIMITS, "Feed of the pier " * 6, "random " * 40)


@pytest.mark.parametrize(
    "figure",
    [
        drawn(), drawn(np.zeros(0)), drawn(np.array([np.nan]), math.nan, None), drawn(np.array([90.0])),
        drawn(np.array([94.9, 95.0, 95.1]), 95.0, (94.99, 95.01)),
        drawn(np.geomspace(1, 1e4, 50), 100.0, (2.0, 5e3), StudyScale("loss", "W/m", True)),
    ],
)  # fmt: skip
def test_texts_stand_apart(figure):
    assert_texts_stand_apart(figure)


@pytest.mark.parametrize("values", [SPREAD, np.full(7, 90.0)])
@pytest.mark.parametrize("by_ratios", [False, True])
def test_every_design_is_in_a_bar(values, by_ratios):
    scale = StudyScale("loss", "W/m", by_ratios)
    with_faults = np.concatenate([values, [np.nan, np.nan]])
    figure = histogram_figure(scale, with_faults, 90.0, (88.0, 92.0), [], "Feed", "")
    assert sum(bar.get_height() for bar in figure.axes[0].containers[0]) == len(values)
    assert "2 designs with a fault, without this figure" in said(figure)


def test_marks_stand_over_their_values():
    axes = drawn().axes[0]
    places = {t.get_text(): t.xy[0] for t in axes.texts}
    assert places == pytest.approx({"95 % from": 88.0, "nominal": 90.0, "to": 92.0, "limit 1": 95.0})
    notes = said(axes.figure)
    assert "400 random designs; nominal 90 W/m; 95 % from 88 W/m to 92 W/m (shaded)" in notes
    assert "limit 1: loss at most 95 W/m" in notes
    assert "limit 2: loss at most 900 W/m (beyond the picture)" in notes


def test_nothing_to_show_is_said():
    assert "no design has this figure" in said(drawn(np.array([np.nan]), math.nan, None))


def test_same_values_same_bytes(tmp_path):
    assert_same_bytes(drawn, tmp_path)
