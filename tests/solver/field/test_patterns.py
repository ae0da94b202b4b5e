"""Patterns of density: what each carries, and what they cannot do between themselves."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import round_bar
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.patterns import RINGS, Patterns
from crosscurrent.solver.field.problem import Circuit, Conductor, Problem
from crosscurrent.solver.field.region_metals import region_metals, region_skins
from crosscurrent.solver.metals.materials import Material
from crosscurrent.solver.metals.strands import Strands

COPPER = Material("copper", 58e6)


@pytest.fixture(scope="module")
def patterns() -> Patterns:
    leads = tuple(
        Conductor(Part(name, round_bar(2e-3).placed((x, 0.0))), COPPER, strands=Strands(200, 1e-4, lay=lay))
        for name, x, lay in (("a", 0.0, "concentric"), ("b", 3e-3, "transposed"))
    )
    problem = Problem(leads, (Circuit("f", 1.0, ("a",), ("b",)),))
    mesh = mesh_section(problem.section, region_skins(problem, 1e5))
    return Patterns.of(Discretisation(mesh, region_metals(problem, 1e5), 4))


def test_the_first_of_each_bundle_carries_its_current_and_no_other_does(patterns: Patterns) -> None:
    assert patterns.owner.tolist() == [0] * RINGS + [1]
    inside = patterns.discretisation.lift[:, patterns.owner]
    currents = np.einsum("ui,ui->i", inside, patterns.load)
    np.testing.assert_allclose(currents, patterns.first.astype(float), atol=1e-12)


def test_patterns_of_rings_ask_for_the_resistance_of_the_strands_and_are_apart(patterns: Patterns) -> None:
    """Legendre polynomials of the squared radius, 1 / (2 n + 1) of the first."""
    found = patterns.impedance[:RINGS, :RINGS] / patterns.impedance[0, 0]
    np.testing.assert_allclose(found, np.diag(1 / (2 * np.arange(RINGS) + 1)), atol=3e-3)


def test_free_patterns_have_no_voltage(patterns: Patterns) -> None:
    rng = np.random.default_rng(1)
    within = rng.normal(size=(RINGS + 1, RINGS + 1)) + 10 * np.eye(RINGS + 1) + 0j
    amplitude = patterns.amplitudes(np.zeros((0, RINGS + 1), dtype=complex), within)
    voltage = within @ amplitude
    np.testing.assert_allclose(voltage[1:RINGS], 0, atol=1e-12)
    np.testing.assert_allclose(amplitude[[0, RINGS]], np.eye(2), atol=0)
