"""The field beyond the mesh, against line currents: at direct current a round rod acts from its axis."""

from __future__ import annotations

import numpy as np
import pytest
from drawn_scenes import two_rods

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.pictures.outer_field import outer_field
from crosscurrent.solver.field.probe import Probe

REACH = 1.0


@pytest.fixture(scope="module")
def field():
    flow, rays = two_rods().flow, np.linspace(-np.pi, np.pi, 200, endpoint=False)
    return outer_field(flow.discretisation.mesh, Probe(flow).outside, REACH, rays)


def distances(place: FloatArray) -> tuple[FloatArray, FloatArray]:
    """From the axes of both rods [m]."""
    one, other = (np.hypot(place[:, 0] - x, place[:, 1]) for x in (0.0, 0.1))
    return one, other


def test_the_field_is_that_of_two_line_currents(field) -> None:
    """|B| = mu0 I d / (2 pi r1 r2)."""
    place, _, _, strength = field
    r1, r2 = distances(place)
    np.testing.assert_allclose(strength, 2e-7 * 100 * 0.1 / (r1 * r2), rtol=2e-3)


def test_the_potential_is_that_of_two_line_currents(field) -> None:
    """A = mu0 I / 2 pi ln(r2 / r1)."""
    place, _, potential, _ = field
    r1, r2 = distances(place)
    np.testing.assert_allclose(potential.real, 2e-7 * 100 * np.log(r2 / r1), atol=3e-3 * 2e-5)


def test_triangles_fill_the_ring_between_the_circles(field) -> None:
    place, triangles, _, _ = field
    mesh = two_rods().flow.discretisation.mesh
    radius = np.hypot(*(place - mesh.centre).T)
    assert radius.min() == pytest.approx(mesh.radius)
    assert radius.max() == pytest.approx(REACH)
    (x1, y1), (x2, y2) = (np.moveaxis(place[triangles[:, k]] - place[triangles[:, 0]], -1, 0) for k in (1, 2))
    areas = 0.5 * np.abs(x1 * y2 - x2 * y1)
    assert areas.sum() == pytest.approx(np.pi * (REACH**2 - mesh.radius**2), rel=5e-3)
