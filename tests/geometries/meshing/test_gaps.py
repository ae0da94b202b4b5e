"""Layer edges across a narrow gap are joined by mapped elements."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.assembly import Assembly, LayerEdge
from crosscurrent.geometries.meshing.boundary import Boundary
from crosscurrent.geometries.meshing.gaps import map_gaps, open_edges
from crosscurrent.geometries.meshing.mesh import AIR
from crosscurrent.geometries.meshing.nodes import place_nodes
from crosscurrent.geometries.meshing.options import MeshOptions
from crosscurrent.geometries.plane.shapes import bar


def chain(*points):
    k = np.array(points)
    return LayerEdge(k, np.arange(len(k)), np.full((len(k), 2), np.nan))


def test_shared_edges_are_not_open():
    both = open_edges([chain(0, 1, 2, 3), chain(2, 1, 4)], backward=False)
    assert (1, 2) not in both
    assert (2, 1) not in both
    assert (0, 1) in both
    assert open_edges([chain(0, 1, 2)], backward=True) == {(1, 0), (2, 1), (0, 2)}


@pytest.mark.parametrize(("gap", "mapped"), [(0.001, True), (1.5, False)])
def test_narrow_gaps_are_mapped_and_wide_ones_left(gap, mapped):
    boundaries = [Boundary(bar(4.0, 1.0).outer.moved((0.0, k * (1.0 + gap))), k, 0.05) for k in range(2)]
    nodes, facing, sides = place_nodes(boundaries, MeshOptions())
    work = Assembly()
    first = [work.add_points(n.position) for n in nodes]
    edges = {k: chain(*(first[k] + np.arange(len(n.side)))) for k, n in enumerate(nodes)}
    left = open_edges(list(edges.values()), backward=True)
    before = len(left)
    map_gaps(work, edges, nodes, facing, sides.start, left, AIR)
    if not mapped:
        assert len(left) == before
        return
    points, triangles = work.places, np.concatenate(work.triangles)
    a, b, c = (points[triangles[:, k]] for k in range(3))
    area = 0.5 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    assert area.min() > 0
    assert area.sum() == pytest.approx(4.0 * gap, rel=1e-9)
    assert len(left) == before - len(triangles) + 2  # both faces are closed, the two ends of the gap open
