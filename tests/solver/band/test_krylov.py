"""How a reduced model grows on one coarse mesh, and how near it comes to a solve."""

import numpy as np
import pytest
from two_rods import EACH, HIGH, LOW, two_rods, two_rods_krylov

from crosscurrent.solver.band.krylov import LAST, RationalKrylov, SweepError, first_shift, reduce
from crosscurrent.solver.band.pencil import Pencil
from crosscurrent.solver.field.unit_fields import solve_fields


@pytest.fixture(scope="module")
def krylov() -> RationalKrylov:
    return two_rods_krylov()


def test_the_first_shift_is_a_part_of_the_last_frequency() -> None:
    assert first_shift(50.0) == pytest.approx(LAST * 100 * np.pi)


def test_the_basis_is_orthonormal_in_the_mass(krylov: RationalKrylov) -> None:
    _, gram, _ = krylov.projected
    np.testing.assert_allclose(gram, np.eye(krylov.count), atol=1e-6)


def test_at_rest_the_form_has_the_resistances_of_direct_current(krylov: RationalKrylov) -> None:
    resting = np.diag(1 / krylov.pencil.conductance)
    np.testing.assert_allclose(krylov.foster().resistance(0.0)[0], resting, rtol=1e-12)


def test_what_it_holds_already_brings_nothing(krylov: RationalKrylov) -> None:
    own = two_rods_krylov()
    before = own.count
    own.add(own.vectors[:, :2].copy())
    assert own.exhausted
    assert own.count == before
    assert not krylov.exhausted


@pytest.mark.parametrize("frequency", [LOW, 800.0, HIGH])
def test_a_model_is_as_good_as_was_asked_for(frequency: float) -> None:
    d = two_rods()
    model = reduce(d, EACH, LOW, HIGH, tolerance=1e-6)
    exact = solve_fields(d, frequency, lifted=False).impedance
    np.testing.assert_allclose(model.foster.impedance(frequency)[0], exact, rtol=2e-6, atol=2e-6 * np.abs(exact).min())


def test_a_rough_surface_is_refused() -> None:
    rough = two_rods(1.1 + 0.1j)
    with pytest.raises(SweepError, match="a rough surface"):
        reduce(rough, EACH, LOW, HIGH)
    with pytest.raises(SweepError, match="solve the frequencies one by one or set the roughness to 0"):
        RationalKrylov.begun(Pencil(rough, EACH, first_shift(HIGH)))
