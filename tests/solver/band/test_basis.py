"""The forms of a basis on one coarse mesh: symmetric, additive, the same for a part of it and at a lower order."""

import numpy as np
import pytest
from scipy.sparse.linalg import spsolve
from two_rods import two_rods_krylov

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.band.basis import ReducedBasis, scaled


@pytest.fixture(scope="module")
def basis() -> ReducedBasis:
    return two_rods_krylov().reduced_basis()


def test_forms_of_the_basis_are_symmetric_and_add_up(basis: ReducedBasis) -> None:
    total = sum(region.mass[1:, 1:] for region in basis.regions)
    np.testing.assert_allclose(total, basis.vectors.T @ (basis.discretisation.mass @ basis.vectors), atol=1e-10)
    for x_y in basis.pressures:
        for pressure in x_y:
            np.testing.assert_array_equal(pressure, pressure.T)


def test_every_region_conducts_as_its_area_does(basis: ReducedBasis) -> None:
    area = np.pi * 0.002**2
    assert [region.group for region in basis.regions] == [0, 1]
    np.testing.assert_allclose([r.mass[0, 0] for r in basis.regions], [58e6 * area, 35e6 * area], rtol=1e-8)
    foster, _, mean_correction = basis.galerkin(np.array([0.5, 2.0]))
    np.testing.assert_allclose(foster.conductance, [29e6 * area, 70e6 * area], rtol=1e-8)
    assert mean_correction.shape == (2, basis.vectors.shape[1])


def test_fewer_vectors_are_a_part_of_the_forms(basis: ReducedBasis) -> None:
    part = basis.first(4)
    anew = ReducedBasis.spanned(basis.matrices, basis.ports, basis.chi, basis.vectors[:, :4], basis.states[:, :4])
    np.testing.assert_allclose(part.stiffness, anew.stiffness, rtol=1e-9, atol=1e-12 * np.abs(anew.stiffness).max())
    for own, other in zip(part.regions, anew.regions, strict=True):
        np.testing.assert_allclose(own.mass, other.mass, rtol=1e-9, atol=1e-12 * np.abs(other.mass).max())


def test_a_lower_order_reads_the_same_fields_at_its_own_nodes(basis: ReducedBasis) -> None:
    lower = basis.lowered()
    assert lower.discretisation.order == basis.discretisation.order - 1 == 1
    corners = len(basis.discretisation.mesh.points)  # first order: nodes are the corners, shared by both
    assert lower.vectors.shape == (corners, basis.vectors.shape[1])
    np.testing.assert_allclose(lower.vectors, basis.vectors[:corners], atol=1e-12 * np.abs(basis.vectors).max())
    np.testing.assert_allclose(lower.chi, basis.chi[:corners], atol=1e-12)


def test_steps_take_what_is_read_towards_the_nearest_in_energy(basis: ReducedBasis) -> None:
    """Which a solve with the stiffness of the order below finds: a fifth of the way is left, and never nothing."""
    stiffness, raising = basis.discretisation.stiffness, basis.matrices.raising

    def missed(lower: FloatArray) -> FloatArray:
        off = basis.vectors - raising @ lower
        return np.asarray((off * (stiffness @ off)).sum(axis=0))

    below = basis.matrices.lowered[0].discretisation.stiffness
    nearest = missed(spsolve(below.tocsc(), raising.T @ (stiffness @ basis.vectors)))
    left = [missed(basis.lowered(steps).vectors) - nearest for steps in (0, 1, 4)]
    assert (left[0] > left[1]).all()
    assert (left[1] > left[2]).all()
    assert (left[2] > 0.0).all()
    assert left[2].sum() < 0.2 * left[0].sum()


def test_conductivities_times_a_factor_are_those_of_the_metals(basis: ReducedBasis) -> None:
    d = scaled(basis.discretisation, np.array([0.5, 2.0]))
    assert [m.conductivity for m in d.metals] == [29e6, 70e6]
    assert d.mesh is basis.discretisation.mesh
