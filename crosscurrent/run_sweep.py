"""The sweep of a case: all its frequencies through one reduced model, where one can serve them."""

from __future__ import annotations

import logging

from crosscurrent.casefile.case import Case
from crosscurrent.geometries.errors import MeshError
from crosscurrent.solver.band.krylov import SweepError
from crosscurrent.solver.band.sweep import Sweep, sweep
from crosscurrent.solver.field.solve import Progress

log = logging.getLogger("crosscurrent")
EACH = 24  # conductors up to which the impedance matrix of all is known as well: time and memory go with the square


def swept(case: Case, progress: Progress | None = None) -> Sweep | None:
    """All frequencies of a case's sweep at once; None where they have to be solved one by one.

    That is where no sweep is asked for, where temperatures follow the losses and so the frequency, with
    rough surfaces, and where one mesh for the whole band would be too large.
    """
    frequencies = case.data.frequency.swept
    if not frequencies:
        return None
    if case.data.cooling or case.data.water:
        count = len(frequencies)
        log.info("the sweep is solved frequency by frequency, %d of them: temperatures follow the losses", count)
        return None
    problem = case.problem()
    matrix = len(problem.conductors) <= EACH
    try:
        return sweep(problem, frequencies, accuracy=case.accuracy, matrix=matrix, progress=progress)
    except (SweepError, MeshError) as error:
        log.info("the sweep is solved frequency by frequency: %s", error)
        return None


def left_out(found: Sweep | None) -> tuple[str, ...]:
    """What single points answer and a sweep does not."""
    if found is None or found.fine.model.ports.matrix:
        return ()
    return (
        f"the sweep knows its {len(found.problem.conductors)} conductors by circuits: its points have no impedance "
        f"matrix of them all, which is there up to {EACH} conductors and at every frequency listed under at",
    )


def served(found: Sweep | None) -> dict[float, int]:
    """The frequencies of a sweep [Hz] whose bars are as small as wanted, with their numbers."""
    if found is None:
        return {}
    known = enumerate(zip(found.frequency, found.bounds, strict=True))
    return {float(frequency): number for number, (frequency, bound) in known if bound <= found.wanted}
