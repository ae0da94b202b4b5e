"""The medium of strands over a band: against the medium itself, and what strands must obey."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.solver.metals.band_medium import band_medium
from crosscurrent.solver.metals.depth import MU0
from crosscurrent.solver.metals.strand_layout import Layout
from crosscurrent.solver.metals.strands import Strands

COPPER, AREA, DIAMETER = 58e6, 6e-6, 1e-4


def _frequency(radius_in_depths: float) -> float:
    return (2 * radius_in_depths / DIAMETER) ** 2 / (np.pi * MU0 * COPPER)


@pytest.mark.parametrize("layout", ["hexagonal", "square"])
@pytest.mark.parametrize(("thick", "bound"), [(0.3, 1e-8), (3.0, 1e-8), (30.0, 1e-5)])
def test_the_sum_is_the_medium_over_its_band(layout: Layout, thick: float, bound: float) -> None:
    """Loss and reactance each by themselves, between the points it was made from."""
    strands = Strands(420, DIAMETER, layout)
    found = band_medium(strands, AREA, COPPER, _frequency(thick))
    frequency = np.geomspace(_frequency(0.03), _frequency(thick), 57)
    off = found.reluctivity(2j * np.pi * frequency) * found.over(frequency)[0] - 1
    assert np.abs(off).max() < bound
    lost = found.reluctivity(2j * np.pi * frequency).imag / (1 / found.over(frequency)[0]).imag
    assert np.abs(lost - 1).max() < bound
    assert found.error < bound


@pytest.mark.parametrize("strands", [Strands(420, DIAMETER), Strands(420, DIAMETER, levels=(5, 84), space=1.2e-8)])
@pytest.mark.parametrize("thick", [0.1, 2.0, 30.0])
def test_strands_only_take_energy(strands: Strands, thick: float) -> None:
    found = band_medium(strands, AREA, COPPER, _frequency(thick))
    assert 2 <= len(found.rates) <= 16
    assert min(found.jumps) > 0
    assert min(found.rates) > 0


def test_a_better_metal_is_slower() -> None:
    """Only frequency times conductivity counts."""
    found = band_medium(Strands(420, DIAMETER), AREA, COPPER, 1e6).with_conductivity(0.8)
    assert 1 / found.reluctivity(2j * np.pi * 5e5) == pytest.approx(found.at(5e5).permeability, rel=1e-9)


def test_straight_strands_at_any_rate() -> None:
    """At frequencies they are the medium of single solves; beyond a rate its series goes on as far as it may."""
    found, at = band_medium(Strands(420, DIAMETER, lay="straight"), AREA, COPPER, 1e6), 4e5
    nu, eased = found.sharing(np.array([2j * np.pi * at]))
    own = found.at(at)
    assert nu[0] == pytest.approx(1 / own.permeability, rel=1e-12)
    assert eased[0] == pytest.approx(own.conducting, rel=1e-12)
    rate, beyond = 2e6, 0.3
    stiff, current = (c @ beyond ** np.arange(len(c)) for c in found.series(rate))
    nu, eased = found.sharing(np.array([rate * (1 + beyond)]))
    assert stiff == pytest.approx(nu[0], rel=1e-8)
    assert current == pytest.approx(rate * (1 + beyond) * eased[0], rel=1e-8)
    assert found.expands(rate)
    assert not found.expands(1e3 * rate)
