"""The interior of a region: covered once, its edges kept, as fine as asked for."""

import numpy as np
import pytest

from crosscurrent.geometries.errors import MeshError
from crosscurrent.geometries.meshing.interior import mesh_interiors
from crosscurrent.geometries.meshing.side_by_side import Interior

SQUARE = np.array([[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]])
HOLE = np.array([[0.4, 0.4], [0.4, 0.6], [0.6, 0.6], [0.6, 0.4]])


def loop(first, count):
    k = first + np.arange(count)
    return np.column_stack((k, np.roll(k, -1)))


def area(points, triangles):
    a, b, c = (points[triangles[:, k]] for k in range(3))
    return 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])


def mesh_interior(*region):
    points, triangles, owner = mesh_interiors([Interior(*region)])
    assert not owner.any()
    assert len(owner) == len(triangles)
    return points, triangles


def coarse(places):
    return np.full(len(places), 1e9)


def test_a_square_with_a_hole_is_covered_once():
    points = np.concatenate((SQUARE, HOLE))
    edges = np.concatenate((loop(0, 4), loop(4, 4)))
    found, triangles = mesh_interior(points, edges, np.zeros(8), coarse)
    assert found[:8] == pytest.approx(points)
    assert area(found, triangles).min() > 0
    assert area(found, triangles).sum() == pytest.approx(1 - 0.04, rel=1e-12)
    sides = {tuple(sorted(p)) for t in triangles.tolist() for p in zip(t, t[1:] + t[:1], strict=True)}
    assert {tuple(sorted(e)) for e in edges.tolist()} <= sides


def test_triangles_are_as_small_as_asked_for():
    t = np.linspace(0, 1, 11)[:-1]
    sides = [np.column_stack((t, 0 * t)), np.column_stack((0 * t + 1, t))]
    ring = np.concatenate((*sides, *(1 - s for s in sides)))
    points, triangles = mesh_interior(ring, loop(0, len(ring)), np.zeros(len(ring)), lambda p: np.full(len(p), 0.1))
    longest = np.hypot(*(points[triangles] - points[np.roll(triangles, 1, axis=1)]).T).max()
    assert longest < 2 * 0.1
    assert area(points, triangles).sum() == pytest.approx(1.0, rel=1e-12)


def test_no_triangle_gets_two_curved_edges():
    points, triangles = mesh_interior(SQUARE, loop(0, 4), np.full(4, -0.5), coarse)
    sides = [{tuple(sorted(p)) for p in zip(t, t[1:] + t[:1], strict=True)} for t in triangles.tolist()]
    outer = {tuple(sorted(e)) for e in loop(0, 4).tolist()}
    assert max(len(s & outer) for s in sides) == 1
    assert area(points, triangles).sum() == pytest.approx(1.0)


def test_edges_that_cross_are_refused():
    bow = np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0], [1.0, 1.2]])
    with pytest.raises(MeshError):
        mesh_interior(bow, loop(0, 4), np.zeros(4), coarse)


def test_several_regions_of_other_sizes_are_filled_at_once():
    t = np.linspace(0, 1, 21)[:-1]
    sides = [np.column_stack((t, 0 * t)), np.column_stack((0 * t + 1, t))]
    ring = np.concatenate((*sides, *(1 - s for s in sides)))
    holed = np.concatenate((SQUARE, HOLE)), np.concatenate((loop(0, 4), loop(4, 4))), np.zeros(8), coarse
    fine = 1e-3 * ring - 5, loop(0, len(ring)), np.zeros(len(ring)), lambda p: np.full(len(p), 5e-5)
    bent = 30 * SQUARE + 7, loop(0, 4), np.full(4, 0.4), coarse
    points, triangles, owner = mesh_interiors([Interior(*region) for region in (holed, fine, bent)])
    size, covered = area(points, triangles), (1 - 0.04, 1e-6, 900.0)
    assert size.min() > 0
    assert [size[owner == k].sum() for k in range(3)] == pytest.approx(covered, rel=1e-9)
    assert points[: 8 + len(ring) + 4] == pytest.approx(np.concatenate((holed[0], fine[0], bent[0])))
    longest = np.hypot(*np.moveaxis(points[triangles] - points[np.roll(triangles, 1, axis=1)], -1, 0)).max(axis=1)
    assert longest[owner == 1].max() < 2 * 5e-5
