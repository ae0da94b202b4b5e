"""What a section will take to solve, said beforehand; too large ones are refused."""

from __future__ import annotations

import logging

from crosscurrent.geometries.errors import CrosscurrentError

log = logging.getLogger("crosscurrent")

NOTABLE = 5.0  # seconds from which on a solve says beforehand what it takes
GROWTH = 2.5  # of the unknowns by refinement, for 1e-3


class SolveError(CrosscurrentError, ValueError):
    """A problem that cannot be solved as it stands."""


def forecast(unknowns: int, conductors: int, largest: int, accuracy: float = 1e-3) -> None:
    """Say beforehand what a large section takes; refuse one that is too large.

    Measured on one core: a factorisation takes 30 us and 7 kB for each unknown, each conductor 5 us and 0.1 kB more.

    Raises
    ------
    SolveError
        It needs more than `largest` unknowns.
    """
    seconds = (3e-5 + 5e-6 * conductors) * unknowns
    many = f" with {conductors} conductors" if conductors > 1 else ""
    if unknowns > largest:
        raise SolveError(
            f"the section{many} needs {unknowns} unknowns or more and about {_memory(unknowns, conductors):.1f} GB of "
            f"memory; the limit is {largest} unknowns: leave out parts that are far from the others, merge outline "
            "points that lie close together, widen or close gaps far narrower than the parts, or solve it in pieces"
        )
    if seconds > NOTABLE:
        took = f"{seconds:.0f} s" if seconds < 120 else f"{seconds / 60:.0f} minutes"
        memory = _memory(min(_refined(unknowns, accuracy), largest), conductors)
        log.info("%d unknowns%s: up to %.1f GB of memory, %s or more for each frequency", unknowns, many, memory, took)


def _memory(unknowns: float, conductors: int) -> float:
    """Of the solve of a section [GB]."""
    return 0.15 + (7e-6 + 1e-7 * conductors) * unknowns


def _refined(unknowns: int, accuracy: float) -> float:
    """What refinement makes of a first number of unknowns at most: 1.9, 2.2, 4.4 measured for 1e-3 .. 1e-5."""
    return float(unknowns * GROWTH * (1e-3 / min(accuracy, 1e-3)) ** 0.2)
