"""An axis labelled in the prefix that suits what it shows."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from matplotlib.axes import Axes

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.postprocess.answers.units import engineering

POWERS = {"p": -12, "n": -9, "u": -6, "m": -3, "k": 3, "M": 6}


def unit_axis(axes: Axes, values: FloatArray, unit: str, letter: str) -> Callable[[FloatArray], FloatArray]:
    """Label a vertical axis in the prefix that suits the largest value, and what brings values to it.

    Parameters
    ----------
    axes : Axes
    values : array
        In the unit.
    unit, letter : str
        "ohm/m" and "R", say.
    """
    sign = engineering(float(np.abs(values).max()), unit, 3).split(" ")[1]
    power = POWERS.get(sign[0] if sign != unit else "", 0)
    axes.set_ylabel(f"{letter} [{sign.replace('u', 'µ', 1) if power == -6 else sign}]".replace("ohm", "Ω"))
    return lambda of: np.asarray(of) / 10.0**power
