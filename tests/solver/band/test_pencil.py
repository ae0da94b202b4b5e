"""The matrices of a band on one coarse mesh: symmetric, with zero means, solved to rounding."""

import numpy as np
import pytest
from two_rods import two_rods_pencil

from crosscurrent.solver.band.pencil import Pencil
from crosscurrent.solver.metals.depth import MU0


@pytest.fixture(scope="module")
def pencil() -> Pencil:
    return two_rods_pencil()


def test_stiffness_and_mass_are_symmetric(pencil: Pencil) -> None:
    for matrix in (pencil.discretisation.stiffness, pencil.discretisation.mass):
        assert abs(matrix - matrix.T).max() <= 1e-12 * abs(matrix).max()


def test_conductance_is_that_of_the_sections(pencil: Pencil) -> None:
    np.testing.assert_allclose(pencil.conductance, np.pi * 0.002**2 * np.array([58e6, 35e6]), rtol=1e-8)


def test_chi_is_harmonic_in_the_air_and_its_residual_lies_on_the_surfaces(pencil: Pencil) -> None:
    np.testing.assert_allclose(pencil.discretisation.stiffness @ pencil.chi, pencil.lift_residual, atol=1e-11)
    np.testing.assert_allclose(pencil.chi.T @ pencil.lift_residual, pencil.lift_coupling, rtol=1e-9)


def test_a_shifted_solve_leaves_no_residual_and_no_mean(pencil: Pencil) -> None:
    omega, right = 2 * np.pi * 300.0, pencil.drive
    field = pencil.shifted(omega)(right)
    mean = pencil.load.T @ field
    assert np.abs(mean).max() < 1e-9 * np.abs(pencil.load).max()
    d = pencil.discretisation
    left = d.stiffness @ field + omega * MU0 * (d.mass @ field) - right
    # what is left are multiples of K chi and M chi: the lifts and the eliminated means take them up
    taken = np.column_stack((pencil.lift_residual, pencil.load))
    taken /= np.abs(taken).max(axis=0)
    left -= taken @ np.linalg.lstsq(taken, left)[0]
    assert np.abs(left).max() < 1e-9 * np.abs(right).max()
