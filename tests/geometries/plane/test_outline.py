"""Exact measures of outlines against closed formulas and against quadrature along the boundary."""

import math

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from crosscurrent.geometries.errors import GeometryError
from crosscurrent.geometries.plane import shapes
from crosscurrent.geometries.plane.inscribed import inscribed_radius, largest_inscribed_circle
from crosscurrent.geometries.plane.outline import Outline

GAUSS, WEIGHTS = np.polynomial.legendre.leggauss(60)
T = (GAUSS + 1) / 2


def walk(outline, t):
    """Complex position and derivative along every side, written from the bulge alone, (n, len(t))."""
    a = outline.points @ [1, 1j]
    e = np.roll(a, -1)
    phi = (4 * np.arctan(outline.bulges))[:, None]
    bent = np.abs(outline.bulges)[:, None] > 1e-9  # flatter sides are straight by definition
    safe = np.where(bent, np.expm1(1j * phi), 1)
    chord = (e - a)[:, None]
    z = a[:, None] + chord * np.where(bent, np.expm1(1j * phi * t) / safe, t)
    dz = chord * np.where(bent, 1j * phi * np.exp(1j * phi * t) / safe, 1.0)
    return z, dz


def by_quadrature(outline):
    z, dz = walk(outline, T)
    w = WEIGHTS / 2
    area = 0.5 * np.sum(w * (z.real * dz.imag - z.imag * dz.real))
    x = np.sum(w * 0.5 * z.real**2 * dz.imag) / area
    y = -np.sum(w * 0.5 * z.imag**2 * dz.real) / area
    return area, np.sum(w * np.abs(dz)), np.array([x, y])


R2 = math.sqrt(2)
# shape, area, perimeter of all outlines, centroid of the outer outline, half extents, inscribed radius of the metal
FORMULAS = {
    "bar": (shapes.bar(0.1, 0.006), 6e-4, 0.212, (0, 0), (0.05, 0.003), 0.003),
    "bar, rounded": (
        shapes.bar(0.1, 0.006, 0.0005),
        6e-4 - (4 - math.pi) * 0.0005**2,
        0.212 - (8 - 2 * math.pi) * 0.0005,
        (0, 0),
        (0.05, 0.003),
        0.003,
    ),
    "bar, round ends": (
        shapes.bar(0.1, 0.006, 0.003),
        0.094 * 0.006 + math.pi * 0.003**2,
        0.188 + 2 * math.pi * 0.003,
        (0, 0),
        (0.05, 0.003),
        0.003,
    ),
    "round": (shapes.round_bar(0.025), math.pi * 0.0125**2, math.pi * 0.025, (0, 0), (0.0125, 0.0125), 0.0125),
    "tube": (
        shapes.tube(0.025, 0.002),
        math.pi * (0.0125**2 - 0.0105**2),
        math.pi * 0.046,
        (0, 0),
        (0.0125, 0.0125),
        0.001,
    ),
    "box": (shapes.box(0.05, 0.03, 0.003), 1.5e-3 - 0.044 * 0.024, 0.296, (0, 0), (0.025, 0.015), 0.006 / (2 + R2)),
    "box, rounded": (
        shapes.box(0.05, 0.03, 0.003, 0.002, 0.001),
        1.5e-3 - 0.044 * 0.024 - (4 - math.pi) * (0.002**2 - 0.001**2),
        0.296 - (8 - 2 * math.pi) * 0.003,
        (0, 0),
        (0.025, 0.015),
        # on the diagonal, between the edge's arc at (2 sqrt2 - 2) mm and the bore's arc at (4 sqrt2 - 1) mm
        (0.002 * R2 + 0.001) / 2,
    ),
    "angle": (
        shapes.angle(0.05, 0.03, 0.004),
        0.05 * 0.004 + 0.026 * 0.004,
        0.16,
        (
            (0.2 * 0.0 + 0.104 * (-0.025 + 0.002)) / 0.304,
            (0.2 * (-0.015 + 0.002) + 0.104 * (-0.015 + 0.004 + 0.013)) / 0.304,
        ),
        (0.025, 0.015),
        0.008 / (2 + R2),
    ),
    "channel": (
        shapes.channel(0.05, 0.03, 0.004),
        0.05 * 0.004 + 2 * 0.026 * 0.004,
        2 * 0.05 + 2 * 0.03 + 2 * 0.026,
        (0, (0.2 * (-0.015 + 0.002) + 0.208 * (-0.015 + 0.004 + 0.013)) / 0.408),
        (0.025, 0.015),
        0.008 / (2 + R2),
    ),
    "free outline, half disc": (
        shapes.outline([(-1, 0), (1, 0)], [0, 1]),
        math.pi / 2,
        2 + math.pi,
        (0, 4 / (3 * math.pi)),
        None,
        0.5,
    ),
}


