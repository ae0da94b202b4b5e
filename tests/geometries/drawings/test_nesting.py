"""What lies in what."""

import pytest

from crosscurrent.geometries.drawings.nesting import MOST_LOOPS, nest
from crosscurrent.geometries.errors import DrawingError
from crosscurrent.geometries.plane.shapes import bar, circle


def test_an_island_in_a_hole_is_a_part_of_its_own():
    shapes = nest([circle(d) for d in (2.0, 8.0, 4.0, 6.0)])
    assert [round(s.outer.size, 6) for s in shapes] == [round(circle(d).size, 6) for d in (8.0, 4.0)]
    assert [len(s.holes) for s in shapes] == [1, 1]


def test_parts_come_from_left_to_right_then_from_the_bottom_up():
    places = [(3.0, 0.0), (0.0, 3.0), (0.0, 0.0)]
    shapes = nest([bar(1.0, 1.0).outer.moved(p) for p in places])
    assert [tuple(s.outer.centroid.round(9)) for s in shapes] == [(0, 0), (0, 3), (3, 0)]


def test_a_hole_that_touches_its_outline_is_still_inside():
    (shape,) = nest([bar(4.0, 4.0).outer, bar(2.0, 2.0).outer.moved((1.0, 0.0))])
    assert len(shape.holes) == 1


def test_nothing_and_too_much():
    assert nest([]) == ()
    with pytest.raises(DrawingError, match="at most"):
        nest([circle(1.0)] * (MOST_LOOPS + 1))
