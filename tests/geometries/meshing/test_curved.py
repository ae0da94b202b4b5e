"""Polar paths and polar triangles, exact; displacements of sides carried inside."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.meshing.curved import (
    CHECKED,
    edge_lift,
    jacobian_coefficients,
    polar_path,
    polar_triangles,
)
from crosscurrent.geometries.meshing.lattice import lattice

BARY = lattice(CHECKED) / CHECKED


def ring_sector(inner, outer, turn):
    """Two polar triangles that make up a sector of a ring about the origin."""
    a, b = np.array([inner, 0.0]), np.array([outer, 0.0])
    cos, sin = math.cos(turn), math.sin(turn)
    c, d = np.array([outer * cos, outer * sin]), np.array([inner * cos, inner * sin])
    return np.array([[a, b, c], [a, c, d]])


@pytest.mark.parametrize("turn", [0.02, 0.3, 0.5])
def test_polar_triangles_have_the_area_of_their_sector(turn):
    nodes = polar_triangles(ring_sector(1.0, 1.2, turn), np.zeros((2, 2)), BARY)
    area = 0.5 * jacobian_coefficients(nodes, CHECKED).mean(axis=1).sum()
    assert area == pytest.approx(0.5 * turn * (1.2**2 - 1.0), rel=1e-10)


def test_nodes_of_polar_triangles_on_an_arc_lie_on_the_circle():
    nodes = polar_triangles(ring_sector(1.0, 1.2, 0.5), np.zeros((2, 2)), BARY)
    on_outer = BARY[:, 0] == 0
    assert np.hypot(*nodes[0, on_outer].T) == pytest.approx(1.2, rel=1e-14)


def test_a_path_from_the_centre_is_straight():
    path = polar_path(np.zeros((1, 2)), np.array([[3.0, 4.0]]), np.zeros((1, 2)), np.array([0.0, 0.5, 1.0]))
    assert path[0] == pytest.approx(np.array([[0.0, 0.0], [1.5, 2.0], [3.0, 4.0]]))


@pytest.mark.parametrize("side", [0, 1, 2])
def test_a_lift_is_the_displacement_on_its_side_and_zero_on_the_others(side):
    t = np.arange(1, CHECKED) / CHECKED
    moved = t * (1 - t) * (1 + t)
    lifted = edge_lift(CHECKED, side) @ moved
    own = slice(3 + side * (CHECKED - 1), 3 + (side + 1) * (CHECKED - 1))
    assert lifted[own] == pytest.approx(moved, abs=1e-12)
    border = (BARY == 0).any(axis=1)
    border[own] = False
    assert np.abs(lifted[border]).max() < 1e-12


def test_a_triangle_turned_over_has_negative_coefficients():
    nodes = np.einsum("nk,tkd->tnd", BARY, np.array([[(0.0, 0.0), (0.0, 1.0), (1.0, 0.0)]]))
    assert jacobian_coefficients(nodes, CHECKED) == pytest.approx(-1.0)


@pytest.mark.parametrize("k", [0.5, -0.5, -1.5])
def test_known_bernstein_coefficients(k):
    """x = u, y = v + k u v has the Jacobian 1 + k u; a linear function's coefficients are its lattice values."""
    bary = lattice(2) / 2
    u, v = bary[:, 1], bary[:, 2]
    found = jacobian_coefficients(np.column_stack((u, v + k * u * v))[None], 2)[0]
    np.testing.assert_allclose(found, 1 + k * u, atol=1e-13)


def test_coefficients_bound_the_jacobian_where_no_node_shows_the_fold():
    """x = u, y = v - 24 u (1 - u - v) v^2 at order 4: the smallest coefficient lies below the smallest value."""
    bary = lattice(4) / 4
    u, v = bary[:, 1], bary[:, 2]
    nodes = np.column_stack((u, v - 24 * u * (1 - u - v) * v**2))
    a, b = np.meshgrid(np.linspace(0, 1, 60), np.linspace(0, 1, 60))
    inside = a + b <= 1
    a, b = a[inside], b[inside]
    jacobian = 1 - 24 * a * (2 * b * (1 - a - b) - b**2)
    assert jacobian_coefficients(nodes[None], 4).min() <= jacobian.min() < 0


def test_polar_path_is_a_spiral():
    path = polar_path(np.array([[1.0, 0.0]]), np.array([[0.0, 2.0]]), np.zeros((1, 2)), np.array([0.0, 0.5, 1.0]))[0]
    np.testing.assert_allclose(path, [(1, 0), (1.5 * math.sqrt(0.5),) * 2, (0, 2)], atol=1e-15)
