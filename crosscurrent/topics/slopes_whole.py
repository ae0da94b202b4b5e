"""Slopes of bundles as one conductor each, where their strands were solved for one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.slopes import OutwardSlopes, OwnSlopes, Slope


def with_whole_bundles(slope: Slope, problem: Problem) -> Slope:
    """What the strands of each bundle have together, in the order of `whole_conductors`.

    Their forces are those at the instant at which the force on their bundle is largest (`peaks`).
    """
    own = slope.own
    if own is None or not problem.bundles:
        return slope
    owner = {name: bound.name for bound in problem.bundles for name in bound.members}
    whole = list(dict.fromkeys(owner.get(name, name) for name in problem.names))
    of = np.array([whole.index(owner.get(name, name)) for name in problem.names])

    def summed(rows: FloatArray) -> FloatArray:
        return np.asarray([rows[of == k].sum() for k in range(len(whole))])

    out = own.outward
    if out is not None:
        out = OutwardSlopes(summed(out.forces), summed(out.forces_error), summed(out.peaks))
    losses = summed(own.losses), summed(own.losses_error)
    forces = summed(own.forces), summed(own.forces_error), summed(own.peaks)
    return replace(slope, own=OwnSlopes(*losses, *forces, out))
