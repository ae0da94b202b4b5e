"""Slopes over a sweep against those of the fields at frequencies that were not solved for."""

import numpy as np
from common import bar, pair

from crosscurrent.solver.band.sweep import sweep
from crosscurrent.solver.band.swept_slopes import swept_slopes
from crosscurrent.solver.field.changes import Change
from crosscurrent.solver.field.slopes import slopes

STEP = 1e-8


def facing(gap: float = 0.004, current: float = 1.0):
    return pair(bar("a", 0.02, 0.004), bar("b", 0.02, 0.004, y=-0.004 - gap), current)


def test_between_solved_frequencies_the_bars_hold():
    band = sweep(facing(), np.geomspace(50.0, 2e4, 60))
    change = Change("gap", facing(0.004 + STEP), STEP)
    found = swept_slopes(band, lambda solution: [change])
    assert found.keys == ("gap",)
    assert 5 <= found.solved.sum() <= 40
    for n in np.flatnonzero(~found.solved)[::8]:
        (exact,) = slopes(band.solution(int(n)), [change])
        for what in ("resistance", "inductance"):
            off = np.abs(getattr(found, what)[n, 0] - getattr(exact, what))
            assert (off <= getattr(found, f"{what}_error")[n, 0]).all()
            assert (off <= 3e-3 * np.abs(getattr(found, what)[:, 0]).max()).all()
        assert abs(found.loss[n, 0] - exact.loss) <= found.loss_error[n, 0]


def test_what_stands_at_rest_or_carries_nothing_has_none():
    band = sweep(facing(), [0.0, 50.0, 500.0])
    found = swept_slopes(band, lambda solution: [Change("gap", facing(0.004 + STEP), STEP)])
    assert np.isnan(found.resistance[0]).all()
    assert found.solved.tolist() == [False, True, True]
