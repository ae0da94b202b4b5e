"""The axis in a mesh: what lies left of it, rays along it, edges that close a region on it."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.assembly import Assembly
from crosscurrent.geometries.meshing.axis import bridged, closed, kept, on_right, snapped_rays
from crosscurrent.geometries.meshing.collision import LayerCollision


def far(places):
    return np.full(len(places), np.inf)


def from_ends(places):
    return np.abs(np.abs(places[:, 1]) - 1.0)


def test_edges_left_of_the_axis_and_on_it_are_dropped():
    places = np.array([[-1.0, 0.0], [0.0, 1.0], [0.0, 0.0], [2.0, 0.0]])
    edges = {(0, 1), (1, 2), (2, 3), (3, 1)}
    assert on_right(places, np.array(sorted(edges))).tolist() == [False, True, True, True]
    assert kept(edges, places) == {(2, 3), (3, 1)}
    assert kept(set(), places) == set()


def test_rays_from_the_axis_stay_on_it():
    start = np.array([[0.0, 1.0], [0.0, 1.0], [2.0, 1.0]])
    rows = start + np.array([[[1e-17, 0.5], [0.3, 0.4], [-0.5, 0.5]], [[2e-17, 1.0], [0.6, 0.8], [-1.0, 1.0]]])
    found = snapped_rays(rows, start)
    assert (found[:, 0, 0] == 0).all()
    assert np.array_equal(found[:, 1:], rows[:, 1:])
    with pytest.raises(LayerCollision):
        snapped_rays(rows - [[0, 0], [0, 0], [1.0, 0]], start)


def test_a_half_disc_is_closed_downwards_by_edges_of_a_third_of_the_distance():
    parts = Assembly()
    parts.add_points(np.array([[0.0, -1.0], [0.02, -0.99], [1.0, 0.0], [0.02, 0.99], [0.0, 1.0]]))
    chain = {(0, 1), (1, 2), (2, 3), (3, 4)}
    edges = closed(chain, parts, from_ends, far)
    follows = dict(edges)
    way = [4]
    while way[-1] != 0:
        way.append(follows[way[-1]])
    places = parts.places[way]
    assert (places[:, 0] == 0).all()
    assert len(edges) == len(way) + 3
    step, middle = -np.diff(places[:, 1]), 0.5 * (places[1:] + places[:-1])
    assert (step > 0).all()
    assert (step[[0, -1]] < 0.04).all()
    inner = from_ends(middle) > 0.1
    assert (step[inner] < 0.45 * from_ends(middle)[inner]).all()
    assert step.max() > 0.2
    fine = closed(chain, Assembly(points=[parts.places[:5]], count=5), from_ends, lambda p: np.full(len(p), 0.01))
    assert 200 <= len(fine) - 4 <= 205


def test_long_walls_close_to_the_axis_are_joined_to_it():
    parts = Assembly()
    wall = np.array([(2, -5), (0.1, -5), (0.1, -1), (0.1, 0), (0.1, 0.2), (0.1, 3), (2, 3), (2, -5)])
    parts.add_points(wall)
    parts.add_curved_edges(np.array([[0, 6]]), np.array([[0.0, -1.0]]))
    chain = {(k, k + 1) for k in range(6)}
    left = bridged(chain, parts, -1)
    places = parts.places
    assert places[8:].tolist() == [[0.0, -5.0], [0.0, -1.0], [0.0, 0.0], [0.0, 0.2], [0.0, 3.0]]
    assert left == {(0, 1), (1, 8), (10, 3), (3, 4), (4, 11), (12, 5), (5, 6)}
    corner = places[np.concatenate(parts.triangles)]
    one, two = corner[:, 1] - corner[:, 0], corner[:, 2] - corner[:, 0]
    area = 0.5 * (one[:, 0] * two[:, 1] - one[:, 1] * two[:, 0])
    assert area.min() > 0
    assert area.sum() == pytest.approx(0.1 * (4 + 1 + 2.8))


@pytest.mark.parametrize(
    ("between", "edge"),
    [
        ([(0.05, 9.0), (0.05, -9.0)], (3, 4)),  # a wall between
        ([(0.05, 0.1), (0.0, 0.1)], (3, 4)),  # something in the way
        ([(0.0, -1.05), (0.05, -1.05)], (3, 4)),  # something close below
        ([(0.02, -1.01), (0.0, -3.0)], (3, 0)),  # its own way goes on towards the axis
    ],
)
def test_walls_behind_something_else_are_not(between, edge):
    parts = Assembly()
    parts.add_points(np.array([(0.1, -1.0), (0.1, 1.0), (3.0, 1.0), *between]))
    parts.add_curved_edges(np.array([[1, 2]]), np.array([[0.0, 0.0]]))
    assert bridged({(0, 1), edge}, parts, -1) == {(0, 1), edge}
    assert bridged({(0, 1)}, parts, -1) == {(0, 5), (6, 1)}


def test_chains_that_do_not_come_in_turn_are_refused():
    parts = Assembly()
    parts.add_points(np.array([[0.0, -1.0], [1.0, 0.0], [0.0, 1.0]]))
    with pytest.raises(LayerCollision):
        closed({(2, 1), (1, 0)}, parts, from_ends, far)
