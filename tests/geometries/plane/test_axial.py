"""Bodies on the axis: made whole, broken at the axis, and every refusal in the user's words."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane.axial import axial_parts, on_axis, right_area, whole, with_breaks
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape, bar, box, channel, circle, outline, round_bar, tube

CAN = [(0, -4), (3, -4), (3, 4), (0, 4), (0, 3), (2.5, 3), (2.5, -3.5), (0, -3.5)]


@pytest.mark.parametrize(
    ("half", "area", "holes"),
    [
        (bar(3.0, 16.0).placed((1.5, 7.0)), 96.0, 0),
        (outline([(0, -2), (0, 2)], [1, 0]), 4 * math.pi, 0),
        (outline([(0, 2), (0, -2)], [0, 1]), 4 * math.pi, 0),
        (outline([(0, 0), (2, 0), (0, 5)]), 10.0, 0),
        (outline(CAN), 2 * (24 - 2.5 * 6.5), 1),
        (Shape(bar(3.0, 8.0).placed((1.5, 0)).outer, (circle(1.0).moved((1.5, 2.0)),)), 48 - math.pi / 2, 2),
        (Shape(bar(3.0, 8.0).placed((1.5, 0)).outer, (circle(1.0).moved((0.0, 2.0)),)), 48 - math.pi / 4, 1),
        (Shape(bar(3.0, 8.0).placed((1.5, 0)).outer, (outline([(0, -1), (0, 1)], [1, 0]).outer,)), 48 - math.pi, 1),
    ],
)
def test_halves_become_whole(half, area, holes):
    found = whole(half)
    assert found.area == pytest.approx(area, rel=1e-14)
    assert right_area(found) == pytest.approx(area / 2, rel=1e-14)
    assert len(found.holes) == holes
    assert whole(found) is found
    assert Section((Part("body", found),), axial=True).crosses == (True,)


@pytest.mark.parametrize(
    "shape",
    [
        bar(60.0, 160.0), bar(6.0, 4.0, 1.0), round_bar(4.0), tube(4.0, 0.5), box(4.0, 3.0, 0.4),
        channel(6.0, 4.0, 0.5), Shape(circle(4.0).turned(0.3)), outline([(2.0, 1.0), (-2.0, 1.0)], [1.0, 1.0]),
        round_bar(4.0).placed((1e-12, 0)),
    ],
)  # fmt: skip
def test_breaks_lie_on_the_axis_and_the_halves_are_alike(shape):
    found = with_breaks(shape)
    assert found.area == pytest.approx(shape.area, rel=1e-12)
    assert with_breaks(found) is found
    for one in (found.outer, *found.holes):
        assert one.area > 0
        count = len(one.points)
        assert one.points[[0, count // 2], 0].tolist() == [0.0, 0.0]
        assert one.points[0, 1] < one.points[count // 2, 1]
        assert (one.points[1 : count // 2, 0] > 0).all()
        assert np.array_equal(one.points[1:][::-1] * [-1, 1], one.points[1:])
        assert np.array_equal(one.bulges, one.bulges[::-1])


def test_shapes_off_the_axis_stay_what_they_are():
    turn = tube(2.0, 0.2).placed((3.0, 0.0))
    assert whole(turn) is turn
    assert with_breaks(turn) is turn
    assert not on_axis(turn)
    assert right_area(turn) == turn.area
    parts = Part("turn", turn), Part("rod", whole(bar(1.0, 4.0)))
    assert all(one is other for one, other in zip(axial_parts(parts), parts, strict=True))


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (
            Part("turn", bar(0.01, 0.01).placed((-0.02, 0.0))),
            'conductor "turn" lies left of the axis, at r = -25 mm to -15 mm; place it at r > 0, or centred on the '
            "axis if it lies on it",
        ),
        (
            Part("turn", bar(0.01, 0.01).placed((0.003, 0.0))),
            'conductor "turn" reaches across the axis to r = -2 mm and is no mirror image of itself about it; place it '
            "at r > 0, or centred on the axis if it lies on it",
        ),
        (
            Part("billet", bar(0.01, 0.01).placed((0.005, 0.0))),
            'conductor "billet" touches the axis at (0 mm, -5 mm) and does not go on beyond it; move it off the axis, '
            "or give it whole, mirrored about the axis",
        ),
        (
            Part("turn", round_bar(0.01).placed((0.005, 0.0))),
            'conductor "turn" touches the axis and does not go on beyond it; move it off the axis, or give it whole, '
            "mirrored about the axis",
        ),
        (
            Part("turn", bar(0.003, 0.004).placed((0.0015 + 1e-10, 0.0))),
            'conductor "turn" is only 0.0001 um from the axis; the mesh needs at least 0.0005 um here: move it out, or '
            "let it lie on the axis",
        ),
        (
            Part("turn", bar(0.003, 0.004).placed((0.002, 0.0)), (0.0005,)),
            'conductor "turn" is 0.5 mm from the axis: no room for its plating of 0.5 mm; the mesh needs at least '
            "0.0005 um here: move it out, or let it lie on the axis",
        ),
        (
            Part("rod", Shape(bar(0.04, 0.04).outer, (circle(0.004).moved((0.01, 0.0)),))),
            'hole 1 of "rod" has no mirror image left of the axis, which the conductor crosses; give the '
            "conductor as its half right of the axis",
        ),
        (
            Part("rod", bar(0.04, 0.04), pieces=(bar(0.04, 0.02).placed((0.01, 0.03)),)),
            'conductor "rod, piece 1" reaches across the axis to r = -10 mm and is no mirror image of itself about it; '
            "place it at r > 0, or centred on the axis if it lies on it",
        ),
    ],
)
def test_refusals_say_where_and_what_to_do(part, words):
    with pytest.raises(GeometryError) as refused:
        Section((part,), axial=True)
    assert str(refused.value) == words
    assert refused.value.faults[0].parts[0][0] == part.name
    assert Section((part,)).crosses == (False,)