@pytest.mark.parametrize("name", FORMULAS)
def test_shapes_have_the_measures_of_closed_formulas(name):
    shape, area, perimeter, centroid, half, radius = FORMULAS[name]
    assert shape.outer.area - sum(h.area for h in shape.holes) == pytest.approx(area, rel=1e-13)
    assert shape.outer.perimeter + sum(h.perimeter for h in shape.holes) == pytest.approx(perimeter, rel=1e-13)
    np.testing.assert_allclose(shape.outer.centroid, centroid, atol=1e-14)
    if half:
        np.testing.assert_allclose(shape.outer.bounds, [np.negative(half), half], atol=1e-16)
    assert largest_inscribed_circle(shape.outer, shape.holes)[1] == pytest.approx(radius, rel=1e-11)


@pytest.mark.parametrize("name", FORMULAS)
def test_shapes_have_the_measures_of_boundary_integrals(name):
    shape = FORMULAS[name][0].placed((0.03, -0.02), 0.7)
    for outline in (shape.outer, *shape.holes):
        area, perimeter, centroid = by_quadrature(outline)
        assert outline.area == pytest.approx(area, rel=1e-12)
        assert outline.perimeter == pytest.approx(perimeter, rel=1e-13)
        np.testing.assert_allclose(outline.centroid, centroid, rtol=1e-10, atol=1e-13)


coordinate = st.floats(-1, 1, allow_nan=False).map(lambda v: round(v, 3))
bulge = st.one_of(st.just(0.0), st.floats(-4, 4), st.floats(-1e-3, 1e-3))


@st.composite
def outlines(draw):
    points = draw(st.lists(st.tuples(coordinate, coordinate), min_size=2, max_size=7, unique=True))
    bulges = draw(st.lists(bulge, min_size=len(points), max_size=len(points)))
    try:
        outline = Outline.of(points, bulges)
    except GeometryError:
        outline = Outline.of([(-1, 0), (1, 0)], [0.0, 2.5])
    return outline if abs(outline.area) > 1e-3 else Outline.of([(-1, 0), (1, 0)], [-0.3, 1.7])


@settings(max_examples=60, deadline=None)
@given(outlines())
@example(Outline.of([(0, 0), (0, 1), (0, 0.5), (1, 0)], [0, 0, 0, 2e-8]))
@example(Outline.of([(0, 0), (0, 0.5), (0.5, 0), (-0.5, 0), (1, 0), (-1, 0)], [0, 0, 0, 0, 1e-9, 0]))
def test_any_outline_has_the_measures_of_boundary_integrals(outline):
    area, perimeter, centroid = by_quadrature(outline)
    assert outline.area == pytest.approx(area, rel=1e-8, abs=1e-9)
    assert outline.perimeter == pytest.approx(perimeter, rel=1e-10)
    np.testing.assert_allclose(outline.centroid, centroid, rtol=1e-6, atol=1e-6)
    z, _ = walk(outline, np.linspace(0, 1, 2001))
    lowest, highest = outline.bounds
    scale = np.abs(outline.bounds).max() + 1
    assert z.real.min() >= lowest[0] - 1e-9 * scale
    assert z.imag.max() <= highest[1] + 1e-9 * scale
    assert z.real.min() == pytest.approx(lowest[0], abs=1e-4 * scale)
    assert z.imag.max() == pytest.approx(highest[1], abs=1e-4 * scale)


@settings(max_examples=60, deadline=None)
@given(outlines(), st.floats(-7, 7), coordinate, coordinate)
def test_turning_and_moving_keep_the_measures(outline, angle, x, y):
    moved = outline.turned(angle).moved((x, y))
    assert moved.area == pytest.approx(outline.area, rel=1e-8, abs=1e-9)
    assert moved.perimeter == pytest.approx(outline.perimeter, rel=1e-12)
    c, s = math.cos(angle), math.sin(angle)
    np.testing.assert_allclose(moved.centroid, [[c, -s], [s, c]] @ outline.centroid + [x, y], rtol=1e-6, atol=1e-6)
    assert outline.reversed().area == pytest.approx(-outline.area, rel=1e-8, abs=1e-9)


