"""What a force changes with, against the forms of the stress: with other fields, and on meshes whose nodes moved."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from crosscurrent.geometries.meshing.lattice import lattice
from crosscurrent.geometries.meshing.mesh import Mesh
from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import Shape, bar, round_bar
from crosscurrent.solver.elements.operators import Elements
from crosscurrent.solver.field.stress import stress_forms, surroundings
from crosscurrent.solver.field.stress_gradient import StressGradient

WAY = np.array([0.6, -0.8])


def meshed(shape: Shape) -> Mesh:
    parts = (Part("a", shape), Part("b", bar(0.02, 0.01).placed((0.0, 0.014))))
    return mesh_section(Section(parts), [[2e-3], [2e-3]])


def smooth(mesh: Mesh, number: int) -> np.ndarray:
    """A field of low order by its values at the unknowns: few points miss some of one at random."""
    elements = Elements(mesh, 3)
    x, y = np.moveaxis(elements.positions(np.arange(len(elements.dofs)), lattice(3)[:, 1:] / 3), -1, 0) / 0.02
    field = np.empty(elements.count)
    a, b, c = np.random.default_rng(number).normal(size=3)
    field[elements.dofs] = a * x * x + b * x * y + c * np.sin(x - 2 * y)
    return field


def force(mesh: Mesh, field: np.ndarray) -> float:
    """On the first conductor along WAY."""
    elements = Elements(mesh, 3)
    forms = stress_forms(elements, field[:, None], np.ones(len(elements.dofs)))[0]
    return float(sum(w * form[0, 0] for w, form in zip(WAY, forms, strict=True)))


def gradient(mesh: Mesh, field: np.ndarray) -> StressGradient:
    elements = Elements(mesh, 3)
    around = next(surroundings(mesh, elements.metal, np.ones(len(elements.dofs))))
    return StressGradient.of(elements, around, field, WAY)


@pytest.mark.parametrize("shape", [bar(0.02, 0.01), round_bar(0.012)])
def test_force_and_what_it_gains_with_another_field(shape: Shape) -> None:
    mesh = meshed(shape)
    one, other = smooth(mesh, 3), smooth(mesh, 4)
    found = gradient(mesh, one)
    assert found.force == pytest.approx(force(mesh, one), rel=1e-6)
    gained = (force(mesh, one + other) - force(mesh, one - other)) / 2
    assert 2 * found.load @ other == pytest.approx(gained, rel=1e-6)


def test_gains_of_nodes_are_those_of_a_moved_mesh() -> None:
    mesh = meshed(bar(0.02, 0.01))
    rng = np.random.default_rng(4)
    field, step = smooth(mesh, 7), rng.normal(size=mesh.points.shape) * 1e-4
    step[np.unique(mesh.triangles[mesh.curved])] = 0.0
    found = gradient(mesh, field)
    ends = [force(replace(mesh, points=mesh.points + sign * 1e-3 * step), field) for sign in (-1, 1)]
    assert (found.at_nodes * step).sum() == pytest.approx((ends[1] - ends[0]) / 2e-3, rel=1e-6)


def test_round_sides_a_shift_changes_nothing_and_a_stretch_goes_with_one_over_the_size() -> None:
    mesh = meshed(round_bar(0.012))
    found = gradient(mesh, smooth(mesh, 5))
    size = float(np.abs(found.at_nodes).sum()) * mesh.radius
    assert np.abs(found.at_nodes.sum(axis=0)).max() * mesh.radius < 1e-12 * size
    assert (found.at_nodes * mesh.points).sum() == pytest.approx(-found.force, abs=1e-9 * size)
    turned = (found.at_nodes * mesh.points[:, ::-1] * [-1.0, 1.0]).sum()
    across = gradient_across(mesh)
    assert turned == pytest.approx(across, abs=1e-9 * size)


def gradient_across(mesh: Mesh) -> float:
    """A turn of everything turns the force, so that its component along WAY gains minus that a quarter ahead of it."""
    elements = Elements(mesh, 3)
    around = next(surroundings(mesh, elements.metal, np.ones(len(elements.dofs))))
    field = smooth(mesh, 5)
    return -StressGradient.of(elements, around, field, np.array([-WAY[1], WAY[0]])).force
