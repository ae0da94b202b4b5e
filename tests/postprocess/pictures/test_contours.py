"""Level lines of a cone and of a plane, known beforehand."""

import numpy as np
from scipy.spatial import Delaunay

from crosscurrent.postprocess.pictures.contours import Levels


def cone(slope, noise=0.0):
    """Height `slope` times the radius on a disc of radius 1."""
    ring, turn = np.meshgrid(np.linspace(0.05, 1, 40), np.linspace(0, 2 * np.pi, 120, endpoint=False))
    points = np.column_stack(((ring * np.cos(turn)).ravel(), (ring * np.sin(turn)).ravel()))
    value = slope * np.hypot(*points.T) + noise * np.random.default_rng(1).normal(size=len(points))
    return points, Delaunay(points).simplices, value


def test_lines_of_a_cone_are_whole_circles_at_whole_numbers():
    found = [line for line, _ in Levels(*cone(10.3), 0.0).lines(0.002)]
    radii = sorted(float(np.hypot(*line.T).mean()) for line in found)
    np.testing.assert_allclose(radii, np.arange(1, 11) / 10.3, rtol=3e-3)
    for line in found:
        np.testing.assert_allclose(line[0], line[-1])
        assert np.ptp(np.hypot(*line.T)) < 3e-3


def test_of_lines_too_close_every_second_or_fourth_has_room():
    """10 lines to a radius of 1: with pixels of 0.05 they stand 1.9 pixels apart, with 0.02 4.9."""
    sparse = [room for _, room in Levels(*cone(10.3), 0.0).lines(0.05)]
    assert sum(sparse) < 6
    assert len(sparse) == 10
    assert [room for _, room in Levels(*cone(10.3), 0.0).lines(0.02)] == [True] * 10


def test_pieces_of_a_line_follow_one_another():
    """Height x y: the lines are hyperbolas, dense far from the origin; with and without room they stay whole."""
    x, y = (k.ravel() for k in np.meshgrid(np.linspace(0.05, 1, 60), np.linspace(0.05, 1, 60)))
    points = np.column_stack((x, y))
    pieces = list(Levels(points, Delaunay(points).simplices, 300 * x * y + 0.013, 0.0).lines(0.0023))
    assert {room for _, room in pieces} == {True, False}
    ends = np.array([line[k] for line, _ in pieces for k in (0, -1)])
    inside = ((ends > 0.0501) & (ends < 0.9999)).all(axis=1)
    assert inside.any()
    for end in ends[inside]:
        assert (np.hypot(*(ends - end).T) < 1e-12).sum() == 2


def test_a_line_that_ends_at_a_hole_within_the_window_is_left_out():
    points, triangles, value = cone(10.3)
    open_ring = triangles[points[triangles].mean(axis=1)[:, 0] < 0.5]
    window = np.array([[-1.1, -1.1], [1.1, 1.1]])
    radii = [float(np.hypot(*line.T).max()) for line, _ in Levels(points, open_ring, value, 0.0).lines(0.002, window)]
    assert len(radii) == 5  # up to 5 / 10.3
    assert max(radii) < 0.5


def test_points_on_a_straight_line_are_left_out():
    x, y = np.meshgrid(np.linspace(0, 1, 21), np.linspace(0, 1, 41))
    points = np.column_stack((x.ravel(), y.ravel()))
    ((line, _),) = Levels(points, Delaunay(points).simplices, points[:, 0] + 0.5 - 1e-4, 0.0).lines(0.001)
    assert len(line) < 12


def test_no_line_where_there_is_only_noise():
    points, triangles, value = cone(0.0, noise=1e-3)
    assert list(Levels(points, triangles, value + 3.0, 0.0).lines(0.01)) != []
    assert list(Levels(points, triangles, value + 3.0, 1.0).lines(0.01)) == []


def test_lines_of_a_plane_are_straight_and_run_from_edge_to_edge():
    x, y = np.meshgrid(np.linspace(0, 1, 21), np.linspace(0, 1, 11))
    points = np.column_stack((x.ravel(), y.ravel()))
    lines = [line for line, _ in Levels(points, Delaunay(points).simplices, 4 * points[:, 0] - 0.5, 0.0).lines(0.005)]
    assert sorted(round(float(line[0, 0]), 9) for line in lines) == [0.125, 0.375, 0.625, 0.875]
    for line in lines:
        np.testing.assert_allclose(line[:, 0], line[0, 0], atol=1e-12)
        assert {line[0, 1], line[-1, 1]} == {0.0, 1.0}


def test_slope_of_a_plane():
    points = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [0.0, 1.0]])
    levels = Levels(points, np.array([[0, 1, 2], [0, 2, 3]]), 3 * points[:, 0] - 4 * points[:, 1], 0.0)
    np.testing.assert_allclose(levels.slope(), 5.0)
