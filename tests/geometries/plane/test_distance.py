"""Exact distances against dense sampling of lines and arcs."""

import time
from unittest import mock

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import cKDTree

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane import distance
from crosscurrent.geometries.plane.distance import closest_of, closest_sides, point_distance
from crosscurrent.geometries.plane.outline import Outline
from crosscurrent.geometries.plane.shapes import bar, circle
from crosscurrent.geometries.plane.sides import Sides, crossings, side_distances

N = 801


def sampled(outline):
    """Dense points of every side, written from the bulge alone, (n, N, 2); and the longest step."""
    a = outline.points @ [1, 1j]
    e = np.roll(a, -1)
    t = np.linspace(0, 1, N)
    phi = (4 * np.arctan(outline.bulges))[:, None]
    bent = np.abs(outline.bulges)[:, None] > 1e-9  # flatter sides are straight by definition
    along = np.where(bent, np.expm1(1j * phi * t) / np.where(bent, np.expm1(1j * phi), 1), t)
    z = a[:, None] + (e - a)[:, None] * along
    return np.stack((z.real, z.imag), axis=-1), np.abs(np.diff(z, axis=1)).max()


coordinate = st.floats(-1, 1).map(lambda v: round(v, 3))
bulge = st.one_of(st.just(0.0), st.floats(-4, 4), st.floats(-1e-3, 1e-3), st.sampled_from([1.0, -1.0, 1e-7, 0.414]))


@st.composite
def outlines(draw):
    points = draw(st.lists(st.tuples(coordinate, coordinate), min_size=2, max_size=5, unique=True))
    bulges = draw(st.lists(bulge, min_size=len(points), max_size=len(points)))
    try:
        return Outline.of(points, bulges)
    except GeometryError:
        return Outline.of([(-1, 0), (0.5, 0.2)], [0.0, 2.5])


@pytest.mark.parametrize("bulge", [1e-6, 1e-7, 1e-8, 2e-9])
def test_of_an_arc_as_good_as_straight_the_foot_counts_near_its_end_too(bulge):
    outline = Outline.of([(0, 0), (0.779, 0), (0, 0.023)], [0, bulge, 0])
    height = 0.779 * 0.023 / np.hypot(0.779, 0.023)  # of a right triangle
    assert point_distance([(0.0, 0.0)], outline)[0, 1] == pytest.approx(height, abs=1e-6 * 0.779)


@settings(max_examples=60, deadline=None)
@given(outlines(), st.lists(st.tuples(coordinate, coordinate), min_size=1, max_size=5))
def test_point_distance_is_the_least_over_dense_samples(outline, points):
    curve, step = sampled(outline)
    exact = point_distance(points, outline)
    assert exact.shape == (len(points), len(outline.points))
    for k, side in enumerate(curve):
        dense, _ = cKDTree(side).query(points)
        assert (exact[:, k] <= dense + 1e-9).all()
        # a sample lies within half a step of the nearest point
        assert (dense <= np.hypot(exact[:, k], step) + 1e-9).all() or (dense - exact[:, k] <= step / 2 + 1e-9).all()


@settings(max_examples=60, deadline=None)
@given(outlines(), outlines(), st.floats(0, 3), st.floats(0, 6.3))
def test_closest_sides_is_the_least_over_dense_samples(a, b, away, heading):
    b = b.moved((away * np.cos(heading), away * np.sin(heading)))
    (curve_a, step_a), (curve_b, step_b) = sampled(a), sampled(b)
    distance, i, j, on_a, on_b = closest_sides(a, b)
    dense = cKDTree(curve_b.reshape(-1, 2)).query(curve_a.reshape(-1, 2))[0].min()
    assert distance <= dense + 1e-9
    assert dense <= distance + step_a + step_b
    assert np.hypot(*(on_a - on_b)) == pytest.approx(distance, abs=1e-9)
    for curve, side, place, step in ((curve_a, i, on_a, step_a), (curve_b, j, on_b, step_b)):
        assert cKDTree(curve[side]).query(place)[0] <= step


