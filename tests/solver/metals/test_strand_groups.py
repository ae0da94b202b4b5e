"""Groups of strands against Bessel's solution for a wire, and against groups solved for strand by strand."""

from __future__ import annotations

import cmath
import math

import pytest
from scipy.special import iv

from crosscurrent.solver.metals.depth import MU0, skin_depth
from crosscurrent.solver.metals.round_bundle import largest_group
from crosscurrent.solver.metals.strand_groups import group_skin
from crosscurrent.solver.metals.strands import Strands


def test_a_group_of_very_fine_strands_is_a_wire_of_their_mean_conductivity() -> None:
    strands, radius, frequency = Strands(99_919, 4e-6), 1e-3, 100e3
    found = group_skin(strands, math.pi * radius**2, 58e6, frequency)
    mean = 1 / (strands.resistance(58e6) * math.pi * radius**2)
    k = cmath.sqrt(2j * math.pi * frequency * MU0 * mean)
    wire = (k / (2 * math.pi * radius * mean) * iv(0, k * radius) / iv(1, k * radius)).real
    assert found is not None
    assert found.added == pytest.approx(wire - strands.resistance(58e6), rel=1e-3)


def test_the_band_of_five_groups_of_91() -> None:
    """Strands of a fifth of a skin depth: 1.04 to 1.25 (multipoles outside of this project)."""
    depth = skin_depth(85e3, 58e6)
    strands = Strands(455, 0.4 * depth, levels=(5, 91))
    found = group_skin(strands, strands.copper / 0.5, 58e6, 85e3)
    assert found is not None
    assert (found.size, found.largest, found.too_large) == (91, 25, True)
    assert [largest_group(0.4 * depth, skin_depth(f * found.up_to, 58e6)) for f in (0.999, 1.001)] == [91, 90]
    assert 1.04 + found.added / strands.resistance(58e6) == pytest.approx(1.25, abs=0.02)


def test_seven_groups_at_once_are_told_as_groups_not_as_one_bunch() -> None:
    """One lies in the middle, six around it: together they are no thinner than 84 strands of one bunch."""
    found = [group_skin(Strands(84, 1e-4, levels=levels), 84 * 1e-8 / 0.6, 58e6, 85e3) for levels in ((7, 12), (84,))]
    assert found[0] is not None
    assert found[1] is not None
    assert (found[0].levels, found[0].size, found[0].largest) == ((7, 12), 84, 20)
    assert (found[1].levels, found[1].up_to) == ((84,), found[0].up_to)


def test_groups_of_five_share_evenly_however_they_are_laid() -> None:
    assert group_skin(Strands(25, 1e-4, levels=(5, 5)), 1e-6, 58e6, 85e3) is None
    assert group_skin(Strands(25, 1e-4), 1e-6, 58e6, 0.0) is None
