"""Shapes that meet: whether they share metal, and how far they must be moved apart."""

import math

import pytest

from crosscurrent.geometries.plane.distance import point_distance
from crosscurrent.geometries.plane.overlap import overlap_place, separation
from crosscurrent.geometries.plane.shapes import bar, round_bar, tube

TOLERANCE = 1e-11


def test_the_place_lies_in_both():
    one, other = bar(4.0, 2.0), round_bar(2.0).placed((2.0, 0.5))
    place = overlap_place(one, other, TOLERANCE)
    # on the border of one of them, inside the other
    assert all(s.contains(place)[0] or point_distance(place, s.outer).min() < 1e-12 for s in (one, other))
    assert one.contains(place)[0] or other.contains(place)[0]


def test_shapes_that_only_touch_share_nothing():
    assert overlap_place(bar(2.0, 2.0), bar(2.0, 2.0).placed((2.0, 0.0)), TOLERANCE) is None
    assert overlap_place(round_bar(2.0), round_bar(2.0).placed((2.0, 0.0)), TOLERANCE) is None


def test_the_same_shape_twice_shares_all():
    assert overlap_place(bar(2.0, 1.0), bar(2.0, 1.0), TOLERANCE) is not None


@pytest.mark.parametrize(
    ("one", "other", "way"),
    [
        (bar(2.0, 2.0), bar(2.0, 2.0).placed((1.5, 0.0)), 0.5),
        (round_bar(2.0), round_bar(2.0).placed((1.0, 1.0)), 2 - math.sqrt(2)),
        (bar(4.0, 2.0), round_bar(2.0).placed((0.0, 1.5)), 0.5),
    ],
)
def test_the_way_that_parts_them(one, other, way):
    assert separation(one, other) == pytest.approx(way, rel=1e-12)


def test_none_for_a_rod_in_a_bore():
    assert separation(tube(4.0, 0.5), round_bar(3.2)) is None
