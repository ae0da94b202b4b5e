"""Largest inscribed circles of shapes whose radius is known."""

import math

import pytest

from crosscurrent.geometries.plane.inscribed import (
    holds_circle,
    inscribed_radius,
    largest_inscribed_circle,
    sure_radius,
)
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import angle, bar, circle, tube

L_SIDE = 2 - math.sqrt(2)  # where a square corner and a point inwards meet: r (1 + sqrt 2) = sqrt 2


@pytest.mark.parametrize(
    ("outline", "radius"),
    [
        (circle(2.0), 1.0),
        (bar(3.0, 0.5).outer, 0.25),
        (bar(1.0, 1.0).outer, 0.5),
        (Outline.of([(0.0, 0.0), (4.0, 0.0), (0.0, 3.0)]), 1.0),
        (Outline.of([(-1.0, 0.0), (1.0, 0.0)], [0.0, 1.0]), 0.5),
        (angle(5.0, 5.0, 1.0).outer, L_SIDE),
    ],
)
def test_radius(outline, radius):
    assert inscribed_radius(outline) == pytest.approx(radius, rel=1e-10)
    assert 0.5 * radius < sure_radius(outline) <= radius * (1 + 1e-12)
    assert [holds_circle(outline, share * radius) for share in (0.5, 0.9999, 1.0001)] == [True, True, False]


def test_holes_are_kept_clear_of():
    shape = tube(10.0, 1.5)
    centre, radius = largest_inscribed_circle(shape.outer, shape.holes)
    assert radius == pytest.approx(0.75, rel=1e-10)
    assert math.hypot(*centre) == pytest.approx(4.25, rel=1e-9)
    assert 0.74 < sure_radius(shape.outer, shape.holes) <= 0.75 * (1 + 1e-12)


def test_a_part_knows_the_radius_of_its_outer_outline():
    assert Part("tube", tube(10.0, 1.5)).inscribed_radius == pytest.approx(5.0, rel=1e-10)
