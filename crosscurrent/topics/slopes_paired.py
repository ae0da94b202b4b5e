"""Slopes made of two others, figure by figure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.field.slopes import OutwardSlopes, OwnSlopes, Slope

Rule = Callable[[FloatArray, FloatArray, FloatArray, FloatArray], tuple[FloatArray, FloatArray]]


def paired(one: Slope, other: Slope, rule: Rule) -> Slope:
    """By a rule for both values and both bars, which gives a value and its bar.

    Examples
    --------
    >>> rows = [(np.array([value]), np.array([value])) for value in (1.0, 2.0)]
    >>> near, far = (Slope("gap", *row, float(row[0][0]), *(np.zeros(1),) * 2, 0.0) for row in rows)
    >>> paired(near, far, lambda a, b, wrong, further: (a + b, wrong + further)).loss
    3.0
    """
    resistance = rule(one.resistance, other.resistance, one.resistance_error, other.resistance_error)
    inductance = rule(one.inductance, other.inductance, one.inductance_error, other.inductance_error)
    loss = _numbers(rule, one.loss, other.loss, one.loss_error, other.loss_error)
    of_currents = one.current, other.current, one.current_error, other.current_error
    current = of_currents[0], of_currents[2]
    if None not in of_currents:
        current = _numbers(rule, *of_currents)  # type: ignore[arg-type]
    own, further = one.own, other.own
    if own is not None and further is not None:
        out, beyond = own.outward, further.outward
        if out is not None and beyond is not None:
            out = OutwardSlopes(*rule(out.forces, beyond.forces, out.forces_error, beyond.forces_error), out.peaks)
        own = OwnSlopes(
            *rule(own.losses, further.losses, own.losses_error, further.losses_error),
            *rule(own.forces, further.forces, own.forces_error, further.forces_error), own.peaks, out,
        )  # fmt: skip
    return replace(
        one, resistance=resistance[0], resistance_error=resistance[1], inductance=inductance[0],
        inductance_error=inductance[1], loss=loss[0], loss_error=loss[1], own=own, current=current[0],
        current_error=current[1],
    )  # fmt: skip


def _numbers(rule: Rule, *of: float) -> tuple[float, float]:
    value, error = rule(*(np.array([one]) for one in of))
    return float(value[0]), float(error[0])
