"""Edges that cross are found, and the layers near them give way."""

import numpy as np
import pytest

from crosscurrent.geometries.errors import MeshError
from crosscurrent.geometries.meshing.boundary import Boundary
from crosscurrent.geometries.meshing.collision import GIVING_WAY, LayerCollision, crossing_places, give_way
from crosscurrent.geometries.meshing.nodes import place_nodes
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.geometries.plane.shapes import bar

POINTS = np.array([[0.0, 0.0], [1.0, 1.0], [0.0, 1.0], [1.0, 0.0], [5.0, 0.0], [6.0, 0.0]])


def test_the_ends_of_edges_that_cross():
    found = crossing_places(POINTS, np.array([[0, 1], [2, 3], [4, 5]]))
    assert sorted(map(tuple, found)) == [(0, 0), (0, 1), (1, 0), (1, 1)]


def test_edges_that_share_an_end_do_not_cross():
    found = crossing_places(POINTS, np.array([[0, 1], [1, 2], [4, 5]]))
    assert len(found) == 5  # none crosses, so all are named


def test_only_layers_near_the_place_give_way():
    boundaries = [Boundary(bar(2.0, 1.0).outer.moved((x, 0.0)), k, 0.05) for k, x in enumerate((0.0, 10.0))]
    nodes, _, _ = place_nodes(boundaries, MeshOptions())
    depths = [np.full(len(n.side), 0.1) for n in nodes]
    shrink = [np.ones(len(n.side)) for n in nodes]
    assert give_way(np.array([[1.0, 0.5]]), nodes, depths, shrink) == [0]
    assert (shrink[1] == 1).all()
    assert set(np.unique(shrink[0])) == {GIVING_WAY, 1.0}


def test_a_boundary_without_layer_has_nothing_to_give():
    nodes, _, _ = place_nodes([Boundary(bar(2.0, 1.0).outer, 0, 0.05)], MeshOptions())
    nothing = [np.zeros(len(nodes[0].side))]
    assert give_way(np.array([[1.0, 0.5]]), nodes, nothing, [np.ones_like(nothing[0])]) == []


def test_a_collision_is_an_error_of_the_mesh_and_knows_its_places():
    with pytest.raises(MeshError) as caught:
        raise LayerCollision(POINTS)
    assert caught.value.places is POINTS
