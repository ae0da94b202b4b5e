"""Strands of a bundle added up, others as they are."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from common import rod

from crosscurrent.solver.field.problem import Bound, Circuit, Problem
from crosscurrent.solver.field.slopes import OutwardSlopes, OwnSlopes, Slope
from crosscurrent.topics.slopes_whole import with_whole_bundles

RODS = tuple(rod(name, 1e-3, 2e-3 * k) for k, name in enumerate(("back", "a.1", "a.2")))
LEAD = Bound("a", ("a.1", "a.2"), "straight", (0, 0))
PROBLEM = Problem(RODS, (Circuit("feed", 1.0, ("a.1", "a.2"), ("back",)),), bundles=(LEAD,))


def slope() -> Slope:
    row = np.array([1.0, 2.0, 4.0])
    out = OutwardSlopes(row, row, row)
    return Slope("gap", row, row, 1.0, row, row, 1.0, OwnSlopes(row, 0.1 * row, row, row, row, out))


def test_losses_and_forces_are_sums() -> None:
    own = with_whole_bundles(slope(), PROBLEM).own
    assert own is not None
    assert own.outward is not None
    np.testing.assert_allclose(own.losses, [1.0, 6.0])
    np.testing.assert_allclose(own.losses_error, [0.1, 0.6])
    for forces in (own.forces, own.peaks, own.outward.forces):
        np.testing.assert_allclose(forces, [1.0, 6.0])


def test_without_bundles_nothing_changes() -> None:
    one = slope()
    assert with_whole_bundles(one, replace(PROBLEM, bundles=())) is one
