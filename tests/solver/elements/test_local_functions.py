"""Functions on triangles and fields made of them."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.meshing.shape_functions import quadrature
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.section import Section
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.elements.half_plane import Weight
from crosscurrent.solver.elements.local_functions import LocalFunctions


@pytest.mark.parametrize("weight", [Weight.PLANE, Weight.FLUX])
def test_the_gradient_is_that_of_the_value(weight: Weight) -> None:
    axial = weight is Weight.FLUX
    mesh = mesh_section(Section((Part("ball", round_bar(0.02)),), axial=axial), [[2e-3]])
    functions = LocalFunctions(mesh, 4, weight)
    field = np.random.default_rng(2).normal(size=functions.count)
    rows, places, step = np.arange(len(mesh.triangles)), np.array([[0.3, 0.25], [0.1, 0.6]]), 1e-6
    slope = functions.gradient(field, rows, places)
    along = np.array([0.6, -0.3])
    ahead, back = (functions.value(field, rows, places + s * along) for s in (step, -step))
    moved = functions.positions(rows, places + step * along) - functions.positions(rows, places - step * along)
    expected = np.einsum("tpd,tpd->tp", slope, moved)
    np.testing.assert_allclose(ahead - back, expected, rtol=1e-5, atol=1e-7 * np.abs(expected).max())


def test_distances_from_the_axis_are_those_of_the_positions() -> None:
    mesh = mesh_section(Section((Part("ball", round_bar(0.02)),), axial=True), [[2e-3]])
    functions, rows, (places, _) = LocalFunctions(mesh, 3), np.arange(len(mesh.triangles)), quadrature(4)
    apart = functions.distances(rows, places) - functions.positions(rows, places)[..., 0]
    assert len(mesh.curved)
    assert abs(apart).max() < 1e-15 * mesh.radius / 0.01


def test_strength_and_induction_are_per_length_of_the_path() -> None:
    mesh = mesh_section(Section((Part("ball", round_bar(0.02)),), axial=True), [[2e-3]])
    functions = LocalFunctions(mesh, 3, Weight.FLUX)
    field = np.random.default_rng(3).normal(size=functions.count)
    rows, (places, weights) = np.arange(len(mesh.triangles)), quadrature(6)
    length = 2 * np.pi * functions.positions(rows, places)[..., 0]
    value, slope = functions.value(field, rows, places), functions.gradient(field, rows, places)
    np.testing.assert_allclose(functions.strength(field, rows, places) * length, value, rtol=1e-10)
    np.testing.assert_allclose(functions.induction(field, rows, places) * length[..., None], slope, rtol=1e-9)
    both = functions.induction(np.array([field, -2 * field]), rows, places)
    np.testing.assert_allclose(both * length[..., None], [slope, -2 * slope], rtol=1e-9)
    volume = functions.measure(rows, places) @ weights
    assert volume.sum() == pytest.approx(4 / 3 * np.pi * mesh.radius**3, rel=1e-9)
