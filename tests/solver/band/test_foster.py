"""The Foster form: positive, symmetric, with its exact limits."""

import numpy as np
import pytest

from crosscurrent.solver.band.foster import FosterForm, angular, split
from crosscurrent.solver.metals.depth import MU0


@pytest.fixture(scope="module")
def projected() -> tuple[np.ndarray, ...]:
    """A positive definite pencil on two lifts and six vectors: chi' K chi, (K chi)' x, x' K x, x' M x."""
    random = np.random.default_rng(5)
    whole = random.normal(size=(12, 8))
    whole = whole.T @ whole
    mass = random.normal(size=(9, 6))
    return whole[:2, :2], whole[:2, 2:], whole[2:, 2:], 1e-3 * mass.T @ mass


def form(projected: tuple[np.ndarray, ...]) -> FosterForm:
    surface, rates, coupling, _ = split(*projected)
    return FosterForm(np.eye(2), np.array([1e3, 2e3]), surface, rates, coupling)


def test_modes_diagonalise_the_pencil(projected: tuple[np.ndarray, ...]) -> None:
    lift, cross, stiffness, mass = projected
    _, rates, _, modes = split(*projected)
    inner = stiffness - cross.T @ np.linalg.solve(lift, cross)
    np.testing.assert_allclose(modes.T @ mass @ modes, np.eye(6), atol=1e-10)
    np.testing.assert_allclose(modes.T @ inner @ modes, np.diag(MU0 * rates), atol=1e-8 * MU0 * rates.max())


def test_it_is_the_impedance_of_the_pencil(projected: tuple[np.ndarray, ...]) -> None:
    """j w mu0 of the Schur complement of K + s M on the lifts, and the resistance at rest."""
    lift, cross, stiffness, mass = projected
    for frequency in (1.0, 1e3, 1e6):
        s = 1j * angular(frequency)[0] * MU0
        reduced = lift - cross @ np.linalg.solve(stiffness + s * mass, cross.T)
        exact = s * np.linalg.inv(reduced) + np.diag([1e-3, 5e-4])
        np.testing.assert_allclose(form(projected).impedance(frequency)[0], exact, rtol=1e-8)


def test_resistance_rises_and_inductance_falls(projected: tuple[np.ndarray, ...]) -> None:
    found, frequency = form(projected), np.geomspace(1.0, 1e9, 40)
    for values, sign in ((found.resistance(frequency), 1.0), (found.inductance(frequency), -1.0)):
        np.testing.assert_allclose(values, values.transpose(0, 2, 1))
        assert np.linalg.eigvalsh(values).min() > 0
        assert np.linalg.eigvalsh(sign * np.diff(values, axis=0)).min() > -1e-12 * np.abs(values).max()


def test_conductivity_times_a_factor_is_another_frequency(projected: tuple[np.ndarray, ...]) -> None:
    found, frequency = form(projected), np.geomspace(1.0, 1e6, 7)
    scaled = found.with_conductivity(3.0).impedance(frequency)
    np.testing.assert_allclose(scaled, found.impedance(3.0 * frequency) / 3.0, rtol=1e-12)


def test_a_vector_that_says_nothing_new_is_left_out() -> None:
    lift, cross = np.eye(1), np.array([[0.1, 0.1]])
    _, rates, _, modes = split(lift, cross, np.ones((2, 2)), np.ones((2, 2)))
    assert len(rates) == modes.shape[1] == 1
