"""Borders of many short sides become as few as draw the same line."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.drawings.tidying import tidied


def arc_corners(count):
    a = 2 * math.pi * np.arange(count) / count
    return np.column_stack((np.cos(a), np.sin(a))), np.full(count, math.tan(math.pi / 2 / count))


def test_arcs_of_one_circle_become_quarters():
    found = tidied(arc_corners(64))
    assert len(found.points) == 4
    assert found.area == pytest.approx(math.pi, rel=1e-12)


def test_chords_stay_chords():
    points, _ = arc_corners(64)
    assert len(tidied((points, np.zeros(64))).points) == 64


def test_corners_on_straight_lines_go():
    t = np.arange(10) / 10
    none, one = np.zeros(10), np.ones(10)
    square = np.concatenate([np.column_stack(p) for p in ((t, none), (one, t), (1 - t, one), (none, 1 - t))])
    found = tidied((square, np.zeros(40)))
    assert len(found.points) == 4
    assert found.area == pytest.approx(1.0, rel=1e-14)
