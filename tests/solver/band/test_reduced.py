"""A reduced model on one coarse mesh: its losses, its modes, other conductivities."""

import numpy as np
import pytest
from two_rods import HIGH, LOW, two_rods_krylov

from crosscurrent.solver.band.reduced import Reduced

BAND = [0.0, 1e3, HIGH]


@pytest.fixture(scope="module")
def model() -> Reduced:
    return two_rods_krylov().model()


def test_losses_of_the_regions_add_up_to_the_resistance(model: Reduced) -> None:
    drive = np.array([1.0, -2.0])
    losses = model.region_losses(BAND, drive).sum(axis=1)
    np.testing.assert_allclose(losses, drive @ model.foster.resistance(BAND) @ drive, rtol=1e-9)


def test_modes_have_no_mean_and_are_orthonormal_in_the_mass(model: Reduced) -> None:
    mass = model.discretisation.mass
    np.testing.assert_allclose(model.modes.T @ (mass @ model.modes), np.eye(len(model.foster.rates)), atol=1e-6)
    means = (mass @ model.discretisation.lift).T @ model.modes
    assert np.abs(means).max() < 1e-8 * np.sqrt(model.foster.conductance.max())


def test_conductivities_times_a_factor_are_exact(model: Reduced) -> None:
    alike = Reduced.of(model.basis, np.array([0.5, 0.5]))
    exact = model.with_conductivity(0.5)
    np.testing.assert_allclose(alike.foster.impedance(1e3), exact.foster.impedance(1e3), rtol=1e-9)
    # R and w L with half the conductivity at twice the frequency are twice what they were
    np.testing.assert_allclose(exact.foster.impedance(2e3), 2 * model.foster.impedance(1e3), rtol=1e-9)
    assert [m.conductivity for m in exact.discretisation.metals] == [29e6, 17.5e6]
    assert model.discretisation is model.basis.discretisation


def test_without_a_certificate_no_bound_is_known(model: Reduced) -> None:
    assert model.certificate is None
    assert model.bound(BAND).shape == (3, 2, 2)
    assert not model.bound(BAND).any()
    assert [b.tolist() for b in model.relative_bounds([LOW, HIGH])] == [[0.0, 0.0], [0.0, 0.0]]
