"""Regions side by side: apart, at one size, and back where they were to rounding."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.side_by_side import Interior, SideBySide

LOOP = np.array([[0, 1], [1, 2], [2, 3], [3, 0]])
SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])


def rectangle(corner, size, longest=1.0):
    return Interior(corner + size * SQUARE, LOOP, np.arange(4.0), lambda places: np.full(len(places), longest))


SOME = [rectangle((k, -k), (10.0**k, 0.1)) for k in range(-3, 2)]


def test_they_lie_apart():
    regions = SideBySide.of(SOME)
    boxes = regions.points.reshape(-1, 4, 2)
    middle = boxes.mean(axis=1)
    assert np.ptp(boxes, axis=1).max(axis=1) == pytest.approx(1.0)
    between = np.abs(middle[:, None] - middle).max(axis=-1)
    assert between[~np.eye(len(SOME), dtype=bool)].min() > 1 + 0.5  # what half circles on edges take up


def test_corners_and_edges_keep_their_order():
    regions = SideBySide.of(SOME)
    assert regions.owner.tolist() == np.repeat(np.arange(5), 4).tolist()
    assert (regions.edges == np.concatenate([LOOP + 4 * k for k in range(5)])).all()
    assert (regions.sweep == np.tile(np.arange(4.0), 5)).all()
    back = regions.back(regions.points, regions.owner)
    assert back == pytest.approx(np.concatenate([one.points for one in SOME]), rel=1e-14, abs=1e-14)


def test_what_is_asked_for_is_in_the_size_of_each():
    regions = SideBySide.of([rectangle((3, 3), (4.0, 2.0), 0.5), rectangle((0, 0), (0.1, 0.1), np.inf)])
    assert regions.limit(regions.points[[7, 0]], np.array([1, 0])).tolist() == [np.inf, 0.125]
