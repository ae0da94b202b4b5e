"""Boundary layers: their cuts, their depths, their rays."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.meshing.boundary import Boundary
from crosscurrent.geometries.meshing.layers import coat_rays, gently, layer_depths, layer_fractions, skin_rays
from crosscurrent.geometries.meshing.nodes import place_nodes
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.geometries.plane.shapes import bar, round_bar

OPTIONS = MeshOptions()


def layered(outline, skin):
    boundary = Boundary(outline, 0, skin)
    (nodes,), _, sides = place_nodes([boundary], OPTIONS)
    (deepest,) = layer_depths([boundary], [nodes], sides, OPTIONS)
    return boundary, nodes, gently(deepest, nodes, sides)


def test_cuts_grow_from_the_surface_and_end_at_the_depth():
    cuts = layer_fractions(9.5, 1.0, OPTIONS)
    steps = np.diff(cuts, prepend=0.0)
    assert cuts[-1] == pytest.approx(1.0)
    assert steps[1:-1] / steps[:-2] == pytest.approx(OPTIONS.growth)
    assert steps[0] * 9.5 == pytest.approx(OPTIONS.first, rel=0.5)


def test_cuts_from_both_faces_are_symmetric():
    cuts = np.append(0.0, layer_fractions(8.0, 1.0, OPTIONS, both_faces=True))
    assert cuts + cuts[::-1] == pytest.approx(1.0)


@pytest.mark.parametrize(("depth", "skin"), [(1.0, math.inf), (1.0, 1.0)])
def test_thin_metal_and_direct_current_take_one_layer(depth, skin):
    assert layer_fractions(depth, skin, OPTIONS).tolist() == [1.0]


def test_depth_is_what_the_skin_asks_for_where_there_is_room():
    _, nodes, depth = layered(bar(4.0, 3.0).outer, 0.02)
    middle = np.abs(nodes.fraction - 0.5) < 0.2
    assert depth[middle] == pytest.approx(OPTIONS.reach * 0.02)


def test_depth_leaves_room_between_opposite_faces():
    _, nodes, depth = layered(bar(4.0, 0.1).outer, 1.0)
    assert depth[nodes.side % 2 == 0].max() <= 0.4 * 0.1 + 1e-12


def test_rays_into_a_rod_are_radial():
    boundary, nodes, depth = layered(round_bar(2.0).outer, 0.01)
    rays = skin_rays(boundary, nodes, depth, np.array([0.5, 1.0]))
    assert np.hypot(*rays.rows[1].T) == pytest.approx(1 - depth[0], rel=1e-12)
    assert rays.curve_centres == pytest.approx(0.0, abs=1e-15)


def test_rays_at_a_square_corner_follow_its_bisector():
    boundary, nodes, depth = layered(bar(4.0, 3.0).outer, 0.02)
    rays = skin_rays(boundary, nodes, depth, np.array([1.0]))
    (k,) = np.flatnonzero((nodes.fraction == 0) & (nodes.side == 0))
    assert rays.rows[0, k] - nodes.position[k] == pytest.approx([depth[k], depth[k]])


def test_a_coat_rounds_convex_corners():
    outline = bar(4.0, 3.0).outer
    boundary = Boundary(outline, 0, 0.1, (0.2,), (0.1,))
    (nodes,), _, _ = place_nodes([boundary], OPTIONS)
    rays = coat_rays(boundary, nodes, np.array([0.2]))
    fan = rays.base_edge < 0
    assert fan.sum() >= 4 * 2
    corners = rays.rows[0][fan] - nodes.position[rays.base[fan]]
    assert np.hypot(*corners.T) == pytest.approx(0.2, rel=1e-12)
