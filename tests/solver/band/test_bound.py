"""Bounds of a reduced model on one coarse mesh against what it truly misses of a solve there."""

import numpy as np
import pytest
from two_rods import EACH, HIGH, LOW, two_rods

from crosscurrent.solver.band.bound import OnTheFlyBound, PrecomputedBound
from crosscurrent.solver.band.krylov import RationalKrylov
from crosscurrent.solver.band.passes import first_shift, reduce
from crosscurrent.solver.band.pencil import Pencil
from crosscurrent.solver.band.reduced import Reduced
from crosscurrent.solver.field.discretisation import Discretisation
from crosscurrent.solver.field.unit_fields import solve_fields

BAND = [LOW, 777.0, HIGH]
DRIVES = np.array([[1.0, 0.0], [0.0, 1.0], [1.0, -1.0], [1.0, 1.0], [1.0, 1j]])


@pytest.fixture(scope="module")
def discretisation() -> Discretisation:
    return two_rods()


@pytest.fixture(scope="module")
def loose(discretisation: Discretisation) -> Reduced:
    """One field for each rod: far from enough for the band."""
    pencil = Pencil(discretisation, EACH, first_shift(HIGH))
    krylov = RationalKrylov.begun(pencil)
    krylov.add(pencil.shifted(pencil.first_shift)(pencil.drive))
    return krylov.certified(np.array([pencil.first_shift / 100, pencil.first_shift]), np.array(BAND))


@pytest.fixture(scope="module")
def exact(discretisation: Discretisation) -> np.ndarray:
    return np.array([solve_fields(discretisation, f, lifted=False).impedance for f in BAND])


def on_the_fly(model: Reduced) -> OnTheFlyBound:
    """The bound formed when asked for, from shifts of its own."""
    pencil = Pencil(model.discretisation, EACH, first_shift(HIGH))
    shifts = np.array([0.0, first_shift(LOW), pencil.first_shift, 2 * np.pi * HIGH])
    return OnTheFlyBound(pencil, shifts, model.basis, model.factors, model.modal_matrix, model.mean_correction)


def missed(model: Reduced, exact: np.ndarray) -> np.ndarray:
    """|i* dZ i| at every frequency for every drive."""
    away = model.foster.impedance(BAND) - exact
    return np.asarray(np.abs(np.einsum("di,mij,dj->md", DRIVES.conj(), away, DRIVES)))


def allowed(bound: np.ndarray) -> np.ndarray:
    return np.asarray(np.einsum("di,mij,dj->md", DRIVES.conj(), bound, DRIVES).real)


def test_the_bound_is_hermitian_and_does_not_rise_with_the_basis(discretisation: Discretisation) -> None:
    sizes = []
    for tolerance in (1e-2, 1e-6):
        model = reduce(discretisation, EACH, LOW, HIGH, tolerance=tolerance)
        assert isinstance(model.certificate, PrecomputedBound)
        bound = model.bound(BAND)
        np.testing.assert_allclose(bound, bound.conj().transpose(0, 2, 1), atol=1e-9 * np.abs(bound).max())
        assert max(b.max() for b in model.relative_bounds(BAND)) <= tolerance
        sizes.append(np.abs(bound).max())
    assert sizes[1] <= sizes[0]


def test_it_covers_what_is_missed_for_any_currents(loose: Reduced, exact: np.ndarray) -> None:
    away, bound = missed(loose, exact), allowed(loose.bound(BAND))
    assert away.max() > 1e-3 * np.abs(exact).max()  # there is something to cover
    assert (away <= bound).all()
    assert (bound <= 3 * away).all()


def test_formed_on_the_fly_it_covers_as_well(loose: Reduced, exact: np.ndarray) -> None:
    away, bound = missed(loose, exact), on_the_fly(loose).bound(loose.foster, BAND)
    assert (away <= allowed(bound)).all()
    assert (allowed(bound) <= 3 * away).all()
    np.testing.assert_allclose(bound, bound.conj().transpose(0, 2, 1), atol=1e-5 * np.abs(bound).max())


def test_at_rest_nothing_is_missed(loose: Reduced) -> None:
    assert not loose.bound(0.0).any()


def test_half_the_conductivity_misses_twice_at_twice_the_frequency(loose: Reduced) -> None:
    """Z / R depends on sigma times frequency alone."""
    half = loose.with_conductivity(0.5)
    np.testing.assert_allclose(half.bound(2 * np.array(BAND)), 2 * loose.bound(BAND), rtol=1e-6)
