"""Slopes made of two others: of single conductors and of the currents of a wanted power too."""

from __future__ import annotations

import numpy as np
import pytest

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.field.slopes import OwnSlopes, Slope
from crosscurrent.topics.slopes_paired import paired


def one(value: float, current: float | None = None) -> Slope:
    row = np.array([value])
    own = OwnSlopes(2 * row, 0.1 * row, 3 * row, 0.2 * row, np.array([30.0]))
    return Slope("gap", row, 4 * row, value, 0.1 * row, 0.1 * row, 0.1 * value, own, current, 0.1)


def mean(a: FloatArray, b: FloatArray, wrong: FloatArray, also: FloatArray) -> tuple[FloatArray, FloatArray]:
    return 0.5 * (a + b), wrong + also


def test_every_figure_goes_by_the_rule() -> None:
    found = paired(one(1.0, 5.0), one(2.0, 7.0), mean)
    assert (found.resistance[0], found.inductance[0], found.loss, found.current) == (1.5, 6.0, 1.5, 6.0)
    assert (found.loss_error, found.current_error) == pytest.approx((0.3, 0.2))
    assert found.own is not None
    assert (found.own.losses[0], found.own.forces[0], found.own.peaks[0]) == (3.0, 4.5, 30.0)


def test_where_one_has_no_current_there_is_none() -> None:
    assert paired(one(1.0), one(2.0, 7.0), mean).current is None
