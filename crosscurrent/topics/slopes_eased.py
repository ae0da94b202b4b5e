"""Slopes where edges of half a thickness leave none: led on from cases whose edges are a little less round."""

from __future__ import annotations

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.field.slopes import Slope

from .slopes_paired import paired


def led_on(near: Slope, far: Slope, factor: float) -> Slope:
    """From two cases, the second `factor` times as far off: straight on, with half of that way in the bar.

    Examples
    --------
    >>> rows = [(np.array([value]), np.array([value])) for value in (1.1, 1.5)]
    >>> one, other = (Slope("gap", *row, float(row[0][0]), *(np.zeros(1),) * 2, 0.0) for row in rows)
    >>> both = led_on(one, other, 5.0)
    >>> both.resistance.round(6).tolist(), both.resistance_error.round(6).tolist()
    ([1.0], [0.05])
    """

    def led(one: FloatArray, other: FloatArray, wrong: FloatArray, more: FloatArray) -> tuple[FloatArray, FloatArray]:
        on = (one - other) / (factor - 1)
        return one + on, (factor * wrong + more) / (factor - 1) + 0.5 * np.abs(on)

    return paired(near, far, led)
