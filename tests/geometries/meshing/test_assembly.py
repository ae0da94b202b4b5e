"""A mesh while it is put together."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.meshing.assembly import Assembly

STRAIGHT = np.full((1, 2), np.nan)


def test_points_are_numbered_as_they_come():
    work = Assembly()
    assert work.add_points(np.zeros((3, 2))) == 0
    assert work.add_points(np.ones((2, 2))) == 3
    assert (work.count, len(work.places)) == (5, 5)


def test_the_shorter_diagonal_is_taken():
    work = Assembly()
    work.add_points(np.array([[0.0, 0.0], [2.0, 0.0], [1.5, 1.0], [-0.5, 1.0]]))
    work.add_points(np.array([[0.0, 0.0], [2.0, 0.0], [3.0, 1.0], [1.0, 1.0]]))
    work.add_columns(*(np.array([[k]]) for k in (0, 1, 3, 2)), STRAIGHT, np.array([0]))
    work.add_columns(*(np.array([[k]]) for k in (4, 5, 7, 6)), STRAIGHT, np.array([0]))
    assert [t.tolist() for t in work.triangles] == [[[0, 1, 2], [0, 2, 3]], [[4, 5, 7], [5, 6, 7]]]


def test_a_column_of_a_ring_is_polar_and_its_edges_curved():
    turn = 0.3
    ends = np.array([[math.cos(a), math.sin(a)] for a in (0.0, turn)])
    work = Assembly()
    work.add_points(np.concatenate((1.0 * ends, 0.97 * ends)))
    work.add_curved_edges(np.array([[0, 1]]), np.zeros((1, 2)))
    work.add_columns(*(np.array([[k]]) for k in (0, 1, 2, 3)), np.zeros((1, 2)), np.array([5]))
    edges, centres = work.curved_edges()
    assert {(0, 1), (2, 3)} <= set(map(tuple, np.sort(edges, axis=1)))
    assert (centres == 0).all()
    assert work.region[0].tolist() == [5, 5]
    assert work.edge_sweeps(np.array([[0, 1], [1, 0], [0, 2]])) == pytest.approx([-turn, turn, 0.0])


def test_fans_are_single_triangles():
    work = Assembly()
    work.add_points(np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]))
    work.add_columns(*(np.array([[k]]) for k in (0, 0, 1, 2)), STRAIGHT, np.array([0]), inward=False)
    assert len(work.triangles[0]) == 1