@settings(max_examples=60, deadline=None)
@given(outlines(), outlines())
def test_every_crossing_lies_on_both_sides(a, b):
    curve_b, step_b = sampled(b)
    one, other = Sides.of(a), Sides.of(b)
    i, j = (k.ravel() for k in np.meshgrid(np.arange(len(a.points)), np.arange(len(b.points)), indexing="ij"))
    for points in crossings(one.take(i), other.take(j)):
        for k in np.flatnonzero(np.isfinite(points[:, 0])):
            assert point_distance(points[k], a)[0, i[k]] < 1e-6
            assert cKDTree(curve_b[j[k]]).query(points[k])[0] < step_b + 1e-6


@pytest.mark.parametrize(
    ("a", "b", "distance"),
    [
        (circle(2.0), circle(4.0), 1.0),  # concentric
        (circle(2.0), circle(2.0).moved((5.0, 0.0)), 3.0),
        (circle(2.0), circle(2.0).moved((3.0, 4.0)), 3.0),
        (circle(2.0), circle(2.0).moved((1.0, 0.0)), 0.0),  # crossing
        (circle(2.0), circle(2.0).moved((2.0, 0.0)), 0.0),  # touching
        (circle(2.0), bar(10.0, 1.0).outer.moved((0.0, 2.0)), 0.5),
        (bar(0.1, 0.006).outer, bar(0.1, 0.006).outer.moved((0.0, 0.007)), 0.001),
        (bar(2.0, 2.0).outer, bar(2.0, 2.0).outer.turned(np.pi / 4).moved((3.0, 0.0)), 2 - np.sqrt(2)),
        # between the apexes of two arcs of one chord, at half the chord times the bulge: 0.5 and 3
        (Outline.of([(-1, 0), (1, 0)], [-0.5, 3.0]), circle(0.1).moved((0.0, 1.3)), 1.3 - 0.05 - 0.5),
        (Outline.of([(-1, 0), (1, 0)], [-0.5, 3.0]), circle(0.1).moved((0.0, 2.3)), 3.0 - 2.3 - 0.05),
    ],
)
def test_closest_sides_of_plain_pairs(a, b, distance):
    assert closest_sides(a, b)[0] == pytest.approx(distance, abs=1e-14)


def test_flat_arcs_lose_no_digits():
    """A bulge of 1e-7 on a chord of 1 m rises 5e-8 m; its distance from the chord's middle is just that."""
    flat = Outline.of([(0, 0), (1, 0), (1, 1), (0, 1)], [1e-7, 0, 0, 0])
    assert point_distance([(0.5, 0.0)], flat)[0, 0] == pytest.approx(5e-8, rel=1e-7)


def test_two_thousand_sides_are_compared_quickly():
    t = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    ring = Outline.of(np.column_stack((np.cos(t), np.sin(t))))
    wide = Outline.of(1.5 * ring.points, np.full(2000, 1e-4))
    begin = time.process_time()
    distance = closest_sides(ring, wide)[0]
    assert time.process_time() - begin < 3
    # corners of the inner ring lie on the rays of the outer ring's corners, nearest to its sides' feet
    assert 1.5 * np.cos(np.pi / 2000) - 1 <= distance <= 0.5


def test_side_distances_of_sides_that_meet_is_zero():
    a, b = bar(2.0, 2.0).outer, bar(2.0, 2.0).outer.moved((1.0, 1.0))
    i, j = (k.ravel() for k in np.meshgrid(np.arange(4), np.arange(4), indexing="ij"))
    distance, on_a, on_b = side_distances(Sides.of(a).take(i), Sides.of(b).take(j))
    meeting = on_a[distance == 0]
    assert sorted(map(tuple, meeting.tolist())) == [(0.0, 1.0), (1.0, 0.0)]
    np.testing.assert_array_equal(on_a[distance == 0], on_b[distance == 0])


def test_many_pairs_at_once_are_each_alone():
    """To the last digit: a chunk that ends amid a pair changes nothing either."""
    rods = [circle(2.0).moved((3.0 * k, 0.5 * k * k)) for k in range(3)]
    slab = Outline.of([(-4.0, -3.0), (9.0, -3.0), (9.0, -2.0), (-4.0, -2.0)])
    pairs = [(a, b) for a in (*rods, slab) for b in rods if a is not b]
    for chunk in (distance.CHUNK, 3):
        with mock.patch.object(distance, "CHUNK", chunk):
            for together, (a, b) in zip(closest_of(pairs), pairs, strict=True):
                alone = closest_sides(a, b)
                assert together[:3] == alone[:3]
                assert np.array_equal(together[3:], alone[3:])
