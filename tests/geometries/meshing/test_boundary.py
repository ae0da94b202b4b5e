"""Boundaries: turning, neighbours, and what a field reaches."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.meshing.boundary import Boundary, neighbours, turning
from crosscurrent.geometries.plane.shapes import angle, bar, circle


def test_turning_of_corners():
    assert turning(bar(2.0, 1.0).outer) == pytest.approx([math.pi / 2] * 4)
    assert np.abs(turning(circle(2.0))).max() < 1e-12
    assert sorted(np.round(turning(angle(3.0, 3.0, 1.0).outer) / (math.pi / 2)).astype(int)) == [-1, 1, 1, 1, 1, 1]


def test_neighbours_stay_on_their_outline():
    before, after = neighbours([bar(2.0, 1.0).outer, circle(1.0)])
    assert before.tolist() == [3, 0, 1, 2, 7, 4, 5, 6]
    assert after.tolist() == [1, 2, 3, 0, 5, 6, 7, 4]


def test_what_lies_under_thick_coats_is_not_active():
    thin = Boundary(bar(2.0, 1.0).outer, 0, 1e-3, (1e-3,), (1e-3,))
    thick = Boundary(bar(2.0, 1.0).outer, 0, 1e-3, (1e-3, 20e-3), (1e-3, 1e-3))
    assert thin.active(9.5) == (True, True)
    assert thick.active(9.5) == (False, False, True)
