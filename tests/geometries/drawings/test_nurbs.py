"""Splines: a circle as a rational one, and what does not fit together."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.drawings.curves import IDENTITY
from crosscurrent.geometries.drawings.nurbs import spline_run

S = math.sqrt(0.5)
CIRCLE = np.array([(1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)], dtype=float)
WEIGHTS = np.array([1, S, 1, S, 1, S, 1, S, 1])  # Piegl and Tiller, The NURBS Book, 1997, section 7.5 (from memory)
KNOTS = np.array([0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4], dtype=float)


def test_a_full_circle_of_nine_points():
    run = spline_run(CIRCLE, WEIGHTS, KNOTS, 2, IDENTITY)
    assert np.hypot(*run.points.T) == pytest.approx(1.0, abs=1e-12)
    assert 4 * np.arctan(run.bulges).sum() == pytest.approx(2 * math.pi, rel=1e-12)


@pytest.mark.parametrize(
    ("points", "weights", "knots", "degree"),
    [
        (CIRCLE, WEIGHTS[:-1], KNOTS, 2),
        (CIRCLE, WEIGHTS, KNOTS[:-1], 2),
        (CIRCLE, WEIGHTS, KNOTS[::-1], 2),
        (CIRCLE, -WEIGHTS, KNOTS, 2),
        (CIRCLE, WEIGHTS, np.zeros(12), 2),
    ],
)
def test_what_does_not_fit_together(points, weights, knots, degree):
    with pytest.raises(ValueError, match="a spline"):
        spline_run(points, weights, knots, degree, IDENTITY)
