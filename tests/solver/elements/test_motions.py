"""What corners do inside triangles, against motions of the plane that are known: shifts, turns, growth."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import tube
from crosscurrent.solver.elements.local_functions import GEOMETRY
from crosscurrent.solver.elements.motions import Carried, Motions
from crosscurrent.solver.elements.operators import Elements

ELEMENTS = Elements(mesh_section(Section((Part("tube", tube(0.01, 0.002).placed((0.02, 0.0))),)), [[np.inf]]), 3)
BOTH = pytest.mark.parametrize("motions", [ELEMENTS.even, ELEMENTS.bent], ids=["straight", "curved"])


def gained(motions: Motions, step: np.ndarray, weights: np.ndarray) -> np.ndarray:
    """What slopes of a motion of all points (points, 2), by weights (q, 2, 2), sum up to in every triangle."""
    corners = step[ELEMENTS.mesh.triangles[motions.rows]].swapaxes(1, 2).reshape(-1, 6)
    found = motions.gained(np.broadcast_to(weights[..., None], (len(corners), *weights.shape, 1)))
    return np.asarray((corners * found[..., 0]).sum(axis=1))


@BOTH
def test_a_shift_strains_nothing(motions: Motions) -> None:
    weights, size = np.ones((motions.inverse.shape[1], 2, 2)), ELEMENTS.mesh.radius
    assert np.abs(gained(motions, np.array([0.3, -0.2]) + 0 * ELEMENTS.mesh.points, weights)).max() < 1e-12
    assert np.abs(gained(motions, ELEMENTS.mesh.points / size, weights)).max() > 1e-3
    each = np.concatenate([by.reshape(-1, 2, 3, by.shape[2]) for by in vars(motions.each).values()])
    assert np.abs(each.sum(axis=2)).max() < 1e-12 * np.abs(each).max()


@BOTH
@pytest.mark.parametrize("matrix", [np.eye(2), np.array([[0.0, -1.0], [1.0, 0.0]])], ids=["growth", "turn"])
def test_growth_and_turn_are_the_same_everywhere(motions: Motions, matrix: np.ndarray) -> None:
    """V = M x has grad V = M at every place; the curved sides are arcs, which stay arcs under both."""
    step = ELEMENTS.mesh.points @ matrix.T
    weights = np.random.default_rng(5).normal(size=(motions.inverse.shape[1], 2, 2))
    by = (np.linalg.inv(motions.inverse) @ matrix.T * weights).sum(axis=(1, 2, 3))
    np.testing.assert_allclose(gained(motions, step, weights), by, atol=1e-9 * np.abs(by).max())
    corners = step[ELEMENTS.mesh.triangles[motions.rows]] @ np.array([1, 1j])
    found = motions.strains(corners[:, None])
    for strain, even in ((found.growth, np.trace(matrix)), (found.stretch, 0.0), (found.shear, 0.0)):
        np.testing.assert_allclose(strain[:, 0], even * motions.measure, atol=1e-9 * motions.measure.max())


def test_nodes_of_curved_triangles_turn_with_their_corners() -> None:
    mesh = ELEMENTS.mesh
    nodes = mesh.checked_geometry @ np.array([1, 1j])
    corners = mesh.points[mesh.triangles[mesh.curved]] @ np.array([1, 1j])
    by = 0.3 - 0.7j
    places = lattice(GEOMETRY)[:, 1:] / GEOMETRY
    turned = (Carried.of(ELEMENTS, mesh.curved).at(places) @ (by * corners)[..., None])[..., 0]
    np.testing.assert_allclose(turned, by * nodes, atol=1e-12 * mesh.radius)
