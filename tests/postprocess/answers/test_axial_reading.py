"""What is read of fields round an axis: densities, faces, surfaces and flux density, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from axial_scenes import axial_scene, coil_round_a_billet, ring, rings_at_rest

from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.postprocess.answers.faces import CrowdingReader
from crosscurrent.postprocess.answers.field_values import flux_density, patch_of
from crosscurrent.postprocess.answers.mesh_parts import MeshParts
from crosscurrent.solver.field.problem import Circuit, Problem
from crosscurrent.solver.metals.depth import MU0

INNER, OUTER, HIGH = 0.02, 0.04, 0.008  # of the ring at rest [m]


def test_at_rest_the_largest_density_is_at_the_inner_face() -> None:
    """J = sigma V / (2 pi r): at the inner radius a it is I / (h a ln(b / a))."""
    go = rings_at_rest().answers.conductors["go"]
    exact = 100.0 / (HIGH * INNER * math.log(OUTER / INNER))
    assert go.peak_current_density == pytest.approx(exact, rel=1e-6)
    assert go.mean_current_density == pytest.approx(100.0 / (HIGH * (OUTER - INNER)), rel=1e-12)


def test_at_rest_faces_share_as_the_integral_of_one_over_r_nearest_to_them() -> None:
    """Nearest to the inner face: a triangle to a depth of h / 2, of height h - 2 (r - a) at r."""
    go = {face.name: face for face in rings_at_rest().answers.conductors["go"].faces}
    assert set(go) == {"lower face", "outer face", "upper face", "inner face"}
    deep = HIGH / 2
    inner = (HIGH + 2 * INNER) * math.log((INNER + deep) / INNER) - 2 * deep
    outer = (HIGH - 2 * OUTER) * math.log(OUTER / (OUTER - deep)) + 2 * deep
    every = HIGH * math.log(OUTER / INNER)
    assert go["inner face"].current_share == pytest.approx(inner / every, abs=3e-4)
    assert go["outer face"].current_share == pytest.approx(outer / every, abs=3e-4)
    assert go["upper face"].current_share == pytest.approx(go["lower face"].current_share, abs=3e-4)


def test_faces_of_every_conductor_hold_all_of_its_loss() -> None:
    """The loss is that all round: 2 pi r goes into it, as it does not into the current."""
    scene = coil_round_a_billet()
    flow, parts = scene.flow, MeshParts.of(scene.flow)
    for number, own in enumerate(parts.conductors):
        (crowd,) = CrowdingReader.of(flow.discretisation, own).read(flow.electric[None])
        assert sum(f.loss for f in crowd.faces) == pytest.approx(flow.powers[number].real, rel=1e-5)
        if number:
            assert sum(f.current for f in crowd.faces) == pytest.approx(flow.currents[number], rel=1e-5)


def test_a_billet_has_the_faces_of_its_right_half() -> None:
    billet = MeshParts.of(coil_round_a_billet().flow).conductors[0]
    found = dict(zip(billet.faces, billet.lengths.tolist(), strict=True))
    assert found == {"lower face": pytest.approx(0.015), "outer face": pytest.approx(0.05),
                     "upper face": pytest.approx(0.015)}  # fmt: skip


def test_the_surface_of_a_billet_ends_on_the_axis_that_of_a_turn_where_it_began() -> None:
    scene = coil_round_a_billet()
    billet, *others = scene.outlines
    assert not billet.closed
    assert billet.position[[0, -1]].tolist() == pytest.approx(np.array([[0.0, -0.025], [0.0, 0.025]]))
    np.testing.assert_allclose(np.abs(billet.density[[0, -1]]), 0.0, atol=1e-9 * np.abs(billet.density).max())
    assert all(o.closed for o in others)
    image = billet.mirrored()
    np.testing.assert_allclose(image.position[0], billet.position[-1])
    assert image.density[5] == -billet.density[-6]
    np.testing.assert_allclose(np.hypot(*image.inward.T), 1.0)


def test_flux_density_at_the_axis_is_that_of_a_thin_turn() -> None:
    """B = mu0 I a^2 / (2 (a^2 + z^2)^1.5), along the axis: Biot and Savart."""
    radius = 0.05
    problem = Problem((ring("turn", round_bar(0.0005), radius),), (Circuit("feed", 10.0, ("turn",)),), axial=True)
    flow = axial_scene(problem, 0.0).flow
    mesh = flow.discretisation.mesh
    near = np.flatnonzero((mesh.points[mesh.triangles, 0] == 0).sum(axis=1) == 2)
    patch = patch_of(flow, near, 1)
    on = patch.position[:, 0] == 0
    field, z = flux_density(flow, patch)[on], patch.position[on, 1]
    exact = MU0 * 10.0 * radius**2 / (2 * (radius**2 + z**2) ** 1.5)
    np.testing.assert_allclose(np.abs(field[:, 1]), exact, atol=2e-4 * exact.max())
    np.testing.assert_allclose(np.abs(field[:, 0]), 0.0, atol=1e-6 * exact.max())
