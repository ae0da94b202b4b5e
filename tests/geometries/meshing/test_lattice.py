"""Nodes of a triangle."""

import numpy as np
import pytest

from crosscurrent.geometries.meshing.lattice import lattice


@pytest.mark.parametrize("order", range(1, 8))
def test_every_node_once_and_in_order(order):
    nodes = lattice(order)
    assert len(nodes) == (order + 1) * (order + 2) // 2 == len(np.unique(nodes, axis=0))
    assert (nodes.sum(axis=1) == order).all()
    assert nodes.min() == 0
    on_side = [nodes[3 + k * (order - 1) : 3 + (k + 1) * (order - 1)] for k in range(3)]
    assert all((side[:, (k + 2) % 3] == 0).all() for k, side in enumerate(on_side))
    assert all((np.diff(side[:, (k + 1) % 3]) == 1).all() for k, side in enumerate(on_side))
