"""Painted triangles: colours mixed between the corners, neighbours without a gap, edges averaged."""

import numpy as np
import pytest

from crosscurrent.postprocess.pictures.raster import painted

SQUARE = np.array([[0.0, 0.0], [1.0, 1.0]])


def test_painted_slivers_keep_between_their_colours_and_leave_no_hole():
    """A thousand slivers side by side, all of the same two colours."""
    x = np.linspace(-0.1, 1.1, 1001)
    points = np.concatenate((np.column_stack((x, np.full(1001, -0.1))), np.column_stack((x, np.full(1001, 1.1)))))
    k = np.arange(1000)
    triangles = np.concatenate((np.column_stack((k, k + 1, k + 1001)), np.column_stack((k + 1, k + 1002, k + 1001))))
    colours = np.ones((2002, 4))
    colours[:, 0], colours[:, 1] = np.repeat((0.2, 0.6), 1001), np.tile((0.4, 0.5), 1001)
    image = painted(np.array([[0.0, 0.0], [1.0, 1.0]]), 0.01, [(points, triangles, colours)])
    assert (image[..., 3] == 255).all()
    assert image[..., 0].min() >= 0.2 * 255
    assert image[..., 0].max() <= 0.6 * 255 + 1
    assert image[..., 1].min() >= 0.4 * 255 - 1
    assert image[..., 1].max() <= 0.5 * 255 + 1


def test_painted_edges_are_averaged():
    points = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]])
    paint = (points, np.array([[0, 1, 2]]), np.zeros((3, 4)))
    image = painted(np.array([[0.0, 0.0], [1.0, 1.0]]), 0.1, [paint], finer=2)
    opacity = image[..., 3] / 255
    assert opacity.sum() == pytest.approx(50, abs=5)
    assert ((opacity > 0) & (opacity < 1)).any()
    assert image[0, -1].tolist() == [255, 255, 255, 0]  # upper right


def test_a_colour_that_rises_evenly_is_painted_so():
    points = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
    colours = np.column_stack((points[:, 0], points[:, 1], np.full(4, 0.5), np.ones(4)))
    image = painted(SQUARE, 0.02, [(points, np.array([[0, 1, 2], [0, 2, 3]]), colours)])
    assert image.shape == (50, 50, 4)
    middle = 255 * (np.arange(50) + 0.5) / 50
    np.testing.assert_allclose(image[..., 0], np.tile(middle, (50, 1)), atol=1)
    np.testing.assert_allclose(image[..., 1], np.tile(middle[::-1, None], 50), atol=1)  # first row at the top
    np.testing.assert_allclose(image[..., 2], 127, atol=1)


def test_what_is_painted_later_covers():
    points = np.array([[-1.0, -1.0], [3.0, -1.0], [-1.0, 3.0]])
    triangle = np.array([[0, 1, 2]])
    image = painted(SQUARE, 0.1, [(points, triangle, np.zeros((3, 4))), (points, triangle, np.ones((3, 4)))])
    assert (image == 255).all()


def test_nothing_painted_is_clear():
    assert painted(SQUARE, 0.5, []).tolist() == [[[255, 255, 255, 0]] * 2] * 2
