"""The catalogue: exact areas, holes, what does not fit, and points in metal."""

import math

import pytest

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane.shapes import SHAPES, angle, bar, box, channel, outline, round_bar, rounded, tube

ROUNDED = 4 - math.pi  # of a square of side one, all four corners cut by quarter circles of radius one
CLOCKWISE = [(0.0, 0.0), (0.0, 1.0), (1.0, 1.0), (1.0, 0.0)]


@pytest.mark.parametrize(
    ("shape", "wanted"),
    [
        (bar(4.0, 2.0), 8.0),
        (bar(4.0, 2.0, 0.5), 8.0 - ROUNDED * 0.25),
        (bar(2.0, 2.0, 1.0), math.pi),
        (round_bar(2.0), math.pi),
        (tube(4.0, 1.0), 3 * math.pi),
        (box(4.0, 3.0, 0.5), 12.0 - 6.0),
        (box(4.0, 3.0, 0.5, 0.2, 0.1), 12.0 - 6.0 - ROUNDED * (0.04 - 0.01)),
        (angle(4.0, 3.0, 1.0), 6.0),
        (channel(4.0, 3.0, 1.0), 8.0),
        (outline(CLOCKWISE), 1.0),
    ],
)
def test_area(shape, wanted):
    assert shape.area == pytest.approx(wanted, rel=1e-12)


@pytest.mark.parametrize(
    ("build", "words"),
    [
        (lambda: bar(1.0, 1.0, 0.6), "an edge radius of 600 mm does not fit on a side of 1000 mm"),
        (lambda: tube(1.0, 0.5), "a wall of 500 mm leaves no bore in a tube of 1000 mm"),
        (lambda: box(1.0, 2.0, 0.5), "a wall of 500 mm leaves no bore in a box of 1000 x 2000 mm"),
        (lambda: angle(1.0, 1.0, 1.0), "an angle with legs of 1000 and 1000 mm"),
        (lambda: channel(2.0, 1.0, 1.0), "a channel with legs of 1000 and 1000 mm"),
    ],
)
def test_what_does_not_fit_is_said(build, words):
    with pytest.raises(GeometryError) as caught:
        build()
    assert caught.value.faults[0].found.startswith(words)
    assert caught.value.faults[0].hint


def test_only_convex_corners_are_rounded():
    assert rounded([(0, 0), (4, 0), (4, 2), (2, 2), (2, 4), (0, 4)], 0.5).curved.sum() == 5


def test_placed_turns_about_the_origin_first():
    assert bar(4.0, 2.0).placed((10.0, 0.0), math.pi / 2).outer.bounds == pytest.approx(
        bar(2.0, 4.0).placed((10.0, 0.0)).outer.bounds
    )


def test_contains_leaves_holes_out_and_follows_arcs():
    slot = bar(4.0, 2.0, 1.0)  # its ends are half circles
    assert slot.contains([(1.9, 0.4), (1.9, 0.5), (-1.9, 0.4)]).tolist() == [True, False, True]
    assert box(4.0, 4.0, 1.0).contains([(0.0, 0.0), (1.5, 0.0)]).tolist() == [False, True]


def test_every_shape_of_the_catalogue_is_tested_here():
    assert set(SHAPES) == {"bar", "round", "tube", "box", "angle", "channel", "outline"}
