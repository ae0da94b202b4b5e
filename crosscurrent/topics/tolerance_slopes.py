"""What each tolerance does to resistance, inductance and loss, from the slopes of the fields that were solved for."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from crosscurrent.casefile.variables import Variable
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.field.masses import weight
from crosscurrent.solver.field.slopes import sloped

from .field_slopes import field_slopes
from .slopes import changes_of, higher
from .slopes_asked import FREQUENCY, TABLES, Asked, apart
from .tolerance_figures import FigureKey

MASS = "mass"
EXACT = ("resistance", "inductance", "loss")  # figures that always have slopes, at stated temperatures


@dataclass(frozen=True, eq=False)
class FirstOrder:
    """What slopes say.

    Attributes
    ----------
    added : mapping of FigureKey to (causes,) float
        What each cause at its upper end adds to a figure.
    bars : mapping of FigureKey to float
        Bound on the error of all of that together.
    lacking : set of int
        Causes that have no slope.
    """

    added: Mapping[FigureKey, FloatArray]
    bars: Mapping[FigureKey, float]
    lacking: set[int]


def by_slopes(solved: SolvedCase, causes: Sequence[Variable], limits: Collection[str]) -> FirstOrder:
    """To first order, of every figure that has slopes; of forces, in a plane section, and the mass where limited."""
    pushed = "force" in limits and not solved.case.axial
    asked = [apart(solved.case, one) if one.path[0] in TABLES else None for one in causes]
    lacking = {k for k, one in enumerate(asked) if one is not None and one.problem is None}
    if not sloped(solved.case.problem()):
        lacking |= {k for k, one in enumerate(causes) if one.path[0] == FREQUENCY}
    ready = {k: one for k, one in enumerate(asked) if one is not None and one.problem is not None}
    found: dict[FigureKey, FloatArray] = {}
    bars: dict[FigureKey, float] = {}
    for number, frequency in enumerate(solved.case.data.frequency.at):
        solution = solved.asked[frequency]
        changes, order = changes_of(solved.case, solution, list(ready.values())), list(ready)
        for k, one in enumerate(causes):
            if one.path == (FREQUENCY, "at", number) and frequency and sloped(solution.problem):
                changes.append(higher(solution))
                order.append(k)
        names = [circuit.name for circuit in solved.case.problem().circuits]
        keys = [FigureKey("loss", "", number), *(FigureKey(w, n, number) for w in EXACT[:2] for n in names)]
        keys += [FigureKey("force", c.name, number) for c in solution.problem.conductors] if pushed else []
        rows, open_ = np.zeros((len(keys), len(causes))), np.zeros(len(keys))
        for k, slope in zip(order, field_slopes(solved.case, solution, changes, each=pushed), strict=True):
            own = slope.own if pushed else None
            forces, bars_of = ((), ()) if own is None else (own.forces, own.forces_error)
            rows[:, k] = causes[k].tolerance * np.array([slope.loss, *slope.resistance, *slope.inductance, *forces])
            errors = np.array([slope.loss_error, *slope.resistance_error, *slope.inductance_error, *bars_of])
            open_ += causes[k].tolerance * np.nan_to_num(errors)
        found |= dict(zip(keys, rows, strict=True))
        bars |= dict(zip(keys, open_.tolist(), strict=True))
    if MASS in limits:
        found[FigureKey(MASS)] = _of_mass(solved, causes, ready)
    return FirstOrder(found, bars, lacking)


def _of_mass(solved: SolvedCase, causes: Sequence[Variable], ready: Mapping[int, Asked]) -> FloatArray:
    here, added = weight(solved.case.problem()), np.zeros(len(causes))
    for k, one in ready.items():
        if one.problem is not None:
            added[k] = causes[k].tolerance * (weight(one.problem) - here) / one.step
    return added
