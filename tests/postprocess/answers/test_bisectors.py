"""Nearest sides and the part of a triangle on one side of a line."""

import numpy as np
import pytest

from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.postprocess.answers.bisectors import _negative_share, nearest_sides


def test_nearest_side_behind_a_concave_corner_is_told_by_the_bisector():
    points = [(0, 0), (4, 0), (4, 1), (1, 1), (1, 4), (0, 4)]
    outline = Outline.of([(float(x), float(y)) for x, y in points])
    side, distance = nearest_sides((outline,), np.array([[0.75, 0.8], [0.8, 0.75], [3.0, 0.9], [0.9, 3.0]]))
    assert side.tolist() == [3, 2, 2, 3]
    np.testing.assert_allclose(distance, [np.hypot(0.25, 0.2)] * 2 + [0.1] * 2, atol=1e-12)


@pytest.mark.parametrize(
    ("values", "share"),
    [
        ((1.0, 2.0, 3.0), 0.0),
        ((-1.0, -2.0, -3.0), 1.0),
        ((-1.0, 1.0, 1.0), 0.25),  # the line halves two sides
        ((-1.0, -1.0, 1.0), 0.75),
        ((-1.0, 0.0, 1.0), 0.5),
        ((-3.0, 1.0, 2.0), 9 / 20),
    ],
)
def test_share_of_a_triangle_where_a_linear_function_is_negative(values, share):
    assert _negative_share(np.array([values]))[0] == pytest.approx(share)
