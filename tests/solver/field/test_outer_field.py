"""The field beyond the outer circle."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ellipe, ellipk

from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.alone import alone
from crosscurrent.solver.field.probe import Probe
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.solve import solve
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.materials import MATERIALS


def test_in_the_plane_a_wire_has_its_field_in_closed_form() -> None:
    outside = Probe(solve(alone(round_bar(0.01), 100.0), 50.0).fine).outside
    points = np.array([[0.3, 0.1], [-0.2, 0.4]])
    strength = np.sqrt((np.abs(outside.flux_density(points)) ** 2).sum(axis=1))
    np.testing.assert_allclose(strength, MU0 * 100 / (2 * math.pi * np.hypot(*points.T)), rtol=1e-7)
    near, far = outside.potential(points * [[1.0], [1.0]]), outside.potential(2 * points)
    np.testing.assert_allclose(near - far, MU0 * 100 * math.log(2) / (2 * math.pi), rtol=1e-6)


def test_round_an_axis_a_turn_has_that_of_maxwell() -> None:
    """A thin turn: B on the axis in closed form, 2 pi r A by elliptic integrals (Maxwell, Treatise, art. 701, M)."""
    a = 0.05
    turn = Conductor(Part("turn", round_bar(0.0004).placed((a, 0.0))), MATERIALS["copper"])
    fine = solve(Problem((turn,), (Circuit("coil", 1.0, ("turn",)),), axial=True), 0.0, accuracy=1e-6).fine
    probe = Probe(fine)
    height = np.array([0.0, 0.01, 0.2, 0.7])  # inside and outside of the circle
    exact = 0.5 * MU0 * a**2 / (a**2 + height**2) ** 1.5
    found = probe.flux_density(np.column_stack((0 * height, height)))
    np.testing.assert_allclose(np.abs(found[:, 1]), exact, rtol=2e-5)
    assert np.abs(found[:, 0]).max() < 1e-9 * exact[0]
    r, z = 0.2, 0.15
    m = 4 * a * r / ((a + r) ** 2 + z**2)
    flux = MU0 * math.sqrt(a * r) * ((2 / math.sqrt(m) - math.sqrt(m)) * ellipk(m) - 2 / math.sqrt(m) * ellipe(m))
    assert probe.outside.potential(np.array([[r, z]]))[0].real == pytest.approx(flux, rel=2e-5)
    both = probe.flux_density(np.array([[r, z], [r, -z]]))
    np.testing.assert_allclose(both[0] * (-1, 1), both[1], atol=1e-6 * np.abs(both).max())
