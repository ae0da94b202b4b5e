"""Arcs stay arcs wherever they are put; ellipses become arcs within the tolerance, whole in area."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.drawings.curves import IDENTITY, TOLERANCE, Affine, Run, arcs_along, ellipse, polyline
from crosscurrent.geometries.plane.outline import Outline

TURNED = Affine.of(0, -2, 3, 2, 0, 4)  # a quarter turn, twice as large, moved
MIRRORED = Affine.of(-1, 0, 0, 0, 1, 0)
STRETCHED = Affine.of(3, 0, 0, 0, 1, 0)


def closed(run):
    return Outline(run.points[:-1], run.bulges)


def test_maps_follow_one_another_from_the_right():
    assert (TURNED @ MIRRORED).points([(1, 0)]).tolist() == TURNED.points(MIRRORED.points([(1, 0)])).tolist()
    assert (TURNED.handed, MIRRORED.handed) == (1, -1)
    assert TURNED.keeps_circles
    assert not STRETCHED.keeps_circles


def test_a_circle_stays_one_where_circles_do():
    run = ellipse((1, 0), (2, 0), (0, 2), 0.3, 2 * math.pi, TURNED)
    assert closed(run).area == pytest.approx(math.pi * 16, rel=1e-12)
    assert closed(run).radii == pytest.approx(4.0)


def test_an_ellipse_is_followed_within_the_tolerance():
    run = ellipse((0, 0), (5, 0), (0, 2), 0.0, 2 * math.pi)
    found = closed(run)
    assert found.area == pytest.approx(math.pi * 10, rel=2 * TOLERANCE)
    assert np.abs(run.points[:, 0]).max() == pytest.approx(5.0)
    x, y = found.at(np.arange(len(found.points))[:, None], np.linspace(0, 1, 9))[0].reshape(-1, 2).T
    off = np.abs(np.hypot(x / 5, y / 2) - 1) * 2  # at most this far aside
    assert off.max() < 2 * TOLERANCE * math.hypot(10, 4)


def test_bulges_turn_over_in_a_mirror_and_become_ellipses_when_stretched():
    half = [(0, 0), (2, 0)]
    assert polyline(half, [1.0], MIRRORED).bulges.tolist() == [-1.0]
    run = polyline([*half, (0, 0)], [1.0, 0.0], STRETCHED)
    assert closed(run).area == pytest.approx(math.pi * 3 / 2, rel=2 * TOLERANCE)


def test_runs_backward_and_chained():
    run = Run(np.array([[0.0, 0], [1, 0], [1, 1]]), np.array([0.5, 0.0]))
    assert run.backward().backward().points.tolist() == run.points.tolist()
    assert run.backward().bulges.tolist() == [0.0, -0.5]
    assert len(Run.chained([run, run.backward()]).points) == 5


def test_a_parabola_is_halved_until_it_fits():
    def path(t):
        return np.column_stack((t, t**2)), np.column_stack((np.ones_like(t), 2 * t))

    rough, fine = (len(arcs_along(path, np.array([0.0, 1.0]), tolerance=e).bulges) for e in (1e-2, 1e-7))
    assert rough < fine
    last = arcs_along(path, np.array([0.0, 1.0])).points[-1]
    assert last.tolist() == [1.0, 1.0]
    assert polyline([(0, 0), (1, 1)], [0.0], IDENTITY).bulges.tolist() == [0.0]
