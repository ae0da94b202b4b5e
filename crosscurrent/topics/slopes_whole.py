"""Slopes of bundles as one conductor each, where their strands were solved for one by one."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.slopes import OutwardSlopes, Slope


def with_whole_bundles(slope: Slope, problem: Problem) -> Slope:
    """The losses of the strands of each bundle added up, in the order of `whole_conductors`.

    Their forces peak at instants of their own: the largest on the bundle is not told by their slopes, and is nan.
    """
    own = slope.own
    if own is None or not problem.bundles:
        return slope
    owner = {name: bound.name for bound in problem.bundles for name in bound.members}
    whole = list(dict.fromkeys(owner.get(name, name) for name in problem.names))
    of = np.array([whole.index(owner.get(name, name)) for name in problem.names])
    first, alone = np.unique(of, return_index=True)[1], np.bincount(of) == 1

    def summed(rows: FloatArray) -> FloatArray:
        return np.asarray(np.bincount(of, rows))

    def kept(rows: FloatArray) -> FloatArray:
        return np.where(alone, rows[first], np.nan)

    out = own.outward
    if out is not None:
        out = OutwardSlopes(kept(out.forces), kept(out.forces_error), kept(out.peaks))
    found = replace(
        own, losses=summed(own.losses), losses_error=summed(own.losses_error), forces=kept(own.forces),
        forces_error=kept(own.forces_error), peaks=kept(own.peaks), outward=out,
    )  # fmt: skip
    return replace(slope, own=found)
