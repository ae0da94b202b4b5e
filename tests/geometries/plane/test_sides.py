"""Single sides: nearest points, crossings, boxes, fractions, all exact."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.shapes import circle
from crosscurrent.geometries.plane.sides import Sides, crossings, distances, dot, nearest, turned_left, unit

HALF = Sides.of(Outline.of([(1.0, 0.0), (-1.0, 0.0)], [1.0, 0.0]))  # upper half of the unit circle, then its chord


def test_lengths_sweeps_and_middles():
    assert HALF.length == pytest.approx([math.pi, 2.0])
    assert HALF.sweep == pytest.approx([math.pi, 0.0])
    assert np.allclose(HALF.middle, [(0, 1), (0, 0)], atol=1e-15)


def test_nearest_points_of_an_arc_are_radial_or_its_ends():
    distance, foot = nearest(HALF, np.array([[0.0, 3.0], [0.0, 0.25], [3.0, -1.0]])[:, None])
    assert distance[:, 0] == pytest.approx([2.0, 0.75, math.hypot(2, 1)])
    assert np.allclose(foot[:, 0], [(0, 1), (0, 1), (1, 0)], atol=1e-15)


def test_the_centre_of_an_arc_is_a_radius_away():
    assert nearest(HALF, np.zeros((1, 1, 2)))[0][0].tolist() == [1.0, 0.0]


def test_distances_are_those_of_the_nearest_points():
    """Arcs wider and narrower than a half circle, flat ones, lines; points all round, on them and at their centres."""
    bulges = np.array([0.0, 0.4, -0.4, 1.0, -3.0, 1e-9])
    outline = Outline.of([(0.0, 0.0), (2.0, 0.1), (3.0, 1.0), (3.0, 3.0), (0.5, 4.0), (-1.0, 2.0)], bulges)
    sides, draw = Sides.of(outline), np.random.default_rng(1)
    centres = sides.centre[sides.curved]
    points = np.concatenate((draw.uniform(-4, 6, (500, 2)), sides.start, sides.middle, centres))
    away, feet = nearest(sides, points[:, None])
    assert np.allclose(distances(sides, points), away, rtol=1e-7, atol=1e-14)
    assert np.allclose(np.hypot(*(points[:, None] - feet).transpose(2, 0, 1)), away, rtol=1e-6, atol=1e-12)


def test_position_and_fraction_are_inverse():
    sides = Sides.of(circle(4.0), Outline.of([(0.0, 0.0), (5.0, 1.0), (2.0, 3.0)]))
    k, u = np.arange(len(sides)), np.linspace(0.1, 0.9, len(sides))
    position, direction = sides.at(k, u)
    assert sides.fraction(position) == pytest.approx(u, rel=1e-12)
    assert np.allclose(direction, sides.tangent(position), atol=1e-12)


def test_boxes_hold_the_tips_of_arcs():
    assert np.allclose(HALF.boxes[0], [(-1, 0), (1, 1)], atol=1e-15)


def test_crossings_of_lines_and_circles():
    line = Sides.of(Outline.of([(-2.0, 0.5), (2.0, 0.5), (0.0, 9.0)])).take(slice(0, 1))
    arc = HALF.take(slice(0, 1))
    x = math.sqrt(0.75)
    assert sorted(crossings(line, arc)[:, 0, 0]) == pytest.approx([-x, x])
    other = Sides.of(Outline.of([(2.0, 0.0), (0.0, 0.0)], [1.0, 0.0])).take(slice(0, 1))
    found = crossings(arc, other)[:, 0]
    assert found[np.isfinite(found[:, 0])] == pytest.approx(np.array([[0.5, x]]))  # the other one lies on no arc


def test_parallel_lines_have_no_crossing():
    square = Sides.of(Outline.of([(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)]))
    assert np.isnan(crossings(square.take(np.array([0])), square.take(np.array([2])))).all()


def test_vectors():
    v = np.array([[3.0, 4.0], [0.0, -2.0]])
    assert unit(v) == pytest.approx(np.array([[0.6, 0.8], [0.0, -1.0]]))
    assert dot(v, turned_left(v)).tolist() == [0.0, 0.0]
