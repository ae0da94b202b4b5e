"""What more strands do to a bundle that counts as one medium: from media with a fiftieth more and fewer of them.

The fields are those that were solved for; a hair of a strand there is not.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace

import numpy as np

from crosscurrent.casefile.bundles import BundleConductor
from crosscurrent.casefile.case import Case
from crosscurrent.geometries.arrays import FloatArray
from crosscurrent.geometries.errors import CrosscurrentError
from crosscurrent.geometries.meshing.motion import stays
from crosscurrent.solver.field.problem import Problem
from crosscurrent.solver.field.slopes import Slope, sloped

from .slopes_paired import paired

SHARE = 0.02  # of the strands, more and fewer: where single ones stand out of the outline evens out
BENT = 0.25  # of what both ways differ: the bar of what lies between


@dataclass(frozen=True, eq=False)
class Count:
    """The strands of a bundle.

    Attributes
    ----------
    key : str
        "lead.strands"
    value : int
        How many there are.
    ways : tuple of (Problem, int)
        With more and with fewer, and how many more; empty where there is none.
    why : str
        There is none.
    """

    key: str
    value: int
    ways: tuple[tuple[Problem, int], ...]
    why: str = ""


def count_keys(case: Case) -> tuple[str, ...]:
    """What the numbers of strands are called."""
    return tuple(f"{row.name}.strands" for row in case.data.conductor if isinstance(row, BundleConductor))


def counts(case: Case, wanted: Collection[str] | None) -> Iterator[Count]:
    """Of the bundles of a case, or of those that are wanted."""
    if not sloped(case.problem()):
        return
    for number, row in enumerate(case.data.conductor):
        key = f"{row.name}.strands"
        if not isinstance(row, BundleConductor) or (wanted is not None and key not in wanted):
            continue
        if row.filling is None:
            if wanted is not None:
                yield Count(key, row.count, (), "each strand is solved for: with another number they lie elsewhere")
            continue
        inner, groups = (row.levels or (row.count,))[-1], row.levels[:-1]
        step = max(1, round(SHARE * inner))
        try:
            ways = tuple(
                (_with(case, number, (*groups, inner + by)), by * row.count // inner) for by in (step, -step)
            )
        except CrosscurrentError as error:
            yield Count(key, row.count, (), f"a fiftieth more or fewer of them make no sound case ({error})")
        else:
            yield Count(key, row.count, ways)


def _with(case: Case, number: int, levels: tuple[int, ...]) -> Problem:
    """With groups of groups of strands in one conductor."""
    rows = list(case.data.conductor)
    row, total = rows[number], int(np.prod(levels))
    assert isinstance(row, BundleConductor)
    said = " x ".join(str(n) for n in levels) if row.construction is not None else None
    strands = None if row.strands is None else total
    rows[number] = row.model_copy(update={"strands": strands, "construction": said})
    problem = replace(case, data=case.data.model_copy(update={"conductor": rows})).problem()
    for before, after in zip(case.problem().outlines, problem.outlines, strict=True):
        stays(before, after)
    return problem


def between(more: Slope, fewer: Slope) -> Slope:
    """From slopes both ways, per strand: their mean, with a share of what they differ by in the bar.

    Examples
    --------
    >>> rows = [(np.array([value]), np.array([value])) for value in (1.0, 1.5)]
    >>> one, other = (Slope("strands", *row, float(row[0][0]), *(np.zeros(1),) * 2, 0.0) for row in rows)
    >>> found = between(one, other)
    >>> found.resistance.tolist(), found.resistance_error.round(3).tolist()
    ([1.25], [0.125])
    """

    def mean(one: FloatArray, other: FloatArray, wrong: FloatArray, also: FloatArray) -> tuple[FloatArray, FloatArray]:
        return 0.5 * (one + other), 0.5 * (wrong + also) + BENT * np.abs(one - other)

    return paired(more, fewer, mean)
