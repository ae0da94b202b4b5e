"""What corners do inside triangles, against motions of the plane that are known: shifts, turns, growth."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import tube
from crosscurrent.solver.elements.motions import Motions, carried
from crosscurrent.solver.elements.operators import Elements

ELEMENTS = Elements(mesh_section(Section((Part("tube", tube(0.01, 0.002).placed((0.02, 0.0))),)), [[np.inf]]), 3)
BOTH = pytest.mark.parametrize("motions", [ELEMENTS.even, ELEMENTS.bent], ids=["straight", "curved"])


def moved(motions: Motions, step: np.ndarray) -> np.ndarray:
    """What a motion of all points (points, 2) strains, (t, q, 2, 2)."""
    corners = step[ELEMENTS.mesh.triangles[motions.rows]].swapaxes(1, 2).reshape(-1, 1, 1, 6, 1)
    return np.asarray((motions.strain @ corners)[..., 0])


@BOTH
def test_a_shift_strains_nothing(motions: Motions) -> None:
    size = np.abs(motions.strain).max()
    assert np.abs(moved(motions, np.array([0.3, -0.2]) + 0 * ELEMENTS.mesh.points)).max() < 1e-12 * size


@BOTH
@pytest.mark.parametrize("matrix", [np.eye(2), np.array([[0.0, -1.0], [1.0, 0.0]])], ids=["growth", "turn"])
def test_growth_and_turn_are_the_same_everywhere(motions: Motions, matrix: np.ndarray) -> None:
    """V = M x has grad V = M at every place; the curved sides are arcs, which stay arcs under both."""
    found = moved(motions, ELEMENTS.mesh.points @ matrix.T) / motions.measure[..., None, None]
    np.testing.assert_allclose(found, np.broadcast_to(matrix, found.shape), atol=1e-9)


def test_nodes_of_curved_triangles_turn_with_their_corners() -> None:
    mesh = ELEMENTS.mesh
    nodes = mesh.checked_geometry @ np.array([1, 1j])
    corners = mesh.points[mesh.triangles[mesh.curved]] @ np.array([1, 1j])
    by = 0.3 - 0.7j
    turned = (carried(ELEMENTS, mesh.curved) @ (by * corners)[..., None])[..., 0]
    np.testing.assert_allclose(turned, by * nodes, atol=1e-12 * mesh.radius)
