"""Parts: their boxes, areas, layers, and the points in their metal."""

import pytest

from crosscurrent.geometries.plane.part import NARROWEST, RESOLVABLE, Part
from crosscurrent.geometries.plane.shapes import angle, bar, box, round_bar, tube


def test_outlines_begin_with_the_outer_one():
    part = Part("tube", tube(4.0, 1.0))
    assert part.outlines == (part.shape.outer, *part.shape.holes) == part.all_outlines


def test_a_gap_must_be_wider_than_what_rounding_leaves():
    assert RESOLVABLE < NARROWEST


def test_a_part_adds_up_its_pieces_and_leaves_coats_out():
    rail = Part("rail", bar(4.0, 2.0), (0.1,), pieces=(bar(4.0, 1.0).placed((0.0, 1.5)),))
    assert rail.area == pytest.approx(12.0)
    assert rail.bounds.tolist() == [[-2.0, -1.0], [2.0, 2.0]]
    assert len(rail.all_outlines) == 2


def test_layers_stand_outside_first():
    assert Part("tube", tube(4.0, 1.0), (0.1, 0.2), (0.3,)).layers == (0.1, 0.2, 0.3)


@pytest.mark.parametrize(
    "shape", [round_bar(2.0), bar(3.0, 1.0, 0.1).placed((1.0, 0.0), 0.4), box(4.0, 3.0, 0.2), angle(5.0, 5.0, 1.0)]
)
def test_the_inscribed_radius_lies_between_its_bounds(shape):
    part = Part("part", shape)
    assert part.inscribed_at_least < part.inscribed_radius < part.inscribed_at_most
    assert part.fits(0.999 * part.inscribed_radius)
    assert not part.fits(1.001 * part.inscribed_radius)


def test_points_in_a_part():
    part = Part("tube", tube(4.0, 1.0), pieces=(bar(1.0, 1.0).placed((2.5, 0.0)),))
    assert part.contains([(1.5, 0.0), (0.0, 0.0), (2.6, 0.0), (0.0, 2.1)]).tolist() == [True, False, True, False]
