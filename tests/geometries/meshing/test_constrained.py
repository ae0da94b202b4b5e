"""Regions with fixed borders: whole, without what lies outside, refused where they cannot be."""

import numpy as np
import pytest

from crosscurrent.geometries.errors import MeshError
from crosscurrent.geometries.meshing.constrained import ConstrainedRegion, edge_keys, edges_of


def loop(first, count):
    k = first + np.arange(count)
    return np.column_stack((k, np.roll(k, -1)))


def area(region):
    p = region.points[region.triangles()]
    u, v = p[:, 1] - p[:, 0], p[:, 2] - p[:, 0]
    return 0.5 * (u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0])


def test_a_bay_is_left_out():
    points = np.array([[0, 0], [3, 0], [3, 3], [2, 3], [2, 0.1], [1, 0.1], [1, 3], [0, 3]], dtype=float)
    region = ConstrainedRegion(points, loop(0, 8))
    assert area(region).min() > 0
    assert area(region).sum() == pytest.approx(9 - 2.9)
    region.add(np.array([[0.5, 1.0], [2.5, 2.0]]))
    assert area(region).sum() == pytest.approx(9 - 2.9)


def test_details_too_small_for_all_at_once():
    near = 1.0 + 1e-11 * np.array([[0, 0], [1, 0], [1, 1], [0, 1]])
    points = np.concatenate(([[-10.0, -10.0], [10.0, -10.0], [10.0, 10.0], [-10.0, 10.0]], near))
    hole = loop(4, 4)[:, ::-1]
    region = ConstrainedRegion(points, np.concatenate((loop(0, 4), hole)))
    assert area(region).sum() == pytest.approx(400.0)
    assert len(np.unique(region.triangles())) == 8


def test_a_border_that_does_not_close():
    with pytest.raises(MeshError):
        ConstrainedRegion(np.array([[0.0, 0], [1, 0], [1, 1], [0, 1]]), loop(0, 4)[:3]).triangles()


def test_edges_and_their_numbers():
    assert edges_of(np.array([[4, 7, 5]])).tolist() == [[4, 7], [7, 5], [5, 4]]
    assert edge_keys(np.array([[1, 2], [2, 1]]), 10).tolist() == [12, 12]
