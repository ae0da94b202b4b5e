"""A triangulation one step at a time: points in, edges forced, details kept apart."""

import numpy as np
import pytest

from crosscurrent.geometries.errors import MeshError
from crosscurrent.geometries.meshing.triangulation import Triangulation

FRAME = np.array([[-2.0, -2.0], [2.0, -2.0], [2.0, 2.0], [-2.0, 2.0]])
TWO = np.array([[0, 1, 2], [0, 2, 3]])


def area(work):
    p = np.array(work.points)[work.triangles()]
    u, v = p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]
    return 0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])


def test_points_are_in_no_circle_of_other_triangles():
    places = np.random.default_rng(1).uniform(-1, 1, (40, 2))
    work = Triangulation(FRAME, TWO)
    work.insert(places)
    points = np.array(work.points)
    assert area(work).min() > 0
    assert area(work).sum() == pytest.approx(16.0)
    for a, b, c in points[work.triangles()]:
        m = 2 * np.array([b - a, c - a])
        centre = np.linalg.solve(m, [b @ b - a @ a, c @ c - a @ a])
        assert (np.hypot(*(points - centre).T) > (1 - 1e-9) * np.hypot(*(a - centre))).all()


def test_a_forced_edge_appears_and_stays():
    work = Triangulation(FRAME, TWO)
    work.insert(np.array([[-1.0, 0.0], [1.0, 0.05], [0.0, 0.3], [0.0, -0.3], [0.3, 0.31], [-0.3, -0.28]]))
    work.force([(4, 5)])
    work.insert(np.array([[0.1, 0.2], [0.1, -0.2]]))
    assert (4, 5) in work.apex
    assert area(work).sum() == pytest.approx(16.0)


def test_details_a_thousand_million_times_smaller_are_kept_apart():
    near = 1e-10 * np.array([[0.0, 0.0], [1.0, 0.0], [0.3, 1.0]])
    work = Triangulation(FRAME, TWO)
    work.insert(near)
    assert area(work).min() > 0
    assert len(work.triangles()) == 2 + 2 * len(near)


def test_what_cannot_be_is_refused():
    work = Triangulation(FRAME, TWO)
    work.insert(np.array([[-1.0, 0.0], [1.0, 0.0], [0.0, -1.0], [0.0, 1.0], [0.5, 0.0]]))
    with pytest.raises(MeshError, match="coincide"):
        work.insert(np.array([[1.0, 0.0]]))
    with pytest.raises(MeshError, match="runs through a node"):
        work.force([(4, 5)])  # the last point lies on it
    work.force([(6, 7)])
    with pytest.raises(MeshError, match="cross"):
        work.force([(4, 8)])
    with pytest.raises(MeshError, match="overlap"):
        Triangulation(FRAME, np.array([[0, 1, 2], [0, 1, 3]]))
