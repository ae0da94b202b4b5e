"""Slopes where edges of half a thickness leave none: led on from cases whose edges are a little less round."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.field.slopes import OutwardSlopes, OwnSlopes, Slope


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

    resistance, of_r = led(near.resistance, far.resistance, near.resistance_error, far.resistance_error)
    inductance, of_l = led(near.inductance, far.inductance, near.inductance_error, far.inductance_error)
    losses = (np.array([one]) for one in (near.loss, far.loss, near.loss_error, far.loss_error))
    loss, of_loss = (float(one[0]) for one in led(*losses))
    own, other = near.own, far.own
    if own is not None and other is not None:
        out, further = own.outward, other.outward
        if out is not None and further is not None:
            out = OutwardSlopes(*led(out.forces, further.forces, out.forces_error, further.forces_error), out.peaks)
        own = OwnSlopes(
            *led(own.losses, other.losses, own.losses_error, other.losses_error),
            *led(own.forces, other.forces, own.forces_error, other.forces_error), own.peaks, out,
        )  # fmt: skip
    return replace(
        near, resistance=resistance, resistance_error=of_r, inductance=inductance, inductance_error=of_l,
        loss=loss, loss_error=of_loss, own=own,
    )  # fmt: skip
