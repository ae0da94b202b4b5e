"""Slopes led on from two cases, of a slope that is known to go straight."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.solver.field.slopes import OwnSlopes, Slope
from crosscurrent.topics.slopes_eased import led_on


def at(off: float, *, own: bool) -> Slope:
    """R 2 + 3 off, L 5 - off, loss 7 + 2 off; of the one conductor its loss as well, and a force of 1 + 4 off."""
    row, bar = np.array([2 + 3 * off, np.nan]), np.array([0.01, np.nan])
    alone = OwnSlopes(*(np.array([x]) for x in (7 + 2 * off, 0.1, 1 + 4 * off, 0.2, 30.0)))
    return Slope("gap", row, np.array([5 - off, np.nan]), 7 + 2 * off, bar, bar, 0.1, alone if own else None)


@pytest.mark.parametrize("own", [True, False])
def test_straight_slopes_are_found_exactly(own: bool) -> None:
    found = led_on(at(0.1, own=own), at(0.5, own=own), 5.0)
    assert (found.resistance[0], found.inductance[0], found.loss) == pytest.approx((2.0, 5.0, 7.0))
    assert np.isnan(found.resistance[1])
    assert found.resistance_error[0] == pytest.approx((5 * 0.01 + 0.01) / 4 + 0.5 * 0.3)
    if own:
        assert found.own is not None
        assert (found.own.losses[0], found.own.forces[0], found.own.peaks[0]) == pytest.approx((7.0, 1.0, 30.0))
        assert found.own.forces_error[0] == pytest.approx((5 * 0.2 + 0.2) / 4 + 0.5 * 0.4)
