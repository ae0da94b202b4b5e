"""Slopes where the currents are those that a wanted power needs.

With P the power at stated currents into what is heated, all currents go with 1 / sqrt(P): what goes with their square
gains, beside its own slope, minus that of P in proportion. R and L do not depend on the currents.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray

from .slopes import OwnSlopes, Slope
from .solution import Solution


def at_held_power(slope: Slope, solution: Solution, pieces: Sequence[int]) -> Slope:
    """A slope at stated currents, each conductor by itself, as one at the power that some conductors take together.

    Examples
    --------
    All of the loss is held, so that it has no slope, while the current falls as the root of what R gains:

    >>> from crosscurrent.geometries.plane.shapes import round_bar
    >>> from crosscurrent.solver.field.alone import alone
    >>> from crosscurrent.solver.field.changes import Change
    >>> from crosscurrent.solver.field.slopes import slopes
    >>> from crosscurrent.solver.field.solve import solve
    >>> solution = solve(alone(round_bar(0.010), 100.0), 0.0)
    >>> larger = Change("diameter", alone(round_bar(0.010 + 1e-9), 100.0), 1e-9)
    >>> held = at_held_power(slopes(solution, [larger], each=True)[0], solution, [0])
    >>> abs(held.loss) < 1e-9, round(held.current, 4)
    (True, 100.0)
    """
    own, some = slope.own, list(pieces)
    powers = solution.fine.powers.real
    into = float(powers[some].sum())
    if own is None or into <= 0:
        return slope
    gain = float(own.losses[some].sum()) / into
    unsure = (float(own.losses_error[some].sum()) + abs(gain) * float(solution.power_errors[some].sum())) / into

    def held(slopes: FloatArray, errors: FloatArray, of: FloatArray) -> tuple[FloatArray, FloatArray]:
        return slopes - gain * of, errors + unsure * np.abs(of)

    loss, loss_error = (float(one) for one in held(np.array(slope.loss), np.array(slope.loss_error), powers.sum()))
    outward = own.outward
    if outward is not None:
        forces = held(outward.forces, outward.forces_error, outward.peaks)
        outward = replace(outward, forces=forces[0], forces_error=forces[1])
    alone = OwnSlopes(*held(own.losses, own.losses_error, powers), *held(own.forces, own.forces_error, own.peaks),
                      own.peaks, outward)  # fmt: skip
    return replace(slope, loss=loss, loss_error=loss_error, own=alone, current=-0.5 * gain, current_error=0.5 * unsure)
