"""Nodes on boundaries: small at corners, alike on facing segments, exactly on arcs."""

import math

import numpy as np
import pytest

from crosscurrent.geometries.meshing.boundary import Boundary
from crosscurrent.geometries.meshing.nodes import place_nodes
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.geometries.plane.shapes import bar, round_bar

SKIN = 0.05


def test_elements_are_small_at_corners_and_grow():
    (nodes,), _, _ = place_nodes([Boundary(bar(4.0, 3.0).outer, 0, SKIN)], MeshOptions())
    on = nodes.fraction[nodes.side == 0] * 4.0
    steps = np.diff(on)
    assert steps[0] < 2 * SKIN
    assert steps.max() > 5 * steps[0]
    assert steps == pytest.approx(np.append(steps[1:], 4.0 - on[-1])[::-1], rel=0.3)  # alike from both ends


def test_nodes_lie_on_their_arc_with_normals_to_its_centre():
    (nodes,), _, _ = place_nodes([Boundary(round_bar(2.0).outer, 0, SKIN)], MeshOptions())
    assert np.hypot(*nodes.position.T) == pytest.approx(1.0, rel=1e-14)
    assert nodes.normal == pytest.approx(-nodes.position, rel=1e-12)
    assert len(nodes.position) >= 2 * math.pi / MeshOptions().arc - 1e-9


def test_facing_segments_get_the_same_nodes():
    pair = [Boundary(bar(4.0, 0.5).outer.moved((0.0, y)), k, SKIN) for k, y in enumerate((0.0, 0.501))]
    (low, high), _, _ = place_nodes(pair, MeshOptions())
    upper = np.sort(low.position[low.side == 2, 0])
    lower = np.sort(high.position[high.side == 4, 0])
    # the first node of a side stands at its beginning, at the right above and at the left below
    assert upper[:-1] == pytest.approx(lower[1:], abs=1e-12)
