"""Blocks and energies of a reluctivity that changes from place to place, against those of an even one."""

from __future__ import annotations

import common
import numpy as np
import pytest

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.effective import PLACES, Effective
from crosscurrent.solver.field.problem import Conductor


@pytest.mark.parametrize(
    ("conductor", "close"), [(common.bar("bar", 0.02, 0.01), 1e-12), (common.rod("rod", 0.02), 1e-4)]
)
def test_an_even_reluctivity_makes_the_blocks_of_linear_metal(conductor: Conductor, close: float) -> None:
    """At curved sides the two quadratures differ."""
    elements = Elements(mesh_section(common.alone(conductor, 1.0).section, [[2e-3]]), 4)
    rows = elements.metal
    even = Effective(rows, np.full((len(rows), len(PLACES)), 0.01))
    blocks = 0.01 * elements.stiffness_blocks[rows]
    assert np.abs(even.blocks(elements) - blocks).max() < close * np.abs(blocks).max()
    assert even.means(elements) == pytest.approx(0.01)


def test_what_changes_within_a_triangle_is_weighed_where_it_is() -> None:
    """Of nu = x^2 and A = x + i y in a bar: 2 integral x^2 = w^3 h / 6 by areas."""
    linear = Elements(mesh_section(common.alone(common.bar("bar", 0.02, 0.01), 1.0).section, [[2e-3]]), 1)
    rows, points = linear.metal, linear.mesh.points
    found = Effective(rows, linear.positions(rows, PLACES)[..., 0] ** 2)
    field = points[:, 0] + 1j * points[:, 1]
    assert found.energies(linear, field).sum() == pytest.approx(0.02**3 * 0.01 / 6)
    nodal = field[linear.dofs[rows]]
    by_blocks = np.einsum("ti,tij,tj->t", nodal.conj(), found.blocks(linear), nodal).real
    assert by_blocks == pytest.approx(found.energies(linear, field))
