"""A permeability that lags alike at every frequency, or that of nothing that conducts."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.solver.metals.band_lag import BandLag, mass_of_its_own
from crosscurrent.solver.metals.depth import skin_depth

FERRITE = BandLag(1 - 0.02j, conducts=False)
AT = np.array([0.0, 1e3, 1e6])


def test_it_lags_at_every_sine_and_not_at_rest() -> None:
    permeability, impedance = FERRITE.over(AT)
    assert permeability.tolist() == [1.0, 1 - 0.02j, 1 - 0.02j]
    assert not impedance.any()
    assert not FERRITE.conducting(AT).any()
    assert not FERRITE.driven(AT).any()
    assert not FERRITE.edge(AT).any()


@pytest.mark.parametrize("conducts", [False, True])
def test_its_series_is_what_it_is_along_the_imaginary_axis(conducts: bool) -> None:
    band, rate = BandLag(1 - 0.3j, conducts=conducts), 2e5j
    nu, c = band.sharing(np.array([0.0, 0.7 * rate, 1.4 * rate]))
    of_nu, of_sc = band.series(rate)
    for number, share in ((1, 0.7), (2, 1.4)):
        powers = (share - 1.0) ** np.arange(len(of_nu))
        assert nu[number] == pytest.approx(of_nu @ powers)
        assert share * rate * c[number] == pytest.approx(of_sc @ powers)
    assert nu[0] == 1.0


def test_only_without_loss_it_is_known_off_that_axis() -> None:
    assert BandLag(1.0, conducts=False).expands(1e5)
    assert not FERRITE.expands(1e5)


def test_no_conductivity_changes_it() -> None:
    assert FERRITE.with_conductivity(0.8) == FERRITE


def test_the_mass_it_lends_itself_is_felt_at_the_end_of_the_band() -> None:
    assert skin_depth(85e3, mass_of_its_own(2000.0, 1e-4, 85e3), 2000.0) == pytest.approx(0.01)
    assert np.isfinite(mass_of_its_own(2000.0, 1e-4, 0.0))
