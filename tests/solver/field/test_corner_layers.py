"""How many layers of smaller triangles corners get: by arithmetic, and on the field of a magnetic bar's corner."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from common import bar

from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.section import Section
from crosscurrent.solver.field.corner_layers import HIDDEN, corner_layers
from crosscurrent.solver.field.discretisation import Discretisation, RegionMetal
from crosscurrent.solver.field.indicator import at_corners

MESH = mesh_section(Section((bar("bar", 0.02, 0.003).part,)), [[1e-3]])


def plain(permeability: float = 1.0) -> Discretisation:
    return Discretisation(MESH, (RegionMetal(7e6, permeability),), 3)


def at_one_corner(d: Discretisation, size: float) -> np.ndarray:
    """All of the error in one triangle at the first of the four corners, and as much again far from any."""
    corners = corner_layers(d, np.zeros(len(d.mesh.triangles)), 1.0).corners
    own = at_corners(d.mesh, corners)
    weights = np.zeros(len(own))
    weights[np.flatnonzero(own == 0)[0]] = weights[np.flatnonzero(own < 0)[0]] = size
    return weights


@pytest.mark.parametrize("times", [3, 10])
def test_each_layer_halves_what_sits_at_a_corner(times: int) -> None:
    d = plain()
    found = corner_layers(d, at_one_corner(d, 0.99 * 2.0**times), 1.0)
    assert found.layers.tolist() == [times, 0, 0, 0]
    assert found.rest.sum() == pytest.approx(0.99 * 2.0**times)


def test_where_permeability_jumps_a_layer_leaves_the_root_of_a_half_and_a_tenth_is_wanted() -> None:
    d = plain(200.0)
    found = corner_layers(d, at_one_corner(d, 1.0), 1.0)
    assert found.layers[0] == math.ceil(2 * math.log2(1 / HIDDEN))


def test_corners_with_little_of_the_error_are_left() -> None:
    d = plain()
    weights = at_one_corner(d, 0.2)
    found = corner_layers(d, weights, 1.0)
    assert not found.wanted
    assert (found.rest == weights).all()


def test_the_mesh_is_as_fine_at_the_corner_as_asked_for() -> None:
    """Two halvings of a triangle's area are one of its sides."""
    d = plain()
    found = corner_layers(d, at_one_corner(d, 0.99 * 2.0**8), 1.0)
    finer = replace(d, mesh=found.graded(MESH)).mesh
    first, others = found.corners[0], found.corners[1:]
    assert (finer.points[: len(MESH.points)] == MESH.points).all()

    def smallest(mesh: Mesh, corner: int) -> float:
        touching = mesh.triangles[(mesh.triangles == corner).any(axis=1)]
        sides = mesh.points[touching] - mesh.points[np.roll(touching, 1, axis=1)]
        return float(np.hypot(*np.moveaxis(sides, -1, 0)).min())

    assert smallest(finer, first) < 2**-3.5 * smallest(MESH, first)
    assert all(smallest(finer, k) > 0.4 * smallest(MESH, k) for k in others)
