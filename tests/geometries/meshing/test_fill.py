"""Openings of a mesh are filled, few or many, and one whose edges cross is found among those that do not."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.assembly import Assembly
from crosscurrent.geometries.meshing.collision import LayerCollision
from crosscurrent.geometries.meshing.fill import TOGETHER, Opening, fill

SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])


def coarse(places):
    return np.full(len(places), 1e9)


def opened(*polygons):
    done = Assembly()
    firsts = [done.add_points(np.array(polygon)) for polygon in polygons]
    done.add_curved_edges(np.array([[0, 1]]), np.full((1, 2), 1e3))
    openings = []
    for number, (first, polygon) in enumerate(zip(firsts, polygons, strict=True)):
        ring = first + np.arange(len(polygon))
        left = set(zip(ring.tolist(), np.roll(ring, -1).tolist(), strict=True))
        openings.append(Opening(left, coarse, number))
    return done, openings


def areas(done):
    a, b, c = (done.places[np.concatenate(done.triangles)[:, k]] for k in range(3))
    size = 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    assert size.min() > 0
    return np.bincount(np.concatenate(done.region), size)


def test_neighbours_share_corners():
    done = Assembly()
    done.add_points(np.concatenate((SQUARE, SQUARE[1:3] + np.array([1, 0]))))
    done.add_curved_edges(np.array([[0, 1]]), np.full((1, 2), 1e3))
    rings = [(0, 1), (1, 2), (2, 3), (3, 0)], [(1, 4), (4, 5), (5, 2), (2, 1)]
    fill(done, [Opening(set(ring), coarse, k) for k, ring in enumerate(rings)])
    assert areas(done).tolist() == pytest.approx([1.0, 1.0])


def test_more_than_are_triangulated_at_once():
    count = TOGETHER // 4 + 3
    done, openings = opened(*(SQUARE * (1 + k % 7) + (0, 10 * k) for k in range(count)))
    fill(done, openings)
    assert areas(done) == pytest.approx([(1 + k % 7) ** 2 for k in range(count)])


def test_the_one_whose_edges_cross_is_told():
    bow = np.array([[0.0, 20.0], [1.0, 20.0], [0.0, 21.0], [1.0, 21.2]])
    done, openings = opened(SQUARE, SQUARE + 5, bow, SQUARE - 8)
    with pytest.raises(LayerCollision) as collision:
        fill(done, openings)
    assert collision.value.places[:, 1].min() >= 20


def test_details_too_small_for_all_at_once():
    square = np.array([[-10.0, -10.0], [10.0, -10.0], [10.0, 10.0], [-10.0, 10.0]])
    notch = np.array([[-10.0, 1e-9], [-10.0 + 1e-9, 1e-9], [-10.0 + 1e-9, 0.0], [-10.0, 0.0]])
    done, openings = opened(SQUARE, np.concatenate((square, notch)), SQUARE + 5)
    fill(done, openings)
    assert areas(done) == pytest.approx([1.0, 400.0, 1.0])
