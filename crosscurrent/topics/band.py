"""What the questions about currents over time and frequency share: the circuits they name, and a reduced model."""

from __future__ import annotations

import numpy as np

from crosscurrent.casefile.case import Case
from crosscurrent.casefile.entries import Names
from crosscurrent.solved import SolvedCase
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.problem import Problem

PER_DECADE = 10  # frequencies at which a band is watched


def named_circuits(case: Case, names: Names) -> tuple[str, ...]:
    """The circuits that a table names; all with a current of their own where it names none."""
    return names or tuple(c.name for c in case.problem().circuits if not c.shorted)


def problem_of(solved: SolvedCase) -> Problem:
    """The conductors as they are in service: at the first frequency's temperatures, where these follow the losses."""
    return next(iter(solved.solutions.values())).problem


def past_bound(found: Sweep) -> tuple[str, ...]:
    """The warnings of a sweep whose bars go past the wanted bound."""
    return tuple(warning.text for warning in found.warnings)


def band(solved: SolvedCase, low: float, high: float, *, matrix: bool = False) -> Sweep:
    """A reduced model of a band [Hz], that of the case's sweep where it reaches as far.

    `matrix`: with a drive for each conductor, not only for each circuit.
    """
    case, known = solved.case, solved.sweep
    reaches = known is not None and known.frequency.min() <= low and high <= known.frequency.max()
    if known is not None and reaches and (not matrix or known.fine.model.ports.matrix):
        return known
    count = max(3, round(PER_DECADE * np.log10(high / low)))
    frequencies = [float(f) for f in np.geomspace(low, high, count)]
    return sweep(problem_of(solved), frequencies, accuracy=case.accuracy, matrix=matrix)