@settings(max_examples=60, deadline=None)
@given(outlines(), st.lists(st.tuples(coordinate, coordinate), min_size=1, max_size=20))
def test_contains_agrees_with_the_winding_of_the_outline(outline, points):
    z, _ = walk(outline, np.linspace(0, 1, 2001))
    path = np.append(z[:, :-1].ravel(), z[0, 0])
    for point in points:
        way = path - complex(*point)
        step = np.abs(np.diff(path)).max()
        if np.abs(way).min() < 3 * step:
            continue  # the sampled winding is not certain this near
        turns = np.round(np.angle(way[1:] / way[:-1]).sum() / (2 * np.pi))
        assert outline.contains([point])[0] == (int(turns) % 2 == 1)


def test_contains_is_right_on_chords_and_at_the_height_of_corners():
    turns = np.linspace(0, 2 * np.pi, 360)
    two_halves = Outline.of([(-1, 0), (1, 0)], [1, 1])
    assert all(two_halves.turned(t).contains([(0, 0)])[0] for t in turns)
    disc = shapes.circle(2.0)
    for t in turns:
        turned = disc.turned(t)
        inside = np.concatenate([0.5 * (turned.points + turned.ends), [[0, 0]], 0.999 * turned.points])
        assert turned.contains(inside).all()
        assert not turned.contains(1.001 * turned.points).any()


def test_an_arc_of_nearly_a_full_circle_is_a_disc_with_a_notch():
    keyhole = Outline.of([(-0.01, 0.0), (0.01, 0.0)], [0.0, 200.0])
    radius = 0.02 * (1 + 200.0**2) / 800
    half = math.asin(0.01 / radius)  # the chord cuts off this segment
    cut = radius**2 * (half - math.sin(half) * math.cos(half))
    assert keyhole.area == pytest.approx(math.pi * radius**2 - cut, rel=1e-13)
    assert inscribed_radius(keyhole) == pytest.approx(0.5 * (radius + radius * math.cos(half)), rel=1e-11)


@settings(max_examples=30, deadline=None)
@given(st.tuples(coordinate, coordinate), st.tuples(coordinate, coordinate), st.tuples(coordinate, coordinate))
def test_inscribed_circle_of_a_triangle_has_twice_area_over_perimeter(a, b, c):
    area = 0.5 * ((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))
    perimeter = math.dist(a, b) + math.dist(b, c) + math.dist(c, a)
    if abs(area) < 1e-3:
        return
    assert inscribed_radius(Outline.of([a, b, c])) == pytest.approx(2 * abs(area) / perimeter, rel=1e-11)


@pytest.mark.parametrize(
    ("outline", "radius"),
    [
        (Outline.of([(-1, 0), (1, 0)], [0.3, 0.3]), 0.3),  # a lens: half its thickness
        (Outline.of([(-1, 0), (1, 0)], [2.0, -1.0]), 0.5),  # a moon: half its thickness, 2 - 1
        # a square with a bite: the ball in a right corner touches the bite, |(4 - r, r) - (0, 2)| = 2 + r
        (Outline.of([(0, 0), (4, 0), (4, 4), (0, 4)], [0, 0, 0, -1.0]), 8 - math.sqrt(48)),
        (shapes.bar(0.1, 1e-5).outer.turned(0.3), 5e-6),
        (shapes.bar(0.1, 0.006, 0.0005).outer.turned(1.0), 0.003),
    ],
)
def test_inscribed_circle_of_curved_hollow_and_flat_outlines(outline, radius):
    assert inscribed_radius(outline) == pytest.approx(radius, rel=1e-11)


@pytest.mark.parametrize(
    ("points", "words"),
    [
        ([(0, 0)], "an outline needs at least two points, found 1"),
        ([(0, 0), (1, 0), (1, 0), (1, 1)], "points 2 and 3 of the outline coincide; remove one of them"),
        ([(0, 0), (1, 0), (2, 0)], "the outline encloses no area; give its points in order around the part"),
        ([(0, 0), (1, float("nan")), (2, 0)], "an outline has a coordinate that is not a finite number"),
    ],
)
def test_faulty_points_are_refused(points, words):
    with pytest.raises(GeometryError) as caught:
        Outline.of(points)
    assert str(caught.value) == words
