"""Matrices and fields on one coarse mesh: rest, symmetry, and both forms of the same problem."""

import math

import numpy as np
import pytest
from common import MU0, SIGMA, pair, rod

from crosscurrent.geometries.meshing.mesher import mesh_section
from crosscurrent.geometries.plane.part import Part
from crosscurrent.geometries.plane.shapes import angle, round_bar
from crosscurrent.solver.elements.exterior import RETURN
from crosscurrent.solver.field.discretisation import LIFTED, Discretisation, RegionMetal, is_lifted
from crosscurrent.solver.field.unit_fields import solve_fields

RADIUS = 0.005
OTHER = 35e6


@pytest.fixture(scope="module")
def two() -> Discretisation:
    """A copper and an aluminium rod."""
    section = pair(rod("a", 2 * RADIUS), rod("b", 2 * RADIUS, 0.03)).section
    return Discretisation(mesh_section(section, [[1.5e-3], [1.5e-3]]), (RegionMetal(SIGMA), RegionMetal(OTHER)), 4)


def test_at_rest_every_rod_has_the_resistance_of_its_area(two: Discretisation) -> None:
    area = math.pi * RADIUS**2
    np.testing.assert_allclose(two.conductance, [SIGMA * area, OTHER * area], rtol=1e-9)
    fields = solve_fields(two, 0.0, lifted=False)
    np.testing.assert_allclose(fields.impedance, np.diag([1 / (SIGMA * area), 1 / (OTHER * area)]), rtol=1e-9)


def test_at_rest_a_rod_links_the_flux_of_a_uniform_current(two: Discretisation) -> None:
    """Outside as of a filament against the common return, inside a quarter more, wherever in the circle it lies."""
    inductance = solve_fields(two, 0.0, lifted=False).inductance_at_rest / (MU0 / (2 * math.pi))
    far = RETURN * two.mesh.radius
    own, mutual = math.log(far / RADIUS) + 0.25, math.log(far / 0.03)
    np.testing.assert_allclose(inductance, [[own, mutual], [mutual, own]], rtol=1e-5)


@pytest.mark.parametrize("lifted", [False, True])
def test_impedance_is_symmetric_and_passive(two: Discretisation, lifted: bool) -> None:
    fields = solve_fields(two, 2000.0, lifted=lifted)
    assert fields.lifted is lifted
    np.testing.assert_allclose(fields.impedance, fields.impedance.T, rtol=1e-12)
    assert (np.linalg.eigvalsh(fields.impedance.real) > 0).all()


def test_both_forms_are_one_problem(two: Discretisation) -> None:
    plain, lifted = (solve_fields(two, 2000.0, lifted=form) for form in (False, True))
    np.testing.assert_allclose(lifted.impedance, plain.impedance, rtol=1e-8)
    metal = np.unique(two.elements.dofs[two.elements.metal])
    largest = np.abs(plain.electric[metal]).max()
    np.testing.assert_allclose(lifted.electric[metal], plain.electric[metal], atol=1e-8 * largest)


def test_a_rough_surface_divides_conductivity_and_reluctivity(two: Discretisation) -> None:
    factor = 1.5 - 0.5j
    rough = Discretisation(two.mesh, tuple(RegionMetal(m.conductivity, 1.0, factor) for m in two.metals), two.order)
    assert two.smoothing.dtype == float
    assert abs(rough.mass - two.mass / factor).max() < 1e-12 * abs(two.mass).max()
    assert abs(rough.inner_stiffness - two.inner_stiffness / factor).max() < 1e-12


def test_chi_is_one_on_its_own_conductor_only(two: Discretisation) -> None:
    assert two.lift.sum(axis=1).max() == 1.0
    np.testing.assert_allclose(two.lift.T @ (two.mass @ two.lift), np.diag(two.conductance), rtol=1e-9, atol=1e-9)
    np.testing.assert_allclose(two.by_conductor(np.array([3.0, 4.0])), [3.0, 4.0])


def test_one_thick_conductor_is_enough_for_the_lifted_form() -> None:
    thin, at_most, thick = (Part("rod", round_bar(2 * radius)) for radius in (0.1, 2.99, 3.01))
    assert not is_lifted([1.0, 1.0], [at_most, thin])
    assert is_lifted([1.0, 1.0], [thin, thick])


@pytest.mark.parametrize(("share", "lifted"), [(0.99, True), (1.01, False)])
def test_a_part_that_its_bounds_cannot_judge_is_searched(share: float, lifted: bool) -> None:
    part = Part("angle", angle(4.0, 4.0, 1.8))
    radius = 1.8 * math.sqrt(2) / (1 + math.sqrt(2))  # of the circle in its bend
    assert part.inscribed_at_least < 0.9 * radius < 1.1 * radius < part.inscribed_at_most
    assert is_lifted([share * radius / LIFTED], [part]) == lifted
