"""How a basis grows on one coarse mesh, and what it refuses."""

import numpy as np
import pytest
from two_rods import EACH, HIGH, LOW, two_rods, two_rods_krylov

from crosscurrent.solver.band.krylov import RationalKrylov, SweepError
from crosscurrent.solver.band.passes import first_shift, reduce
from crosscurrent.solver.band.pencil import Pencil


@pytest.fixture(scope="module")
def krylov() -> RationalKrylov:
    return two_rods_krylov()


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


def test_a_rough_surface_is_refused() -> None:
    rough = two_rods(1.1 + 0.1j)
    with pytest.raises(SweepError, match="a rough surface"):
        reduce(rough, EACH, LOW, HIGH)
    with pytest.raises(SweepError, match="solve the frequencies one by one or set the roughness to 0"):
        RationalKrylov.begun(Pencil(rough, EACH, first_shift(HIGH)))
